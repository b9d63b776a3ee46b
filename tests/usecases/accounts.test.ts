/** Accounts are kept by those who may, a new passphrase signs out everywhere, and somebody is always left to keep them. */
import { eq } from 'drizzle-orm'
import { beforeEach, describe, expect, test } from 'vitest'
import type { Db } from '#db/client.ts'
import { auditEvents, staff } from '#db/schema/index.ts'
import type { StaffActor } from '#lib/domain/access/actor.ts'
import { changePassphrase } from '#lib/usecases/change-passphrase.ts'
import { readAccounts } from '#lib/usecases/read-accounts.ts'
import { readStaffSession } from '#lib/usecases/read-staff-session.ts'
import { type SaveAccountInput, saveAccount } from '#lib/usecases/save-account.ts'
import { signIn } from '#lib/usecases/sign-in.ts'
import { addSmallClinic, CLINIC, contextFor, coordinator, NOW } from '#tests/support/clinic.ts'
import { emptyDb } from '#tests/support/db.ts'

const PASSPHRASE = 'three metres of clear floor'
const ANOTHER = 'a chair of the right height'
const admin: StaffActor = { ...coordinator, id: 'stf_admin', role: 'admin' }
const raw = {
  name: ' Vera  Schist ',
  email: 'Vera@Example.org',
  role: 'clinician',
  clinicianId: 'cli_ames',
  passphrase: PASSPHRASE,
}

let db: Db
beforeEach(async () => {
  db = (await emptyDb()).db
  await addSmallClinic(db)
  await db.insert(staff).values({
    clinicId: CLINIC,
    id: admin.id,
    email: 'admin@example.org',
    name: 'Ada Min',
    role: 'admin',
    createdAt: contextFor(db).now(),
  })
})

let keys = 0
const save = (change: Partial<SaveAccountInput> = {}, actor = admin) => {
  keys += 1
  return saveAccount(contextFor(db, { actor, ids: `a${keys}` }), {
    key: `account ${keys}`,
    accountId: null,
    deed: { kind: 'write', raw },
    ...change,
  })
}
const enter = (passphrase: string) =>
  signIn(contextFor(db, { ids: `s${keys++}` }), { clinicId: CLINIC, email: 'vera@example.org', passphrase, from: null })
const isSignedIn = async (entered: Awaited<ReturnType<typeof enter>>) => {
  if (!entered.ok) throw new Error(entered.error.code)
  return (await readStaffSession(contextFor(db), { ...entered.value, isActivity: false })) !== null
}

describe('an account', () => {
  test('is added with its clinician, and its person signs in as that clinician', async () => {
    const added = await save()
    if (!added.ok) throw new Error(added.error.code)
    const entered = await enter(PASSPHRASE)
    if (!entered.ok) throw new Error(entered.error.code)
    const session = await readStaffSession(contextFor(db), { ...entered.value, isActivity: false })
    expect(session?.actor).toMatchObject({ role: 'clinician', clinicianId: 'cli_ames' })
    const read = await readAccounts(contextFor(db, { actor: admin }))
    expect(read.ok && read.value.accounts.find(({ id }) => id === added.value.accountId)).toMatchObject({
      name: 'Vera Schist',
      email: 'vera@example.org',
      isActive: true,
      lastSeenAt: NOW,
      hasPassphrase: true,
    })
  })

  test('says everything that is wrong at its field, and nothing is kept', async () => {
    const before = (await db.select().from(staff)).length
    const wrong = { name: '', email: 'vera at home', role: 'clinician', clinicianId: 'cli_nobody', passphrase: 'short' }
    expect(await save({ deed: { kind: 'write', raw: wrong } })).toEqual({
      ok: false,
      error: {
        code: 'faults',
        faults: [
          { field: 'name', code: 'required' },
          { field: 'email', code: 'no_address' },
          { field: 'clinicianId', code: 'unknown' },
          { field: 'passphrase', code: 'too_short' },
        ],
      },
    })
    const listless = { ...raw, clinicianId: '' }
    expect(await save({ deed: { kind: 'write', raw: listless } })).toMatchObject({
      error: { faults: [{ field: 'clinicianId', code: 'required' }] },
    })
    expect(await db.select().from(staff)).toHaveLength(before)
  })

  test('has an e-mail that nobody else of the clinic has', async () => {
    await save()
    expect(await save()).toEqual({ ok: false, error: { code: 'email_taken' } })
  })

  test('that is changed without a passphrase keeps the one it had, and its browsers', async () => {
    const added = await save()
    if (!added.ok) throw new Error(added.error.code)
    const entered = await enter(PASSPHRASE)
    const later = { ...raw, name: 'Vera Gneiss', passphrase: '' }
    await save({ accountId: added.value.accountId, deed: { kind: 'write', raw: later } })
    expect(await isSignedIn(entered)).toBe(true)
    expect((await enter(PASSPHRASE)).ok).toBe(true)
  })

  test('that gets a new passphrase or closes is signed out everywhere', async () => {
    const added = await save()
    if (!added.ok) throw new Error(added.error.code)
    const { accountId } = added.value
    const first = await enter(PASSPHRASE)
    await save({ accountId, deed: { kind: 'write', raw: { ...raw, passphrase: ANOTHER } } })
    expect(await isSignedIn(first)).toBe(false)
    expect((await enter(PASSPHRASE)).ok).toBe(false)
    const second = await enter(ANOTHER)
    await save({ accountId, deed: { kind: 'close' } })
    expect(await isSignedIn(second)).toBe(false)
    expect((await enter(ANOTHER)).ok).toBe(false)
    await save({ accountId, deed: { kind: 'reopen' } })
    expect((await enter(ANOTHER)).ok).toBe(true)
  })

  test('of the last person who may keep them neither closes nor works as anything less', async () => {
    const less = { name: 'Ada Min', email: 'admin@example.org', role: 'coordinator', clinicianId: '', passphrase: '' }
    for (const deed of [{ kind: 'close' }, { kind: 'write', raw: less }] as const)
      expect(await save({ accountId: admin.id, deed })).toEqual({ ok: false, error: { code: 'last_keeper' } })
    // With a lead there is somebody.
    const lead = { ...raw, role: 'lead', clinicianId: '' }
    expect((await save({ deed: { kind: 'write', raw: lead } })).ok).toBe(true)
    expect((await save({ accountId: admin.id, deed: { kind: 'close' } })).ok).toBe(true)
  })

  test('is nothing a coordinator or a clinician touches, and the record never holds a passphrase', async () => {
    expect(await save({}, coordinator)).toEqual({ ok: false, error: { code: 'not_allowed' } })
    expect(await readAccounts(contextFor(db))).toEqual({ ok: false, error: { code: 'not_allowed' } })
    await save()
    const lines = await db.select().from(auditEvents).where(eq(auditEvents.action, 'account.added'))
    expect(lines).toHaveLength(1)
    expect(JSON.stringify(lines)).not.toContain(PASSPHRASE)
  })
})

describe('one’s own passphrase', () => {
  test('changes with the one there is, and ends every browser', async () => {
    const added = await save()
    if (!added.ok) throw new Error(added.error.code)
    const entered = await enter(PASSPHRASE)
    const mine = contextFor(db, { actor: { ...admin, id: added.value.accountId, role: 'clinician' }, ids: 'own' })
    const change = (current: string, next: string, repeated = next) =>
      changePassphrase(mine, { current, next, repeated })
    expect(await change(ANOTHER, ANOTHER)).toEqual({ ok: false, error: { code: 'wrong_current' } })
    expect(await change(PASSPHRASE, 'short')).toEqual({ ok: false, error: { code: 'weak', fault: 'too_short' } })
    expect(await change(PASSPHRASE, ANOTHER, PASSPHRASE)).toEqual({ ok: false, error: { code: 'not_the_same' } })
    expect(await isSignedIn(entered)).toBe(true)
    expect(await change(PASSPHRASE, ANOTHER)).toEqual({ ok: true, value: null })
    expect(await isSignedIn(entered)).toBe(false)
    expect((await enter(ANOTHER)).ok).toBe(true)
  })

  test('is guessed at ten times in a quarter of an hour, and no more', async () => {
    const added = await save()
    if (!added.ok) throw new Error(added.error.code)
    const mine = contextFor(db, { actor: { ...admin, id: added.value.accountId }, ids: 'own' })
    const guess = () => changePassphrase(mine, { current: 'not that one at all', next: ANOTHER, repeated: ANOTHER })
    const codes: string[] = []
    for (let nth = 0; nth < 11; nth += 1) {
      const result = await guess()
      codes.push(result.ok ? 'changed' : result.error.code)
    }
    expect(codes).toEqual([...Array(10).fill('wrong_current'), 'too_many_tries'])
  })

  test('is not there for whoever signs in through the organisation', async () => {
    const mine = contextFor(db, { actor: admin })
    expect(await changePassphrase(mine, { current: PASSPHRASE, next: ANOTHER, repeated: ANOTHER })).toEqual({
      ok: false,
      error: { code: 'has_none' },
    })
  })
})
