/**
 * A real PostgreSQL server for tests and benches: the system's own programs over a temporary folder, on a free port.
 * It refuses to run as root, so as root it is started as the user its package created.
 */
import { execFileSync, spawn } from 'node:child_process'
import { chownSync, existsSync, globSync, mkdtempSync, rmSync } from 'node:fs'
import { createServer } from 'node:net'
import { tmpdir } from 'node:os'
import { join } from 'node:path'

export type PostgresServer = {
  urlOf(database: string): string
  /** Ends it as an administrator would, connections and all, and starts it again after a while, on the same port and data. */
  restart(downMs: number): Promise<void>
  stop(): Promise<void>
}

/** Starts a server with an empty cluster. `stop` ends it and removes its files. */
export async function startPostgres(): Promise<PostgresServer> {
  const bin = findPrograms()
  const owner = process.getuid?.() === 0 ? { uid: idOf('-u'), gid: idOf('-g') } : {}
  const folder = mkdtempSync(join(tmpdir(), 'farstep-postgres-'))
  if (owner.uid !== undefined) chownSync(folder, owner.uid, owner.gid)

  const run = { ...owner, cwd: folder, env: { ...process.env, LC_ALL: 'C.UTF-8' } }
  const cluster = join(folder, 'cluster')
  execFileSync(
    join(bin, 'initdb'),
    ['-D', cluster, '-U', 'postgres', '-A', 'trust', '-E', 'UTF8', '--locale=C.UTF-8', '--no-sync'],
    { ...run, stdio: ['ignore', 'ignore', 'inherit'] },
  )
  const port = await freePort()
  const settings = ['listen_addresses=127.0.0.1', 'fsync=off', 'full_page_writes=off', 'max_connections=200']
  const args = ['-D', cluster, '-p', String(port), '-k', folder, ...settings.flatMap((text) => ['-c', text])]
  const start = async () => {
    const server = spawn(join(bin, 'postgres'), args, { ...run, stdio: ['ignore', 'ignore', 'pipe'] })
    const ended = new Promise<void>((resolve) => server.once('exit', () => resolve()))
    const killWithUs = () => server.kill('SIGQUIT')
    process.once('exit', killWithUs)
    await new Promise<void>((resolve, reject) => {
      let said = ''
      server.stderr.on('data', (chunk) => {
        said += chunk
        if (said.includes('ready to accept connections')) resolve()
      })
      server.once('exit', () => reject(new Error(`PostgreSQL did not start:\n${said}`)))
    })
    return async () => {
      process.off('exit', killWithUs)
      server.kill('SIGINT')
      await ended
    }
  }

  let end = await start()
  return {
    urlOf: (database) => `postgres://postgres@127.0.0.1:${port}/${database}`,
    restart: async (downMs) => {
      await end()
      await new Promise((resolve) => setTimeout(resolve, downMs))
      end = await start()
    },
    stop: async () => {
      await end()
      rmSync(folder, { recursive: true, force: true })
    },
  }
}

/** A port that nothing listens on at the moment. */
export function freePort(): Promise<number> {
  return new Promise((resolve, reject) => {
    const probe = createServer()
    probe.once('error', reject)
    probe.listen(0, '127.0.0.1', () => {
      const address = probe.address()
      probe.close(() => (typeof address === 'object' && address ? resolve(address.port) : reject(new Error('No port'))))
    })
  })
}

function findPrograms(): string {
  const versionOf = (path: string) => Number(path.match(/postgresql\/(\d+)\//)?.[1] ?? 0)
  const debian = globSync('/usr/lib/postgresql/*/bin').sort((a, b) => versionOf(b) - versionOf(a))
  const found = [...debian, ...(process.env.PATH ?? '').split(':')].find((folder) => existsSync(join(folder, 'initdb')))
  if (found) return found
  throw new Error('PostgreSQL is not installed: `npm run verify` installs it, or run `apt-get install postgresql`.')
}

function idOf(flag: '-u' | '-g'): number {
  return Number(execFileSync('id', [flag, 'postgres'], { encoding: 'utf8' }))
}
