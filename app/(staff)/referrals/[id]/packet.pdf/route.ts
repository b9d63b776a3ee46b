/** A patient's packet as a file, to print and post for somebody without e-mail. */
import { packetFile } from '#app/_server/packet-print.ts'
import { staffRequest } from '#app/_server/staff-page.ts'

export async function GET(request: Request, { params }: RouteContext<'/referrals/[id]/packet.pdf'>): Promise<Response> {
  const asked = await staffRequest(request, 'packet.read')
  if ('refusal' in asked) return asked.refusal
  return packetFile(asked.ctx, (await params).id)
}
