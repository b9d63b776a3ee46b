/** Versions of a protocol: drafted, changed, signed off, kept. */
import { eq } from 'drizzle-orm'
import { beforeEach, describe, expect, test } from 'vitest'
import type { Db } from '#db/client.ts'
import { violatedConstraint } from '#db/errors.ts'
import { getProtocol, listCurrentProtocols } from '#db/queries/protocols.ts'
import { auditEvents, patients, protocols, referrals, staff } from '#db/schema/index.ts'
import { secrets } from '#lib/adapters/secrets.ts'
import { Temporal } from '#lib/base/time.ts'
import type { StaffActor } from '#lib/domain/access/actor.ts'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import { dropDraft } from '#lib/usecases/drop-draft.ts'
import { readEffect } from '#lib/usecases/read-effect.ts'
import { readProtocol, readProtocols } from '#lib/usecases/read-protocol.ts'
import { type DraftEdit, saveDraft } from '#lib/usecases/save-draft.ts'
import { saveTriage } from '#lib/usecases/save-triage.ts'
import { type SignProtocolInput, signProtocol } from '#lib/usecases/sign-protocol.ts'
import { startDraft } from '#lib/usecases/start-draft.ts'
import { addReferral, addSmallClinic, CLINIC, contextFor, coordinator, screenAgain } from '#tests/support/clinic.ts'
import { emptyDb } from '#tests/support/db.ts'

const lead: StaffActor = { ...coordinator, id: 'stf_lead', role: 'lead' }
const otherLead: StaffActor = { ...lead, id: 'stf_lead2' }
const ID = footAndAnkle.id
const MINUTES = `stations.${footAndAnkle.stations.findIndex(({ id }) => id === 'walk')}.minutes`

let db: Db
beforeEach(async () => {
  db = (await emptyDb()).db
  await addSmallClinic(db)
  const createdAt = Temporal.Instant.from('2026-01-02T12:00:00Z')
  for (const { id, name } of [
    { id: lead.id, name: 'Lee Marsh' },
    { id: otherLead.id, name: 'Noa Finch' },
  ])
    await db.insert(staff).values({
      clinicId: CLINIC,
      id,
      email: `${id}@example.org`,
      name,
      role: 'lead',
      passwordHash: await secrets.hashPassword('nine paper lanterns glow'),
      createdAt,
    })
})

let contexts = 0
/** Each with ids of its own. */
const as = (actor: StaffActor) => contextFor(db, { actor, ids: `_${++contexts}` })

async function markOf(version = 2): Promise<string> {
  const read = await readProtocol(as(lead), { id: ID, version })
  return read.ok ? read.value.mark : 'none'
}

async function edit(key: string, change: DraftEdit, options: { mark?: string; by?: StaffActor } = {}) {
  const { mark = await markOf(), by = lead } = options
  return saveDraft(as(by), { key, id: ID, version: 2, mark, edit: change })
}

const minutes = (value: string): DraftEdit => ({
  kind: 'fields',
  part: 'stations',
  thingId: 'walk',
  typed: { [MINUTES]: value },
})

async function sign(key: string, change: Partial<SignProtocolInput> = {}, by = lead) {
  return signProtocol(as(by), {
    key,
    id: ID,
    version: 2,
    mark: await markOf(),
    name: by === lead ? 'lee  marsh' : 'Noa Finch',
    licence: 'NY 204417',
    statement: 'I have read it.',
    isAgreed: true,
    passphrase: 'nine paper lanterns glow',
    ...change,
  })
}

async function triageOf(referralId: string) {
  await db
    .update(referrals)
    .set({ stage: 'received', protocolId: null, protocolVersion: null, conditionId: null, side: null, seeBy: null })
    .where(eq(referrals.id, referralId))
  const [row] = await db.select().from(referrals).where(eq(referrals.id, referralId))
  return saveTriage(as(coordinator), {
    referralId,
    version: row?.version ?? 0,
    protocolId: ID,
    conditionId: 'flat_foot',
    side: 'left',
    priority: 'routine',
    checklist: {},
    seeByOn: null,
  })
}

describe('a draft', () => {
  test('is the next version, the same as the one in force but for its number, and there is one at a time', async () => {
    expect(await startDraft(as(lead), { id: ID })).toEqual({ ok: true, value: { version: 2 } })
    expect(await startDraft(as(otherLead), { id: ID })).toEqual({ ok: false, error: { code: 'draft_there' } })
    const read = await readProtocol(as(lead), { id: ID, version: 2 })
    expect(read.ok && read.value.protocol).toEqual({ ...footAndAnkle, version: 2 })
    expect(read.ok && read.value.faults).toEqual([])
    expect((await listCurrentProtocols(db, CLINIC)).map(({ version }) => version)).toEqual([1])
  })

  test('begun by two leads at once is begun once', async () => {
    const [one, two] = await Promise.all([startDraft(as(lead), { id: ID }), startDraft(as(otherLead), { id: ID })])
    expect([one.ok, two.ok].sort()).toEqual([false, true])
    expect(await db.select().from(protocols).where(eq(protocols.status, 'draft'))).toHaveLength(1)
  })

  test('is changed by who looked at it as it is; the second window is told and loses nothing of the first', async () => {
    await startDraft(as(lead), { id: ID })
    const seen = await markOf()
    expect(await edit('cmd_1', minutes('3'), { mark: seen })).toMatchObject({ ok: true, value: { changes: 1 } })
    expect(await edit('cmd_2', minutes('4'), { mark: seen, by: otherLead })).toEqual({
      ok: false,
      error: { code: 'changed_meanwhile' },
    })
    // The same command sent twice is carried out once.
    expect(await edit('cmd_1', minutes('3'), { mark: seen })).toMatchObject({ ok: true, value: { changes: 1 } })
    const read = await readProtocol(as(lead), { id: ID, version: 2 })
    expect(read.ok && read.value.protocol.stations.find(({ id }) => id === 'walk')?.minutes).toBe(3)
  })

  test('keeps a fault out at its field, and takes a whole document only without any', async () => {
    await startDraft(as(lead), { id: ID })
    expect(await edit('cmd_1', minutes('0'))).toMatchObject({
      ok: false,
      error: { code: 'field_faults', faults: [{ field: MINUTES }] },
    })
    const text = JSON.stringify({ ...footAndAnkle, version: 2, helperFact: 'nobody' })
    expect(await edit('cmd_2', { kind: 'document', text })).toMatchObject({
      ok: false,
      error: { code: 'document_faults', faults: [{ path: 'helperFact' }] },
    })
    const mended = JSON.stringify({ ...footAndAnkle, version: 2, title: { en: 'Foot', es: 'Pie' } })
    expect(await edit('cmd_3', { kind: 'document', text: mended })).toMatchObject({ ok: true, value: { changes: 2 } })
  })

  test('gets a thing back as it is in force, and only that thing', async () => {
    await startDraft(as(lead), { id: ID })
    await edit('cmd_1', minutes('3'))
    await edit('cmd_2', { kind: 'retire', stationId: 'tarsal_tap' })
    expect(await edit('cmd_3', { kind: 'take_back', group: 'stations/walk' })).toMatchObject({ ok: true })
    const read = await readProtocol(as(lead), { id: ID, version: 2 })
    const stations = read.ok ? read.value.protocol.stations : []
    expect(stations.find(({ id }) => id === 'walk')).toEqual(footAndAnkle.stations.find(({ id }) => id === 'walk'))
    expect(stations.some(({ id }) => id === 'tarsal_tap')).toBe(false)
  })

  test('that is dropped stays whole in the audit', async () => {
    await startDraft(as(lead), { id: ID })
    await edit('cmd_1', minutes('3'))
    const input = { key: 'cmd_2', id: ID, version: 2, mark: await markOf() }
    expect(await dropDraft(as(lead), input)).toEqual({ ok: true, value: { version: 2 } })
    expect(await readProtocol(as(lead), { id: ID, version: 2 })).toEqual({ ok: false, error: { code: 'not_found' } })
    const [line] = await db.select().from(auditEvents).where(eq(auditEvents.action, 'protocol.draft_dropped'))
    const walk = footAndAnkle.stations.findIndex(({ id }) => id === 'walk')
    expect(line?.before).toHaveProperty(`document.stations.${walk}.minutes`, 3)
  })
})

describe('signing off', () => {
  test('puts the version in force for new triages; a referral under way keeps its own', async () => {
    await addReferral(db, { id: 'ref_old' })
    await addReferral(db, { id: 'ref_new' })
    await startDraft(as(lead), { id: ID })
    await edit('cmd_1', minutes('20'))
    expect(await sign('cmd_2')).toEqual({ ok: true, value: { version: 2 } })
    expect((await listCurrentProtocols(db, CLINIC)).map(({ version }) => version)).toEqual([2])

    expect(await triageOf('ref_new')).toMatchObject({ ok: true })
    await screenAgain(db, 'ref_old', '2026-03-03T13:00:00Z')
    const versions = await db.select({ id: referrals.id, version: referrals.protocolVersion }).from(referrals)
    expect(Object.fromEntries(versions.map(({ id, version }) => [id, version]))).toEqual({ ref_old: 1, ref_new: 2 })
    const [one, two] = [await getProtocol(db, CLINIC, ID, 1), await getProtocol(db, CLINIC, ID, 2)]
    expect(one.stations.find(({ id }) => id === 'walk')?.minutes).not.toBe(20)
    expect(two.stations.find(({ id }) => id === 'walk')?.minutes).toBe(20)

    const read = await readProtocols(as(coordinator))
    expect(read.ok && read.value[0]).toMatchObject({
      version: 2,
      isInForce: true,
      signedOffBy: 'Lee Marsh',
      licence: 'NY 204417',
      statement: 'I have read it.',
    })
  })

  test('makes the words of a version unchangeable, whatever asks', async () => {
    await startDraft(as(lead), { id: ID })
    const seen = await markOf()
    await sign('cmd_1')
    expect(await edit('cmd_2', minutes('3'), { mark: seen })).toEqual({ ok: false, error: { code: 'not_a_draft' } })
    expect(await dropDraft(as(lead), { key: 'cmd_3', id: ID, version: 2, mark: seen })).toEqual({
      ok: false,
      error: { code: 'not_a_draft' },
    })
    const isKept = (error: unknown) => violatedConstraint(error) === 'protocols_signed_off_kept'
    await expect(db.update(protocols).set({ document: {} })).rejects.toSatisfy(isKept)
    await expect(db.update(protocols).set({ status: 'draft' })).rejects.toSatisfy(isKept)
    await expect(db.delete(protocols)).rejects.toSatisfy(isKept)
  })

  test('by two leads at once is done once, and the other is told', async () => {
    await startDraft(as(lead), { id: ID })
    const results = await Promise.all([sign('cmd_1'), sign('cmd_2', {}, otherLead)])
    expect(results.filter(({ ok }) => ok)).toHaveLength(1)
    expect(results.filter(({ ok }) => !ok)).toEqual([{ ok: false, error: { code: 'not_a_draft' } }])
    expect(await db.select().from(auditEvents).where(eq(auditEvents.action, 'protocol.signed_off'))).toHaveLength(1)
  })

  test('is of what was read: a draft that changed meanwhile is not signed', async () => {
    await startDraft(as(lead), { id: ID })
    const mark = await markOf()
    await edit('cmd_1', minutes('3'), { by: otherLead })
    expect(await sign('cmd_2', { mark })).toEqual({ ok: false, error: { code: 'changed_meanwhile' } })
  })

  test('asks for name, licence, agreement and passphrase', async () => {
    await startDraft(as(lead), { id: ID })
    expect(await sign('cmd_1', { name: 'Lee', licence: '', isAgreed: false })).toEqual({
      ok: false,
      error: { code: 'not_signed', missing: ['name', 'licence', 'agreed'] },
    })
    expect(await sign('cmd_2', { passphrase: 'wrong' })).toEqual({ ok: false, error: { code: 'wrong_passphrase' } })
    expect((await listCurrentProtocols(db, CLINIC)).map(({ version }) => version)).toEqual([1])
  })

  // A station out of every condition: the draft is kept so, and nobody can be examined by it.
  test('waits until nothing is wrong with the draft', async () => {
    await startDraft(as(lead), { id: ID })
    for (const [at, condition] of footAndAnkle.conditions.entries())
      await edit(`cmd_${condition.id}`, {
        kind: 'fields',
        part: 'conditions',
        thingId: condition.id,
        typed: { [`conditions.${at}.standing.tarsal_tap`]: 'not_part' },
      })
    const read = await readProtocol(as(lead), { id: ID, version: 2 })
    expect(read.ok && read.value.faults.map(({ message }) => message)).toEqual(['no condition uses "tarsal_tap"'])
    expect(await sign('cmd_s')).toEqual({ ok: false, error: { code: 'has_faults', count: 1 } })
  })

  test('of the first version takes a clinic that had none from draft to use', async () => {
    await db.insert(protocols).values({
      clinicId: CLINIC,
      id: 'ankle',
      version: 1,
      status: 'draft',
      document: { ...footAndAnkle, id: 'ankle' },
    })
    const read = await readProtocol(as(lead), { id: 'ankle', version: 1 })
    const mark = read.ok ? read.value.mark : ''
    expect(await sign('cmd_1', { id: 'ankle', version: 1, mark })).toMatchObject({ ok: true })
    expect((await listCurrentProtocols(db, CLINIC)).map(({ id }) => id)).toEqual(['ankle', ID])
  })
})

describe('what a draft would have changed', () => {
  test('is nothing before it is changed, and then what follows from the change, and writes nothing', async () => {
    await addReferral(db, { id: 'ref_1' })
    await addReferral(db, { id: 'ref_2', answers: {} })
    await startDraft(as(lead), { id: ID })
    const same = await readEffect(as(lead), { id: ID, version: 2, last: 50 })
    expect(same).toMatchObject({ ok: true, value: { effect: { cases: 2, changed: 0 }, changed: [], isPart: false } })
    await edit('cmd_1', minutes('20'))
    const lines = await db.select().from(auditEvents)
    const after = await readEffect(as(lead), { id: ID, version: 2, last: 50 })
    expect(after).toMatchObject({
      ok: true,
      value: { effect: { changed: 1, moves: [] }, changed: [{ id: 'ref_1', differs: 'extent' }], unanswered: 1 },
    })
    const one = after.ok ? after.value.changed[0] : null
    expect(one?.after?.visitMin).toBeGreaterThan(one?.before?.visitMin ?? 0)
    expect(await db.select().from(auditEvents)).toEqual(lines)
  })

  test('looks at no more than was asked, the newest first', async () => {
    await addReferral(db, { id: 'ref_1' })
    await addReferral(db, { id: 'ref_2' })
    await startDraft(as(lead), { id: ID })
    const read = await readEffect(as(lead), { id: ID, version: 2, last: 1 })
    expect(read).toMatchObject({ ok: true, value: { effect: { cases: 1 }, asked: 1 } })
  })
})

describe('who may', () => {
  const admin: StaffActor = { ...coordinator, id: 'stf_admin', role: 'admin' }
  const clinician: StaffActor = { ...coordinator, id: 'stf_cli', role: 'clinician' }

  test.each([coordinator, clinician, admin])('$role reads and changes nothing', async (actor) => {
    await startDraft(as(lead), { id: ID })
    const mark = await markOf()
    expect(await readProtocol(as(actor), { id: ID, version: 2 })).toMatchObject({ ok: true })
    const refused = { ok: false, error: { code: 'not_allowed' } }
    expect(await startDraft(as(actor), { id: ID })).toEqual(refused)
    expect(await edit('cmd_1', minutes('3'), { by: actor })).toEqual(refused)
    expect(await dropDraft(as(actor), { key: 'cmd_2', id: ID, version: 2, mark })).toEqual(refused)
    expect(await sign('cmd_3', {}, actor)).toEqual(refused)
  })

  test('an admin does not see for whom it would have changed something', async () => {
    expect(await readEffect(as(admin), { id: ID, version: 1, last: 5 })).toEqual({
      ok: false,
      error: { code: 'not_allowed' },
    })
  })

  test('another clinic’s protocol looks like none', async () => {
    const stranger = { ...lead, clinicId: 'cln_2' }
    expect(await readProtocol(as(stranger), { id: ID, version: 1 })).toEqual({
      ok: false,
      error: { code: 'not_found' },
    })
    expect(await db.select().from(patients)).toEqual([])
  })
})
