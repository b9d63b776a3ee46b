/**
 * Sends the browser to the organisation's own sign-in. A link and not a form, because the content policy lets a form go
 * nowhere but here; what comes back is checked against this browser's own state, nonce and PKCE cookies.
 */
import { redirect } from 'next/navigation'
import { singleSignOnAddress } from '#app/_server/auth.ts'

export async function GET(): Promise<Response> {
  redirect((await singleSignOnAddress()) ?? '/sign-in?error=not_possible')
}
