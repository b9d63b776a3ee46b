/**
 * Staff sign-in through next-auth: passphrases by its credentials provider, the organisation's own sign-in by OpenID
 * Connect. The signed cookie carries three ids and nothing else; who that is and whether it still holds is read from the
 * database at each request (`staff-page.ts`).
 *
 * next-auth's own endpoints are called from our server actions instead of from the browser, so that signing in works
 * without JavaScript and the framework's same-origin check guards it. Only the answer of the OpenID provider comes in by
 * address.
 */
import { cookies } from 'next/headers'
import { NextRequest, NextResponse } from 'next/server'
import NextAuth, { type AuthOptions } from 'next-auth'
import { getToken } from 'next-auth/jwt'
import credentialsProvider from 'next-auth/providers/credentials'
import type { OAuthConfig } from 'next-auth/providers/oauth'
import { settings } from '#lib/adapters/settings.ts'
import { logEvent } from '#lib/base/log.ts'
import { STAFF_ABSOLUTE_HOURS } from '#lib/domain/access/session-limits.ts'
import { signIn, signInInput } from '#lib/usecases/sign-in.ts'
import { signInBySingleSignOn, singleSignOnInput } from '#lib/usecases/sign-in-by-single-sign-on.ts'
import type { SessionHandle } from '#lib/usecases/steps/begin-staff-session.ts'
import { unsignedContext } from './runtime.ts'
import { cookieName, cookieOptions, isSecure } from './session-cookies.ts'

const CREDENTIALS = 'credentials'
export const SINGLE_SIGN_ON = 'sso'
const MAX_AGE_SEC = STAFF_ABSOLUTE_HOURS * 3600

type Refusal = 'not_recognised' | 'too_many_tries' | 'no_account' | 'several_accounts' | 'not_possible'

/** Which ways in there are, for the sign-in page. */
export function signInWays(): { hasSingleSignOn: boolean; isDemo: boolean } {
  const { oidc, isDemo } = settings()
  return { hasSingleSignOn: oidc !== null, isDemo }
}

/** Signs in with a passphrase and sets the cookie, or says why not. */
export async function signInWithPassphrase(fields: {
  clinicId: string
  email: string
  passphrase: string
  from: string | null
}): Promise<Refusal | null> {
  const response = await postToAuth(['callback', CREDENTIALS], { ...fields, from: fields.from ?? '' })
  return refusalIn(response)
}

/** Where to send the browser so that the organisation's own sign-in asks who it is; null where it cannot be reached. */
export async function singleSignOnAddress(): Promise<string | null> {
  if (!settings().oidc) return null
  const response = await postToAuth(['signin', SINGLE_SIGN_ON], {})
  return refusalIn(response) ? null : response.headers.get('location')
}

/** The OpenID provider's answer, when it sends the browser back. Nothing is there where none is set up. */
export async function finishSingleSignOn(request: NextRequest): Promise<Response> {
  if (!settings().oidc) return new Response(null, { status: 404 })
  return askAuth(request, ['callback', SINGLE_SIGN_ON])
}

/** The three ids of this browser's cookie, or null when there is none that we signed. */
export async function readSessionHandle(): Promise<SessionHandle | null> {
  const jar = await cookies()
  const token = await getToken({
    req: { cookies: Object.fromEntries(jar.getAll().map(({ name, value }) => [name, value])), headers: {} } as never,
    cookieName: cookieName('staff'),
    secret: settings().authSecret,
  })
  const [clinicId, staffId, sessionId] = token?.sub?.split(' ') ?? []
  return clinicId && staffId && sessionId ? { clinicId, staffId, sessionId } : null
}

/** Forgets the cookie. The session row is ended by `endSession`. */
export async function forgetSession(): Promise<void> {
  const jar = await cookies()
  jar.set(cookieName('staff'), '', { ...cookieOptions(), maxAge: 0 })
}

/** A post as next-auth's own page would send it, with its check value fetched first. */
async function postToAuth(path: string[], fields: Record<string, string>): Promise<Response> {
  const jar = await cookies()
  const keep = (response: Response) => {
    for (const cookie of new NextResponse(null, { headers: response.headers }).cookies.getAll()) jar.set(cookie)
    return response
  }
  const { csrfToken } = (await keep(await askAuth(new NextRequest(addressOf(['csrf'])), ['csrf'])).json()) as {
    csrfToken: string
  }
  const post = new NextRequest(addressOf(path), {
    method: 'POST',
    body: new URLSearchParams({ ...fields, csrfToken, callbackUrl: '/' }),
  })
  return keep(await askAuth(post, path))
}

function askAuth(request: NextRequest, path: string[]): Promise<Response> {
  // next-auth takes its own address from this variable alone.
  process.env.NEXTAUTH_URL ??= settings().baseUrl
  return NextAuth(request, { params: { nextauth: path } }, options())
}

function addressOf(path: string[]): string {
  return `${settings().baseUrl}/api/auth/${path.join('/')}`
}

function refusalIn(response: Response): Refusal | null {
  const location = response.headers.get('location')
  const code = location && new URL(location, settings().baseUrl).searchParams.get('error')
  if (response.ok && !location) return 'not_possible'
  if (!code) return null
  const known: Refusal[] = ['not_recognised', 'too_many_tries', 'no_account', 'several_accounts']
  return known.find((refusal) => refusal === code) ?? 'not_possible'
}

function options(): AuthOptions {
  const { authSecret, oidc } = settings()
  const cookie = (name: Parameters<typeof cookieName>[0]) => ({ name: cookieName(name), options: cookieOptions() })
  return {
    secret: authSecret,
    useSecureCookies: isSecure(),
    session: { strategy: 'jwt', maxAge: MAX_AGE_SEC },
    jwt: { maxAge: MAX_AGE_SEC },
    pages: { signIn: '/sign-in', error: '/sign-in', signOut: '/sign-in' },
    cookies: {
      sessionToken: cookie('staff'),
      csrfToken: cookie('sign-in-check'),
      callbackUrl: cookie('sign-in-return'),
      state: cookie('sso-state'),
      nonce: cookie('sso-nonce'),
      pkceCodeVerifier: cookie('sso-pkce'),
    },
    providers: [passphraseProvider(), ...(oidc ? [openIdProvider(oidc)] : [])],
    callbacks: {
      signIn: async ({ user, account, profile }) => {
        if (account?.provider !== SINGLE_SIGN_ON) return true
        const claims = profile as { email?: unknown; email_verified?: unknown } | undefined
        const input = singleSignOnInput.safeParse({ email: claims?.email })
        if (!input.success || claims?.email_verified !== true) return '/sign-in?error=no_account'
        const result = await signInBySingleSignOn(unsignedContext(), input.data)
        if (!result.ok) return `/sign-in?error=${result.error.code}`
        user.id = cookieText(result.value)
        return true
      },
      // Name, e-mail and picture that next-auth would put into the cookie are left out.
      jwt: ({ token, user }) => ({ sub: user?.id ?? token.sub ?? '' }),
    },
    logger: {
      error: (code) => logEvent('sign_in_failed', { code }),
      warn: (code) => logEvent('sign_in_warned', { code }),
      debug: () => {},
    },
  }
}

function passphraseProvider() {
  return credentialsProvider({
    id: CREDENTIALS,
    credentials: { clinicId: {}, email: {}, passphrase: {}, from: {} },
    authorize: async (fields) => {
      const input = signInInput.safeParse({ ...fields, from: fields?.from || null })
      // next-auth carries an error's message to the sign-in page; ours is a code of the closed list above.
      if (!input.success) throw new Error('not_recognised')
      const result = await signIn(unsignedContext(), input.data)
      if (!result.ok) throw new Error(result.error.code)
      return { id: cookieText(result.value) }
    },
  })
}

type Claims = { sub: string; email?: string }

function openIdProvider({
  issuer,
  clientId,
  clientSecret,
}: {
  issuer: string
  clientId: string
  clientSecret: string
}): OAuthConfig<Claims> {
  return {
    id: SINGLE_SIGN_ON,
    name: 'Single sign-on',
    type: 'oauth',
    wellKnown: `${issuer.replace(/\/$/, '')}/.well-known/openid-configuration`,
    issuer,
    clientId,
    clientSecret,
    authorization: { params: { scope: 'openid email' } },
    idToken: true,
    checks: ['pkce', 'state', 'nonce'],
    profile: ({ sub }) => ({ id: sub }),
  }
}

/** Ids never hold a space. */
function cookieText({ clinicId, staffId, sessionId }: SessionHandle): string {
  return [clinicId, staffId, sessionId].join(' ')
}
