/**
 * Is the production build that of the present sources? A stamp in the build holds a hash of everything it was made of,
 * so that a second start is quick and a changed source is never served from an old build.
 */
import { spawnSync } from 'node:child_process'
import { createHash } from 'node:crypto'
import { existsSync, globSync, readFileSync, statSync, writeFileSync } from 'node:fs'

export const NEXT = 'node_modules/next/dist/bin/next'

const STAMP = '.next/farstep-sources'
const SOURCES = [
  '{app,db,emails,lib}/**/*.*',
  '{next.config,instrumentation,proxy}.ts',
  '{package,package-lock,tsconfig}.json',
]

/** Whether a build of the present sources is there. */
export function isBuilt(): boolean {
  return existsSync(STAMP) && readFileSync(STAMP, 'utf8') === sourcesHash()
}

/** Builds, and ends the process when that fails. */
export function buildApp(): void {
  const hash = sourcesHash()
  const env = { ...process.env, NODE_ENV: 'production', NEXT_TELEMETRY_DISABLED: '1' } as const
  const { status } = spawnSync(process.execPath, [NEXT, 'build'], { stdio: 'inherit', env })
  if (status !== 0) process.exit(status ?? 1)
  writeFileSync(STAMP, hash)
}

function sourcesHash(): string {
  const hash = createHash('sha256')
  const files = globSync(SOURCES).filter((path) => statSync(path).isFile())
  for (const path of files.sort()) hash.update(path).update('\0').update(readFileSync(path)).update('\0')
  return hash.digest('hex')
}
