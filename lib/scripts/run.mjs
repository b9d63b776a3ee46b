/**
 * The door to every script. It is plain JavaScript without packages, because `demo` and `verify` are called in a fresh
 * clone with nothing installed and an older Node: it installs, comes back under the installed Node, and hands over.
 */
import { spawn, spawnSync } from 'node:child_process'
import { existsSync, readFileSync } from 'node:fs'

const INSTALLS = ['demo', 'verify']
const [name, ...rest] = process.argv.slice(2)

if (INSTALLS.includes(name) && !isInstalled()) {
  console.log('Installing packages (npm ci) …')
  const { status } = spawnSync('npm', ['ci', '--no-fund', '--no-audit'], { stdio: 'inherit' })
  if (status !== 0) {
    console.error('The packages could not be installed. Is the package registry reachable?')
    process.exit(1)
  }
  // npm puts the Node that was just installed first on the path; the one running here may be too old.
  const again = spawn('npm', ['run', '--silent', name, '--', ...rest], { stdio: 'inherit' })
  process.on('SIGINT', () => {})
  process.on('SIGTERM', () => again.kill('SIGTERM'))
  again.on('exit', (code) => process.exit(code ?? 1))
} else {
  await import('./require-node.mjs')
  const { register } = await import('tsx/esm/api')
  register()
  if (existsSync('.env')) process.loadEnvFile('.env')
  process.argv.splice(1, 2, name)
  await import(`./${name}.ts`).catch((error) => {
    if (error?.name !== 'FolderInUse') throw error
    console.error(error.message)
    process.exit(1)
  })
}

/** Whether every package of the lock file is there in its version. */
function isInstalled() {
  const hidden = 'node_modules/.package-lock.json'
  if (!existsSync(hidden)) return false
  const packagesOf = (path) => JSON.parse(readFileSync(path, 'utf8')).packages
  const there = packagesOf(hidden)
  return Object.entries(packagesOf('package-lock.json')).every(
    ([path, { version, optional }]) => path === '' || optional || there[path]?.version === version,
  )
}
