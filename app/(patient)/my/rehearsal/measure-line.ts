/** Measures the line from this browser to the clinic's own server. */
import type { Readings } from '#lib/domain/rehearsal/readings.ts'

const PINGS = 5
const PATIENCE_MS = 20_000

/** Null when the server can't be reached in time: that is said nowhere, for the visit may use another line. */
export async function measureLine(): Promise<Readings['line']> {
  try {
    const pings: number[] = []
    for (let ping = 0; ping < PINGS; ping += 1) pings.push((await timed('/api/line')).tookMs)
    const roundTripMs = pings.toSorted((a, b) => a - b)[Math.floor(PINGS / 2)] ?? 0
    const { tookMs, bytes } = await timed('/api/line?block')
    // The way there and back is not the line's width; a millisecond is as fine as a browser's clock may be.
    const downKbps = Math.min((8 * bytes) / Math.max(tookMs - roundTripMs, 1), 10_000_000)
    return { roundTripMs, downKbps }
  } catch {
    return null
  }
}

async function timed(address: string): Promise<{ tookMs: number; bytes: number }> {
  const start = performance.now()
  const response = await fetch(address, { cache: 'no-store', signal: AbortSignal.timeout(PATIENCE_MS) })
  if (!response.ok || response.redirected) throw new Error(`the server answered ${response.status}`)
  const { byteLength } = await response.arrayBuffer()
  return { tookMs: performance.now() - start, bytes: byteLength }
}
