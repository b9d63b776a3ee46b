/**
 * What may a page load, and who learns where it was? The per-request security headers: a content policy whose scripts
 * carry a nonce, and a referrer policy that keeps the addresses of patients' links to themselves.
 */
import { randomBytes } from 'node:crypto'
import { type NextRequest, NextResponse } from 'next/server'
import { FORM_BYTES } from '#app/_ui/form-size.ts'

export function proxy(request: NextRequest): NextResponse {
  if (isTooLong(request)) return NextResponse.redirect(new URL('/too-long', request.nextUrl), 303)
  const nonce = randomBytes(16).toString('base64')
  const policy = MAIL_IN_TRAY.test(request.nextUrl.pathname) ? MAIL_POLICY : contentPolicy(nonce)
  const headers = new Headers(request.headers)
  // The framework reads the nonce from the policy and puts it on its own scripts; pages may read `x-nonce`.
  headers.set('Content-Security-Policy', policy)
  headers.set('x-nonce', nonce)
  // A layout is not told its page's address, and the patient's frame must know whose link is being opened.
  headers.set('x-path', request.nextUrl.pathname)

  const response = NextResponse.next({ request: { headers } })
  response.headers.set('Content-Security-Policy', policy)
  // Nobody else learns an address. Not `no-referrer`: with it a browser without JavaScript posts its forms as if from
  // nowhere (`Origin: null`), and the framework's same-origin check refuses them.
  response.headers.set('Referrer-Policy', 'same-origin')
  // ASVS 5.0 14.3.2: nothing of a page may stay in a cache.
  response.headers.set('Cache-Control', 'no-store')
  return response
}

/**
 * A patient's form that was sent without a script and is longer than the framework reads: it would answer with a bare line,
 * in English and without the clinic's number. Where a script sends it, the form says so itself.
 */
function isTooLong({ method, nextUrl, headers }: NextRequest): boolean {
  return (
    method === 'POST' &&
    /^\/(my|go)\//.test(nextUrl.pathname) &&
    !headers.has('next-action') &&
    Number(headers.get('content-length')) > FORM_BYTES
  )
}

/**
 * Built files are the same for everyone and hold no page. A file that is brought in is left alone as well: the framework
 * keeps the body of whatever passes here in memory, and cuts it off at 10 MB. A calendar is no page, and its reader may
 * keep it; nor are the words of a board, which open boards all ask for at once. An event stream must go out as it is written.
 */
export const config = { matcher: '/((?!_next/static/|api/imports$|api/board$|api/board-changes$|feeds/).*)' }

const MAIL_IN_TRAY = /^\/tray\/[^/]+\/mail$/

/**
 * A mail out of the tray, shown in a frame of its page. Mail carries its styles in its tags, and that is all it may do: it
 * runs nothing, loads nothing, posts nothing, and its links open a page beside it when somebody follows them.
 */
const MAIL_POLICY = [
  "default-src 'none'",
  "style-src 'unsafe-inline'",
  "form-action 'none'",
  "frame-ancestors 'self'",
  'sandbox allow-popups allow-popups-to-escape-sandbox',
].join('; ')

/** ASVS 5.0 3.4.3 and 3.4.6. The development server alone evaluates code and writes styles into the page. */
function contentPolicy(nonce: string): string {
  const isDevelopment = process.env.NODE_ENV === 'development'
  return [
    "default-src 'self'",
    `script-src 'nonce-${nonce}' 'strict-dynamic'${isDevelopment ? " 'unsafe-eval'" : ''}`,
    `style-src 'self' ${isDevelopment ? "'unsafe-inline'" : `'nonce-${nonce}'`}`,
    "object-src 'none'",
    "base-uri 'none'",
    "frame-ancestors 'none'",
    "form-action 'self'",
  ].join('; ')
}
