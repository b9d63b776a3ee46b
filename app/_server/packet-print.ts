/** The packet of a referral as a file to keep or to print, for whoever may read it. */
import { packetPdf } from '#lib/adapters/packet-pdf.ts'
import { Temporal } from '#lib/base/time.ts'
import type { Ctx } from '#lib/usecases/context.ts'
import { readPacket } from '#lib/usecases/read-packet.ts'

/** In the patient's language. 404 where there is no packet, and where there is one that is none of theirs. */
export async function packetFile(ctx: Ctx, referralId: string): Promise<Response> {
  const result = await readPacket(ctx, { referralId })
  if (!result.ok || result.value === null) return new Response('Not found', { status: 404 })
  const { content: packet, changes, revision, at, reader } = result.value
  const file = await packetPdf({ packet, changes, revision, at: Temporal.Instant.from(at) }, reader.language)
  return new Response(new Uint8Array(file), {
    headers: {
      'content-type': 'application/pdf',
      // Opened in the browser, which can print it; the name says nothing of the patient.
      'content-disposition': 'inline; filename="packet.pdf"',
    },
  })
}
