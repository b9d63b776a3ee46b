import { and, eq } from 'drizzle-orm'
import { beforeEach, describe, expect, test } from 'vitest'
import type { Db } from '#db/client.ts'
import { violatedConstraint } from '#db/errors.ts'
import {
  addenda,
  assessments,
  auditEvents,
  findings,
  followUps,
  referrals,
  stationOutcomes,
  tasks,
  visitChecks,
  visitRecords,
  visits,
} from '#db/schema/index.ts'
import type { StaffActor } from '#lib/domain/access/actor.ts'
import { turnsOf } from '#lib/domain/outcomes/record.ts'
import { CHECK_ITEMS } from '#lib/domain/outcomes/vocabulary.ts'
import type { ExamPlan } from '#lib/domain/plan/exam-plan.ts'
import { addAddendum } from '#lib/usecases/add-addendum.ts'
import { answerQuestions } from '#lib/usecases/answer-questions.ts'
import { bookVisit } from '#lib/usecases/book-visit.ts'
import { cancelVisit } from '#lib/usecases/cancel-visit.ts'
import { closeReferral } from '#lib/usecases/close-referral.ts'
import { type RecordEntryInput, recordEntry } from '#lib/usecases/record-entry.ts'
import { recordNoShow } from '#lib/usecases/record-no-show.ts'
import { type SignVisitInput, signVisit } from '#lib/usecases/sign-visit.ts'
import { addReferral, addSmallClinic, contextFor, coordinator } from '#tests/support/clinic.ts'
import { emptyDb } from '#tests/support/db.ts'
import { asking } from '#tests/support/starts.ts'

const START = '2026-03-03T14:00:00Z'
const DURING = '2026-03-03T14:20:00Z'
const ames: StaffActor = { ...coordinator, id: 'stf_ames', role: 'clinician', clinicianId: 'cli_ames' }
const boyd: StaffActor = { ...coordinator, id: 'stf_boyd', role: 'clinician', clinicianId: 'cli_boyd' }
const lead: StaffActor = { ...coordinator, id: 'stf_lead', role: 'lead', clinicianId: null }

let db: Db
let visitId: string
let plan: ExamPlan

beforeEach(async () => {
  db = (await emptyDb()).db
  await addSmallClinic(db)
  await addReferral(db, { id: 'ref_1' })
  const ctx = contextFor(db, { ids: 'a' })
  const booked = await bookVisit(ctx, {
    key: 'book ref_1',
    referralId: 'ref_1',
    heldVisitId: null,
    start: asking(START),
  })
  if (!booked.ok) throw new Error(booked.error.code)
  visitId = booked.value.visitId
  const [row] = await db.select({ plan: visits.plan }).from(visits)
  plan = row?.plan as ExamPlan
})

let count = 0
const asClinician = (options: { actor?: StaffActor; now?: string } = {}) => {
  count += 1
  return contextFor(db, { actor: ames, now: DURING, ids: `n${count}`, ...options })
}

const station = (at: number, fields: Record<string, string>, change: Partial<RecordEntryInput> = {}) => {
  const turn = turnsOf(plan)[at]
  if (!turn) throw new Error('the plan is shorter')
  return {
    visitId,
    entryId: `entry ${at} ${JSON.stringify(fields)}`,
    base: 0,
    what: { kind: 'station' as const, ...turn, fields },
    ...change,
  }
}
const check = (item: (typeof CHECK_ITEMS)[number], fields: Record<string, string> = { state: 'confirmed' }) => ({
  ...{ visitId, entryId: `check ${item} ${fields.state}`, base: 0 },
  what: { kind: 'check' as const, item, fields },
})
const stop = (): RecordEntryInput => ({ visitId, entryId: 'stop 1234', base: 0, what: { kind: 'stop', fields: {} } })

const checkAll = async () => {
  for (const item of CHECK_ITEMS) expect(await recordEntry(asClinician(), check(item))).toMatchObject({ ok: true })
}
const doAll = async () => {
  for (const [at] of turnsOf(plan).entries())
    expect(await recordEntry(asClinician(), station(at, { result: 'done', judgement: 'normal' }))).toMatchObject({
      ok: true,
    })
}
const revision = async () => {
  const rows = [...(await db.select().from(visitChecks)), ...(await db.select().from(stationOutcomes))]
  const [record] = await db.select().from(visitRecords)
  return rows.reduce((sum, row) => sum + row.version, record?.stoppedAt ? 1 : 0)
}
const sign = async (change: Partial<SignVisitInput> = {}): Promise<SignVisitInput> => ({
  ...{
    key: 'sign visit',
    visitId,
    revision: await revision(),
    outcome: 'completed',
    note: 'All seen.',
    isRestNotDone: false,
  },
  followUp: { kind: 'none', stations: [], seeByOn: null, because: 'Nothing more is needed' },
  ...change,
})
const taskKinds = async () =>
  (await db.select().from(tasks)).filter(({ doneAt }) => doneAt === null).map(({ kind }) => kind)

describe('entries', () => {
  test('an entry stands with its findings, its version and its line in the record of deeds', async () => {
    const at = turnsOf(plan).findIndex(({ stationId }) => stationId === 'heel_raise_single')
    const fields = { result: 'done', judgement: 'abnormal', text: 'Heel stays out', 'value-heel_rises': '9' }
    const done = await recordEntry(asClinician(), station(at, fields))
    expect(done).toEqual({ ok: true, value: { version: 1, said: 'Done. Abnormal: Heel stays out. Heel rises: 9.' } })
    expect(await db.select().from(findings)).toMatchObject([
      { measureId: '', kind: 'abnormal', text: 'Heel stays out', value: null },
      { measureId: 'heel_rises', kind: 'measured', value: 9, unit: 'count' },
    ])
    const lines = await db.select().from(auditEvents).where(eq(auditEvents.action, 'visit.station_recorded'))
    expect(lines).toMatchObject([{ actorId: 'stf_ames', subject: visitId, after: { stationId: 'heel_raise_single' } }])
  })

  test('sent twice it is written once and answered alike', async () => {
    const entry = station(0, { result: 'done' })
    const first = await recordEntry(asClinician(), entry)
    expect(await recordEntry(asClinician(), entry)).toEqual(first)
    expect(await db.select().from(stationOutcomes)).toMatchObject([{ version: 1 }])
  })

  test('whoever writes over what they have not seen is shown it, and can still write', async () => {
    await recordEntry(asClinician(), station(0, { result: 'done' }))
    const late = station(0, { result: 'stopped', reason: 'pain' }, { entryId: 'from the other window' })
    const refused = await recordEntry(asClinician({ actor: lead }), late)
    expect(refused).toMatchObject({
      ok: false,
      error: { code: 'conflict', standing: { version: 1, fields: { result: 'done', text: '' }, said: 'Done.' } },
    })
    expect(await db.select().from(stationOutcomes)).toMatchObject([{ result: 'done' }])
    expect(await recordEntry(asClinician({ actor: lead }), { ...late, base: 1 })).toMatchObject({
      value: { version: 2 },
    })
    expect(await db.select().from(stationOutcomes)).toMatchObject([{ result: 'stopped', recordedBy: 'stf_lead' }])
  })

  test('two who write the same do not disagree', async () => {
    await recordEntry(asClinician(), station(0, { result: 'done' }))
    const same = station(0, { result: 'done' }, { entryId: 'from the other window' })
    expect(await recordEntry(asClinician(), same)).toMatchObject({ ok: true, value: { version: 1 } })
  })

  test.each<[string, StaffActor, string, string]>([
    ['another clinician', boyd, DURING, 'visit_not_found'],
    ['a coordinator', coordinator, DURING, 'visit_not_found'],
    ['a person of another clinic', { ...lead, clinicId: 'cln_2' }, DURING, 'visit_not_found'],
    ['anybody on the day before', ames, '2026-03-02T14:00:00Z', 'too_early'],
  ])('%s is refused', async (_name, actor, now, code) => {
    const refused = await recordEntry(asClinician({ actor, now }), station(0, { result: 'done' }))
    expect(refused).toEqual({ ok: false, error: { code } })
    expect(await db.select().from(visitRecords)).toEqual([])
  })

  test('what is not of this visit is refused, and what is wrong is named at its field', async () => {
    const entry = station(0, { result: 'done' })
    const other = { ...entry, what: { ...entry.what, stationId: 'calf_squeeze' } }
    expect(await recordEntry(asClinician(), other)).toEqual({ ok: false, error: { code: 'not_of_this_visit' } })
    expect(await recordEntry(asClinician(), station(0, { result: 'stopped' }))).toMatchObject({
      error: { code: 'refused', faults: [{ field: 'reason' }] },
    })
  })

  // Safety: what was predicted must stay beside what came of it, and nobody's exam changes while they are examined.
  test('once begun the visit keeps its plan, its start and its screening', async () => {
    await recordEntry(asClinician(), station(0, { result: 'done' }))
    const [before] = await db.select().from(visits)
    await answerQuestions(asClinician({ actor: coordinator }), {
      referralId: 'ref_1',
      given: [{ factId: 'helper', raw: 'no' }],
    })
    const [after] = await db.select().from(visits)
    expect(after?.plan).toEqual(before?.plan)
    const cancelled = await cancelVisit(asClinician({ actor: coordinator }), {
      ...{ key: 'cancel visit', visitId, version: before?.version ?? 0, because: 'A mistake' },
    })
    expect(cancelled).toEqual({ ok: false, error: { code: 'not_booked' } })
    const moved = db.update(visits).set({ plan: null }).where(eq(visits.id, visitId))
    await expect(moved).rejects.toSatisfy((error) => violatedConstraint(error) === 'visits_begun_kept')
  })
})

describe('stop for safety', () => {
  test('it is on the desk at once, said once, and never taken back', async () => {
    expect(await recordEntry(asClinician(), stop())).toMatchObject({ ok: true })
    expect(await recordEntry(asClinician(), { ...stop(), entryId: 'stop again' })).toMatchObject({ ok: true })
    expect(await taskKinds()).toEqual(['safety_stop'])
    const back = db.update(visitRecords).set({ stoppedAt: null })
    await expect(back).rejects.toSatisfy((error) => violatedConstraint(error) === 'visit_records_stop_kept')
  })

  test('such a visit is signed as stopped, with somebody to see or call the patient, and stays on the desk', async () => {
    await checkAll()
    await recordEntry(asClinician(), stop())
    expect(await signVisit(asClinician(), await sign())).toMatchObject({
      error: { code: 'refused', faults: [{ field: 'rest' }, { field: 'outcome' }] },
    })
    const stopped = await sign({ outcome: 'stopped_for_safety', note: 'Dizzy on standing up' })
    expect(await signVisit(asClinician(), stopped)).toMatchObject({
      error: { code: 'refused', faults: [{ field: 'followUp' }] },
    })
    const followUp = { kind: 'in_person' as const, stations: ['walk'], seeByOn: '2026-03-04', because: '' }
    expect(await signVisit(asClinician(), { ...stopped, followUp })).toMatchObject({ ok: true })
    expect(await taskKinds()).toEqual(['safety_stop'])
    const notReached = await db.select().from(stationOutcomes).where(eq(stationOutcomes.result, 'not_reached'))
    expect(notReached).toHaveLength(turnsOf(plan).length)
  })

  test('its referral is not closed while nobody has answered for it', async () => {
    await recordEntry(asClinician(), stop())
    await db.update(visits).set({ status: 'done' })
    expect(await closeReferral(asClinician(), { referralId: 'ref_1', because: 'All well' })).toEqual({
      ok: false,
      error: { code: 'stopped' },
    })
  })
})

describe('signing', () => {
  test('a whole visit is signed, locked, and its referral closed with the reason', async () => {
    await checkAll()
    await doAll()
    expect(await signVisit(asClinician(), await sign())).toEqual({
      ok: true,
      value: { visitId, referralId: 'ref_1', followUpReferralId: null },
    })
    expect(await db.select().from(visits)).toMatchObject([{ status: 'done' }])
    expect(await db.select().from(referrals)).toMatchObject([
      { stage: 'closed', closedBecause: 'After the visit of 2026-03-03, no follow-up: Nothing more is needed' },
    ])
    expect(
      await recordEntry(asClinician(), station(0, { result: 'done' }, { entryId: 'too late now', base: 1 })),
    ).toEqual({
      ok: false,
      error: { code: 'signed' },
    })
  })

  test('the database itself keeps a signed record, whatever the code does', async () => {
    await checkAll()
    await doAll()
    await signVisit(asClinician(), await sign())
    const isKept = (error: unknown) => violatedConstraint(error) === 'visit_records_signed_kept'
    await expect(db.update(visitRecords).set({ note: 'Other' })).rejects.toSatisfy(isKept)
    await expect(db.delete(visitRecords)).rejects.toSatisfy(isKept)
    await expect(db.update(stationOutcomes).set({ result: 'stopped', reason: 'pain' })).rejects.toSatisfy(isKept)
    await expect(db.delete(findings)).rejects.toSatisfy(isKept)
    await expect(db.delete(visitChecks)).rejects.toSatisfy(isKept)
    await expect(db.update(followUps).set({ because: 'Other' })).rejects.toThrow()
  })

  test('nothing is signed with a check passed over, an entry missing, or a page that is older than the record', async () => {
    const before = await sign()
    await checkAll()
    expect(await signVisit(asClinician(), before)).toEqual({ ok: false, error: { code: 'changed_meanwhile' } })
    expect(await signVisit(asClinician(), await sign())).toMatchObject({
      error: { code: 'refused', faults: [{ field: 'rest' }] },
    })
    expect(await db.select().from(visits)).toMatchObject([{ status: 'booked' }])
  })

  test('a check that was passed over is named', async () => {
    await recordEntry(asClinician(), check('identity'))
    await recordEntry(asClinician(), check('place', { state: 'skipped', because: 'Line too bad' }))
    const signed = await signVisit(asClinician(), await sign({ isRestNotDone: true }))
    expect(signed).toMatchObject({
      error: { faults: [{ message: 'Confirm or skip first: whom to call for them, consent to a visit by video' }] },
    })
  })

  test('what there was no time for is written down, and becomes a referral of its own with its own see-by time', async () => {
    await checkAll()
    await recordEntry(asClinician(), station(0, { result: 'done' }))
    const [first] = plan.steps
    const left = plan.steps.find(({ stationId }) => stationId !== first?.stationId)?.stationId ?? ''
    const followUp = { kind: 'in_person' as const, stations: [left], seeByOn: '2026-03-17', because: 'Needs hands' }
    const signed = await signVisit(asClinician(), await sign({ isRestNotDone: true, followUp }))
    if (!signed.ok) throw new Error(JSON.stringify(signed.error))
    const id = signed.value.followUpReferralId ?? ''
    expect(await db.select().from(followUps)).toMatchObject([{ kind: 'in_person', referralId: id, stations: [left] }])
    const [next] = await db.select().from(referrals).where(eq(referrals.id, id))
    expect(next).toMatchObject({ stage: 'screened', source: 'follow_up', conditionId: 'flat_foot', side: 'left' })
    // 17:00 in New York, which has daylight time from 8 March 2026.
    expect(next?.seeBy?.toString()).toBe('2026-03-17T21:00:00Z')
    const newest = await db.select().from(assessments).where(eq(assessments.referralId, id))
    expect(newest.map(({ overruledTo }) => overruledTo)).toContain('in_person')
    expect(await db.select().from(referrals).where(eq(referrals.id, 'ref_1'))).toMatchObject([{ stage: 'closed' }])
    const undone = await db
      .select()
      .from(stationOutcomes)
      .where(and(eq(stationOutcomes.result, 'not_possible'), eq(stationOutcomes.reason, 'no_time')))
    expect(undone).toHaveLength(turnsOf(plan).length - 1)
  })

  test('a follow-up can be brought forward, not put off', async () => {
    await checkAll()
    const late = { kind: 'in_person' as const, stations: ['walk'], seeByOn: '2026-05-30', because: '' }
    expect(await signVisit(asClinician(), await sign({ isRestNotDone: true, followUp: late }))).toMatchObject({
      error: { code: 'refused', faults: [{ field: 'seeByOn' }] },
    })
  })

  test('a line that failed puts the patient back on the desk', async () => {
    await checkAll()
    const followUp = { kind: 'by_video' as const, stations: [], seeByOn: null, because: '' }
    const failed = await sign({ outcome: 'technical_failure', note: 'No sound', followUp })
    expect(await signVisit(asClinician(), failed)).toMatchObject({ ok: true })
    expect(await db.select().from(referrals)).toMatchObject([{ stage: 'screened' }])
    expect(await taskKinds()).toEqual(['after_visit'])
  })

  test('sent twice it is signed once', async () => {
    await checkAll()
    await doAll()
    const input = await sign()
    const first = await signVisit(asClinician(), input)
    expect(await signVisit(asClinician(), input)).toEqual(first)
    expect(await db.select().from(followUps)).toHaveLength(1)
  })
})

describe('a patient who did not come', () => {
  const noShow = { key: 'no show visit', note: 'Called twice, no answer' }

  test('is called and booked again; the coordinator may say so', async () => {
    expect(await recordNoShow(asClinician({ actor: coordinator }), { ...noShow, visitId })).toMatchObject({ ok: true })
    expect(await db.select().from(visits)).toMatchObject([{ status: 'no_show' }])
    expect(await db.select().from(referrals)).toMatchObject([{ stage: 'screened' }])
    expect(await taskKinds()).toEqual(['after_visit'])
    expect(await db.select().from(visitRecords)).toMatchObject([{ outcome: 'no_show', beganAt: null }])
  })

  test('is not said before the start, nor of a visit that has begun', async () => {
    const early = asClinician({ actor: coordinator, now: '2026-03-03T13:59:00Z' })
    expect(await recordNoShow(early, { ...noShow, visitId })).toEqual({ ok: false, error: { code: 'too_early' } })
    await recordEntry(asClinician(), check('identity'))
    expect(await recordNoShow(asClinician(), { ...noShow, visitId })).toEqual({
      ok: false,
      error: { code: 'has_begun' },
    })
  })
})

describe('addenda', () => {
  const added = { key: 'addendum 1', text: 'The left side was meant.' }

  test('are added to a signed record only, and stay', async () => {
    await checkAll()
    await doAll()
    expect(await addAddendum(asClinician(), { ...added, visitId })).toEqual({
      ok: false,
      error: { code: 'not_signed' },
    })
    await signVisit(asClinician(), await sign())
    expect(await addAddendum(asClinician(), { ...added, visitId })).toMatchObject({ ok: true })
    expect(await db.select().from(addenda)).toMatchObject([{ text: 'The left side was meant.', by: 'stf_ames' }])
    await expect(db.update(addenda).set({ text: 'Other' })).rejects.toThrow()
  })
})
