/**
 * The words of a board, for a browser that has the board open and draws it by itself. It is asked each time who is there;
 * looking keeps no session alive. A page that another build of the app drew reads itself as a whole: its words may be others.
 */
import { buildId } from '#app/_server/build-id.ts'
import { staffLook } from '#app/_server/staff-page.ts'
import { readAddress } from '../../(staff)/board/address.ts'
import { readSharedBoard } from '../../(staff)/board/shared-board.ts'

export async function GET(request: Request): Promise<Response> {
  const asked = await staffLook('board.read')
  if ('refusal' in asked) return asked.refusal
  if (request.headers.get('farstep-build') !== buildId()) return new Response(null, { status: 409 })
  const { ctx } = asked
  const askedAt = ctx.now()
  const { words } = await readSharedBoard(ctx, readAddress(Object.fromEntries(new URL(request.url).searchParams)))
  return new Response(words, {
    headers: {
      'content-type': 'application/json; charset=utf-8',
      'cache-control': 'no-store',
      'farstep-asked-at': String(askedAt.epochMilliseconds),
    },
  })
}
