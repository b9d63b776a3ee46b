/** Called once when a server process starts, before it answers anybody. */
export async function register(): Promise<void> {
  if (process.env.NEXT_RUNTIME !== 'nodejs' || process.env.NEXT_PHASE === 'phase-production-build') return
  const { startProcess } = await import('#app/_server/start-process.ts')
  await startProcess()
}
