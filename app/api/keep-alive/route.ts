/**
 * How long does this browser's session still last? A post says that somebody is there and moves the end; a look (GET)
 * only asks, so that a page left open learns of a sign-out or of work in another tab without keeping anything alive.
 */
import { peekStaff, staffOfPost } from '#app/_server/staff-page.ts'

export async function GET(): Promise<Response> {
  return answer(await peekStaff())
}

export async function POST(request: Request): Promise<Response> {
  return answer(await staffOfPost(request))
}

function answer(session: { leftMs: number } | null): Response {
  return session ? Response.json({ leftMs: session.leftMs }) : new Response(null, { status: 401 })
}
