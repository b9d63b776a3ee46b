/**
 * A clinician's calendar, for calendar programs. No cookie, no sign-in: whoever has the address may read. A reader that
 * has the newest already gets 304 and no body (RFC 9110 13.1); an unknown address gets one and the same 404.
 */
import { callerAddress } from '#app/_server/caller-address.ts'
import { feedWriter } from '#app/_server/feeds.ts'
import { unsignedContext } from '#app/_server/runtime.ts'
import { Temporal } from '#lib/base/time.ts'
import { readFeed, readFeedInput } from '#lib/usecases/read-feed.ts'

const PLAIN = { 'content-type': 'text/plain; charset=utf-8', 'cache-control': 'no-store' }

export async function GET(request: Request, { params }: RouteContext<'/feeds/[clinic]/[token]'>): Promise<Response> {
  const { clinic: slug, token: file } = await params
  const token = file.endsWith('.ics') ? file.slice(0, -'.ics'.length) : ''
  const input = readFeedInput.safeParse({ slug, token, from: await callerAddress() })
  const read = input.success ? await readFeed(unsignedContext(), feedWriter(), input.data) : null
  if (read && !read.ok && read.error.code === 'too_often') {
    const headers = { ...PLAIN, 'retry-after': String(read.error.retryAfterSec) }
    return new Response('Too often\n', { status: 429, headers })
  }
  if (!read?.ok) return new Response('Not found\n', { status: 404, headers: PLAIN })

  const { content, contentHash, changedAt } = read.value
  const etag = `"${contentHash}"`
  const lastModified = new Date(Temporal.Instant.from(changedAt).epochMilliseconds)
  const headers = {
    etag,
    'last-modified': lastModified.toUTCString(),
    // Kept by the reader alone, and asked about each time.
    'cache-control': 'private, no-cache',
    'referrer-policy': 'no-referrer',
  }
  if (hasNewest(request.headers, etag, lastModified)) return new Response(null, { status: 304, headers })
  return new Response(content, {
    headers: {
      ...headers,
      'content-type': 'text/calendar; charset=utf-8',
      'content-disposition': 'inline; filename="visits.ics"',
    },
  })
}

/** RFC 9110 13.1.2 and 13.1.3: the tag alone counts where one was sent; a date counts to the second. */
function hasNewest(asked: Headers, etag: string, lastModified: Date): boolean {
  const tags = asked.get('if-none-match')
  if (tags !== null)
    return tags.trim() === '*' || tags.split(',').some((tag) => tag.trim().replace(/^W\//, '') === etag)
  const since = Date.parse(asked.get('if-modified-since') ?? '')
  return Math.floor(lastModified.getTime() / 1000) * 1000 <= since
}
