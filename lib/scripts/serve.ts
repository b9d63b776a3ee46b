/**
 * Turns this process into the web server. It is replaced, not parented: a signal then reaches the server itself, and no
 * orphan is left behind when only the pid we were started with is stopped.
 */
import { spawnSync } from 'node:child_process'
import { existsSync } from 'node:fs'
import { NEXT } from './built-app.ts'

export type Serve = { port: number; hostname?: string; env?: Record<string, string> }

export function serve({ port, hostname, env = {} }: Serve): never {
  if (!existsSync('.next/BUILD_ID')) {
    console.error('There is no build yet. Run `npm run build` first.')
    process.exit(1)
  }
  const program = [NEXT, 'start', '-p', String(port), ...(hostname === undefined ? [] : ['-H', hostname])]
  const args = ['--disable-warning=ExperimentalWarning', ...program]
  const environment = {
    ...process.env,
    ...env,
    NODE_ENV: 'production' as const,
    NEXT_TELEMETRY_DISABLED: '1',
    // The server closes its own streams, worker and database; see app/_server/start-process.ts.
    NEXT_MANUAL_SIG_HANDLE: '1',
  }
  process.execve?.(process.execPath, [process.execPath, ...args], environment)
  // Windows cannot replace a process.
  process.exit(spawnSync(process.execPath, args, { stdio: 'inherit', env: environment }).status ?? 1)
}
