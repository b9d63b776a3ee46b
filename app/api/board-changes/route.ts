/**
 * Tells an open board that its day changed, and nothing else: the page then reads itself again, where it is asked once more
 * who is there. Server-sent events (WHATWG HTML, 9.2): the browser comes back by itself after a break, says up to when it
 * has heard everything, and is told at once if it missed something.
 */
import { sharedBoardChanges } from '#app/_server/board-changes.ts'
import { staffLook } from '#app/_server/staff-page.ts'
import { watchBoard, watchBoardInput } from '#lib/usecases/watch-board.ts'

/** A burst of changes is told once. */
const TOLD_AT_MOST_EVERY_MS = 250
/** Keeps proxies from taking the line for dead. */
const STILL_HERE_EVERY_MS = 20_000
/** Then the browser comes back, and is asked again whether it may look. */
const LASTS_MS = 5 * 60_000

export async function GET(request: Request): Promise<Response> {
  const asked = await staffLook('board.read')
  if ('refusal' in asked) return asked.refusal
  const query = new URL(request.url).searchParams
  const input = watchBoardInput.safeParse({ day: query.get('day') })
  if (!input.success) return new Response(null, { status: 400 })
  const watched = await watchBoard(asked.ctx, input.data)
  if (!watched.ok) return new Response(null, { status: 403 })
  const since = Number(request.headers.get('last-event-id') ?? query.get('since') ?? Number.NaN)
  return new Response(stream(watched.value, Number.isFinite(since) ? since : 0, request.signal), {
    headers: {
      'content-type': 'text/event-stream; charset=utf-8',
      // Packed, it would wait for more.
      'cache-control': 'no-store, no-transform',
      'x-accel-buffering': 'no',
    },
  })
}

function stream(
  watched: { clinicId: string; fromMs: number; toMs: number },
  sinceMs: number,
  left: AbortSignal,
): ReadableStream<Uint8Array> {
  const encoder = new TextEncoder()
  let end = () => {}
  let isLeft = false
  return new ReadableStream({
    start(controller) {
      let telling: NodeJS.Timeout | undefined
      let toldAtMs = 0
      const say = (text: string) => controller.enqueue(encoder.encode(`id: ${Date.now()}\n${text}\n\n`))
      const tell = () => {
        telling ??= setTimeout(
          () => {
            telling = undefined
            toldAtMs = Date.now()
            say('event: changed\ndata: look again')
          },
          Math.max(0, toldAtMs + TOLD_AT_MOST_EVERY_MS - Date.now()),
        )
      }
      // Not all at once after a restart.
      say(`retry: ${500 + Math.round(Math.random() * 1000)}`)
      const stillHere = setInterval(() => say(': still here'), STILL_HERE_EVERY_MS)
      const last = setTimeout(() => end(), LASTS_MS)
      let leave = () => {}
      let hasEnded = false
      end = () => {
        if (hasEnded) return
        hasEnded = true
        leave()
        clearInterval(stillHere)
        clearTimeout(last)
        clearTimeout(telling)
        if (!isLeft) controller.close()
      }
      left.addEventListener('abort', () => {
        isLeft = true
        end()
      })
      leave = sharedBoardChanges().watch(watched, sinceMs, tell, end)
      if (hasEnded) leave()
    },
    cancel() {
      isLeft = true
      end()
    },
  })
}
