/**
 * The HTML of one mail, for the frame on its page. It is shown under a policy of its own (`proxy.ts`): its styles stand in
 * its tags, as mail readers need them, and nothing in it may run or load.
 */
import { mailTray } from '#app/_server/mail-tray.ts'
import { staffRequest } from '#app/_server/staff-page.ts'
import { readTrayMail } from '#lib/usecases/read-tray-mail.ts'

export async function GET(request: Request, { params }: RouteContext<'/tray/[id]/mail'>): Promise<Response> {
  const asked = await staffRequest(request, 'tray.read')
  if ('refusal' in asked) return asked.refusal
  const { id } = await params
  const result = await readTrayMail(asked.ctx, mailTray(), { messageId: id })
  if (!result.ok || result.value.mail === null) return new Response('Not found', { status: 404 })
  return new Response(result.value.mail.html, { headers: { 'content-type': 'text/html; charset=utf-8' } })
}
