/**
 * The two cookies of the program: one names a staff session, one a patient's. Over https their names begin with
 * `__Host-`, which makes the browser hold them to this host, the whole path and a secure line (ASVS 5.0 3.3.1 to 3.3.4).
 */
import { settings } from '#lib/adapters/settings.ts'

/** By the address people open: an http address is this machine's own, in a demo or a test. */
export function isSecure(): boolean {
  return new URL(settings().baseUrl).protocol === 'https:'
}

export function cookieName(
  name: 'staff' | 'patient' | 'sign-in-check' | 'sign-in-return' | 'sso-state' | 'sso-nonce' | 'sso-pkce',
): string {
  return `${isSecure() ? '__Host-' : ''}farstep_${name}`
}

export function cookieOptions() {
  return { httpOnly: true, sameSite: 'lax', path: '/', secure: isSecure() } as const
}
