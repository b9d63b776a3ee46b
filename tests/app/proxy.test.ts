/** Headers by OWASP ASVS 5.0, chapter 3.4 (version 5.0.0). */
import { NextRequest } from 'next/server'
import { expect, test } from 'vitest'
import { proxy } from '../../proxy.ts'

const headersOf = (path: string) => proxy(new NextRequest(`http://localhost:3000${path}`)).headers
const policyOf = (path: string) => headersOf(path).get('Content-Security-Policy') ?? ''

test('scripts run by nonce only, and no two requests share one (3.4.3)', () => {
  const nonces = [policyOf('/board'), policyOf('/board')].map(
    (policy) => policy.match(/script-src 'nonce-([^']+)'/)?.[1],
  )
  expect(nonces[0]).not.toBe(nonces[1])
  // 128 bits, 11.5.1
  for (const nonce of nonces) expect(Buffer.from(nonce ?? '', 'base64')).toHaveLength(16)
})

test.each([
  "object-src 'none'",
  "base-uri 'none'",
  "frame-ancestors 'none'",
  "form-action 'self'",
  "default-src 'self'",
])('the policy holds %s and nothing unsafe (3.4.3, 3.4.6)', (directive) => {
  expect(policyOf('/board').split('; ')).toContain(directive)
  expect(policyOf('/board')).not.toMatch(/unsafe|\*|https?:/)
})

// Privacy guarantee: no other host learns the address of a page. (`no-referrer` would also hide our own pages from our own
// server: a form posted without JavaScript then carries `Origin: null`, which the same-origin check refuses.)
test('the address of a page goes to nobody else (3.4.5)', () => {
  expect(headersOf('/my').get('Referrer-Policy')).toBe('same-origin')
})

test('no page may be kept in a cache (14.3.2)', () => {
  expect(headersOf('/board').get('Cache-Control')).toBe('no-store')
})

test('a mail out of the tray may bring its styles, and may run, load and post nothing', () => {
  expect(policyOf('/tray/msg_1/mail').split('; ').sort()).toEqual([
    "default-src 'none'",
    "form-action 'none'",
    "frame-ancestors 'self'",
    'sandbox allow-popups allow-popups-to-escape-sandbox',
    "style-src 'unsafe-inline'",
  ])
  // The page around it, and whatever else is called so, keep the policy of every page.
  for (const path of ['/tray/msg_1', '/tray/mail', '/tray/msg_1/mail/more', '/my/tray/msg_1/mail'])
    expect(policyOf(path)).toContain("frame-ancestors 'none'")
})

test('a patient’s form that is longer than the framework reads leads to a page that says so', () => {
  const sent = (path: string, bytes: number, more = {}) =>
    proxy(
      new NextRequest(`http://localhost:3000${path}`, {
        method: 'POST',
        headers: { 'content-length': String(bytes), ...more },
      }),
    )
  const refused = sent('/my/check/contact', 1024 * 1024 + 1)
  expect(refused.status).toBe(303)
  expect(refused.headers.get('location')).toBe('http://localhost:3000/too-long')
  expect(sent('/go/larkfield/a-link', 10_000_000).status).toBe(303)
  expect(sent('/my/check/contact', 1024 * 1024).status).toBe(200)
  // Sent by a script, which has a page of its own for what broke.
  expect(sent('/my/check/contact', 10_000_000, { 'next-action': 'x' }).status).toBe(200)
  expect(sent('/referrals/new', 10_000_000).status).toBe(200)
})
