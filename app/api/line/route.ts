/**
 * How good is the line from this phone to the clinic's server? An empty answer tells the way there and back, a block of
 * bytes that can't be packed any smaller how fast it comes down. For patients at their own page; nothing is kept.
 */
import { randomBytes } from 'node:crypto'
import { currentPatientOrLink } from '#app/_server/patient-page.ts'

/** Large enough to fill a line of 1 Mbit/s for two seconds, small enough for a phone's plan. */
const BLOCK_BYTES = 256 * 1024
let block: ArrayBuffer | undefined

export async function GET(request: Request): Promise<Response> {
  await currentPatientOrLink()
  if (!new URL(request.url).searchParams.has('block')) return new Response(null, { status: 204 })
  block ??= new Uint8Array(randomBytes(BLOCK_BYTES)).buffer
  return new Response(block, { headers: { 'Content-Type': 'application/octet-stream' } })
}
