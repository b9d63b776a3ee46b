/** A version as a file: to be read by other programs, or changed and brought in again. */
import { staffRequest } from '#app/_server/staff-page.ts'
import { readProtocol } from '#lib/usecases/read-protocol.ts'

export async function GET(
  request: Request,
  { params }: RouteContext<'/clinic/protocol/[id]/[version]/document.json'>,
): Promise<Response> {
  const allowed = await staffRequest(request, 'protocol.read')
  if ('refusal' in allowed) return allowed.refusal
  const { id, version } = await params
  const read = /^[1-9]\d{0,8}$/.test(version) ? await readProtocol(allowed.ctx, { id, version: Number(version) }) : null
  if (!read?.ok) return new Response('There is no such version.', { status: 404 })
  return new Response(`${JSON.stringify(read.value.protocol, null, 2)}\n`, {
    headers: {
      'content-type': 'application/json; charset=utf-8',
      'content-disposition': `attachment; filename="protocol-${read.value.protocol.id}-${version}.json"`,
      'cache-control': 'no-store',
    },
  })
}
