import { beforeEach, expect, test } from 'vitest'
import { auditEvents, clinics, rateCounters, staff, staffSessions } from '#db/schema/index.ts'
import { newId, secrets } from '#lib/adapters/secrets.ts'
import { Temporal } from '#lib/base/time.ts'
import { DEFAULT_POLICY } from '#lib/domain/policy/clinic-policy.ts'
import type { Ctx } from '#lib/usecases/context.ts'
import { endSession } from '#lib/usecases/end-session.ts'
import { readStaffSession } from '#lib/usecases/read-staff-session.ts'
import { signIn } from '#lib/usecases/sign-in.ts'
import { signInBySingleSignOn } from '#lib/usecases/sign-in-by-single-sign-on.ts'
import type { SessionHandle } from '#lib/usecases/steps/begin-staff-session.ts'
import { emptyDb } from '#tests/support/db.ts'

const PASSPHRASE = 'three metres of clear floor'
const morning = Temporal.Instant.from('2026-12-01T13:00:00Z')
const after = (minutes: number) => morning.add({ minutes })

let ctx: Omit<Ctx, 'actor'>
let now: Temporal.Instant
let passphraseHash: string | undefined

beforeEach(async () => {
  const { db } = await emptyDb()
  passphraseHash ??= await secrets.hashPassword(PASSPHRASE)
  now = morning
  const unused = async () => expect.unreachable('nothing of signing in is queued')
  ctx = {
    db,
    now: () => now,
    newId,
    secrets,
    queue: {
      enqueueMessages: unused,
      enqueuePhoneTask: unused,
      enqueueSeeByWatch: unused,
      enqueueFreedTime: unused,
      enqueueOfferEnd: unused,
    },
  }
  for (const id of ['cli_a', 'cli_b']) {
    await db.insert(clinics).values({
      id,
      slug: id.replace('_', '-'),
      name: `Clinic ${id}`,
      timeZone: 'America/New_York',
      phone: '(802) 555-0100',
      emergencyNumber: '911',
      policy: DEFAULT_POLICY,
      createdAt: morning,
    })
  }
  const person = { clinicId: 'cli_a', role: 'coordinator', createdAt: morning, passwordHash: passphraseHash } as const
  await db.insert(staff).values([
    { ...person, id: 'stf_1', email: 'rosa@example.org', name: 'Rosa Lindqvist' },
    { ...person, id: 'stf_2', email: 'gone@example.org', name: 'Gone Away', isActive: false },
    { ...person, id: 'stf_3', email: 'sso@example.org', name: 'Only Elsewhere', passwordHash: null },
    { ...person, clinicId: 'cli_b', id: 'stf_4', email: 'both@example.org', name: 'Of Both' },
    { ...person, id: 'stf_5', email: 'both@example.org', name: 'Of Both' },
  ])
})

const attempt = (email: string, passphrase = PASSPHRASE, clinicId = 'cli_a', from: string | null = null) =>
  signIn(ctx, { clinicId, email, passphrase, from })

async function signedIn(): Promise<SessionHandle> {
  const result = await attempt('rosa@example.org')
  if (!result.ok) return expect.unreachable(result.error.code)
  return result.value
}

const look = (handle: SessionHandle, isActivity = true) => readStaffSession(ctx, { ...handle, isActivity })

test('the right passphrase opens a session with the person’s role, and the record says so', async () => {
  const handle = await signedIn()
  expect(handle).toMatchObject({ clinicId: 'cli_a', staffId: 'stf_1' })
  expect(await look(handle)).toMatchObject({
    name: 'Rosa Lindqvist',
    actor: { kind: 'staff', clinicId: 'cli_a', id: 'stf_1', role: 'coordinator' },
    leftMs: 15 * 60_000,
  })
  expect(await ctx.db.select().from(auditEvents)).toMatchObject([{ action: 'staff.signed_in', subject: 'stf_1' }])
})

// Security guarantee (ASVS 5.0 6.3.8): nobody learns from the answer who has an account here.
test.each([
  ['an address nobody has', 'nobody@example.org', PASSPHRASE, 'cli_a'],
  ['a wrong passphrase', 'rosa@example.org', 'something else entirely', 'cli_a'],
  ['an account that was closed', 'gone@example.org', PASSPHRASE, 'cli_a'],
  ['an account that signs in elsewhere only', 'sso@example.org', PASSPHRASE, 'cli_a'],
  ['a person of another clinic', 'rosa@example.org', PASSPHRASE, 'cli_b'],
  ['a clinic that is not there', 'rosa@example.org', PASSPHRASE, 'cli_c'],
])('%s gets the one answer that all of them get', async (_case, email, passphrase, clinicId) => {
  expect(await attempt(email, passphrase, clinicId)).toEqual({ ok: false, error: { code: 'not_recognised' } })
  expect(await ctx.db.select().from(staffSessions)).toEqual([])
})

// The work must be the same too, else the clock tells. Counted, not timed: a loaded machine's clock proves nothing.
test('an unknown address costs one comparison of the same strength as a known one', async () => {
  const compared: string[] = []
  const verifyPassword = (hash: string, passphrase: string) => {
    compared.push(hash.split('$').slice(1, 4).join(' '))
    return secrets.verifyPassword(hash, passphrase)
  }
  ctx = { ...ctx, secrets: { ...secrets, verifyPassword } }
  await attempt('rosa@example.org', 'something else entirely')
  await attempt('nobody@example.org')
  // ASVS 5.0 appendix C: argon2id with at least 46 MiB (47104 KiB), one pass, one lane.
  expect(compared).toEqual(Array(2).fill('argon2id v=19 m=47104,t=1,p=1'))
})

test('after ten failures an address is let in no more, even with the right passphrase, until the quarter of an hour is over', async () => {
  for (let tries = 0; tries < 10; tries++) await attempt('rosa@example.org', 'something else entirely')
  expect(await attempt('rosa@example.org')).toEqual({ ok: false, error: { code: 'too_many_tries' } })
  expect((await attempt('both@example.org')).ok).toBe(true)
  now = after(15)
  expect((await attempt('rosa@example.org')).ok).toBe(true)
})

test('tries from one place against many addresses are counted together', async () => {
  const hasty = { ...secrets, verifyPassword: async () => false }
  ctx = { ...ctx, secrets: hasty }
  for (let tries = 0; tries < 60; tries++) await attempt(`guess-${tries}@example.org`, 'x', 'cli_a', '192.0.2.7')
  ctx = { ...ctx, secrets }
  expect(await attempt('rosa@example.org', PASSPHRASE, 'cli_a', '192.0.2.7')).toEqual({
    ok: false,
    error: { code: 'too_many_tries' },
  })
  expect((await attempt('rosa@example.org', PASSPHRASE, 'cli_a', '192.0.2.8')).ok).toBe(true)
})

test('rightful sign-ins never add up to a lock', async () => {
  for (let times = 0; times < 12; times++) expect((await attempt('rosa@example.org')).ok).toBe(true)
})

// Privacy guarantee: the counters are read by operators.
test('counters name nobody', async () => {
  await attempt('rosa@example.org', 'something else entirely', 'cli_a', '192.0.2.7')
  expect(JSON.stringify(await ctx.db.select().from(rateCounters))).not.toMatch(/rosa|192\.0\.2/)
})

test('tries at the same moment are all counted', async () => {
  const results = await Promise.all(
    Array.from({ length: 12 }, () => attempt('rosa@example.org', 'something else entirely')),
  )
  expect(results.filter((result) => !result.ok && result.error.code === 'too_many_tries')).toHaveLength(2)
})

test('a session lasts while something is done, and ends fifteen minutes after the last deed', async () => {
  const handle = await signedIn()
  now = after(14)
  expect(await look(handle)).not.toBeNull()
  now = after(28)
  expect(await look(handle)).not.toBeNull()
  now = after(43)
  expect(await look(handle)).toBeNull()
})

test('a page that only looks keeps nothing alive', async () => {
  const handle = await signedIn()
  now = after(14)
  expect(await look(handle, false)).toMatchObject({ leftMs: 60_000 })
  now = after(15)
  expect(await look(handle, false)).toBeNull()
})

test('after twelve hours of steady work one signs in again', async () => {
  const handle = await signedIn()
  for (let minutes = 10; minutes < 12 * 60; minutes += 10) {
    now = after(minutes)
    expect(await look(handle)).not.toBeNull()
  }
  now = after(12 * 60)
  expect(await look(handle)).toBeNull()
})

test('being seen is written down at most once a minute', async () => {
  const handle = await signedIn()
  const seen = async () => (await ctx.db.select().from(staffSessions))[0]?.lastSeenAt.toString()
  now = morning.add({ seconds: 59 })
  await look(handle)
  expect(await seen()).toBe(morning.toString())
  now = morning.add({ seconds: 60 })
  await look(handle)
  expect(await seen()).toBe(now.toString())
})

test('signing out ends the session for every copy of its cookie, once', async () => {
  const handle = await signedIn()
  const session = await look(handle)
  if (!session) return expect.unreachable('just signed in')
  const asRosa: Ctx = { ...ctx, actor: session.actor }
  now = after(1)
  expect(await endSession(asRosa, { sessionId: handle.sessionId })).toEqual({ ok: true, value: { ended: true } })
  expect(await look(handle)).toBeNull()
  expect(await endSession(asRosa, { sessionId: handle.sessionId })).toEqual({ ok: true, value: { ended: false } })
  const record = await ctx.db.select().from(auditEvents)
  expect(record.filter((event) => event.action === 'staff.signed_out')).toHaveLength(1)
})

test('an account that is closed is out from the next request on', async () => {
  const handle = await signedIn()
  await ctx.db.update(staff).set({ isActive: false })
  expect(await look(handle)).toBeNull()
})

test('a cookie that mixes one person’s session with another’s name opens nothing', async () => {
  const handle = await signedIn()
  expect(await look({ ...handle, staffId: 'stf_5' })).toBeNull()
  expect(await look({ ...handle, clinicId: 'cli_b' })).toBeNull()
})

test('single sign-on lets in whoever has exactly one account, and guesses nobody', async () => {
  const by = (email: string) => signInBySingleSignOn(ctx, { email })
  expect(await by('sso@example.org')).toMatchObject({ ok: true, value: { clinicId: 'cli_a', staffId: 'stf_3' } })
  expect(await by('nobody@example.org')).toEqual({ ok: false, error: { code: 'no_account' } })
  expect(await by('gone@example.org')).toEqual({ ok: false, error: { code: 'no_account' } })
  expect(await by('both@example.org')).toEqual({ ok: false, error: { code: 'several_accounts' } })
})
