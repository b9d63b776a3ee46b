/** The patient's packet as a file. */
import { packetFile } from '#app/_server/packet-print.ts'
import { patientContext } from '#app/_server/patient-page.ts'

export async function GET(): Promise<Response> {
  const ctx = await patientContext()
  return packetFile(ctx, ctx.actor.referralId)
}
