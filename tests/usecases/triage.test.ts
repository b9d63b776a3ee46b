/** Triage: a time by which the patient is seen, and a stop that only a person's call ends. */
import { eq } from 'drizzle-orm'
import { beforeEach, expect, test } from 'vitest'
import type { Db } from '#db/client.ts'
import { answers, assessments, auditEvents, messages, referrals, tasks } from '#db/schema/index.ts'
import { Temporal } from '#lib/base/time.ts'
import { acknowledgeTask } from '#lib/usecases/acknowledge-task.ts'
import { addReferral } from '#lib/usecases/add-referral.ts'
import { closeReferral } from '#lib/usecases/close-referral.ts'
import type { Ctx } from '#lib/usecases/context.ts'
import { readReferral } from '#lib/usecases/read-referral.ts'
import { readTriage } from '#lib/usecases/read-triage.ts'
import { reopenReferral } from '#lib/usecases/reopen-referral.ts'
import { type SaveTriageInput, saveTriage } from '#lib/usecases/save-triage.ts'
import { addSmallClinic, contextFor, coordinator } from '#tests/support/clinic.ts'
import { emptyDb } from '#tests/support/db.ts'

let db: Db
let ctx: Ctx
let referralId: string

beforeEach(async () => {
  db = (await emptyDb()).db
  await addSmallClinic(db)
  ctx = contextFor(db)
  const raw = {
    givenName: 'Quillon',
    familyName: 'Samplewood',
    birthDate: '1961-03-09',
    phone: '202-555-0101',
    email: 'quillon@example.org',
    state: 'NY',
    receivedOn: '2026-03-02',
    reason: 'Left inner ankle pain',
    icd10: 'M76.822',
  }
  const added = await addReferral(ctx, { key: 'k1', raw })
  if (!added.ok) throw new Error(added.error.code)
  referralId = added.value.referralId
})

async function triage(change: Partial<SaveTriageInput> = {}, who: Ctx = ctx) {
  const [row] = await db.select({ version: referrals.version }).from(referrals).where(eq(referrals.id, referralId))
  return saveTriage(who, {
    referralId,
    version: row?.version ?? 0,
    protocolId: 'foot_and_ankle',
    conditionId: 'flat_foot',
    side: 'left',
    priority: 'routine',
    checklist: {},
    seeByOn: null,
    ...change,
  })
}
const yes = { raw: 'yes', shown: '' }
const no = { raw: 'no', shown: '' }

/** The same people an hour later; ids begin anew. */
const later = (now: string) => contextFor(db, { now, ids: `_${now}` })

test('the form opens with every red flag, the condition its code suggests, and nothing answered', async () => {
  const page = await readTriage(ctx, { referralId, protocolId: null })
  if (!page.ok) throw new Error(page.error.code)
  expect(page.value.questions.map(({ id }) => id)).toEqual(
    expect.arrayContaining(['cold_foot', 'calf_swollen', 'acute_injury']),
  )
  expect(page.value.suggested).toMatchObject([{ code: 'M76.822' }])
  expect(page.value.answers).toEqual({})
})

test('a routine referral without flags is to be seen within the clinic’s own limit', async () => {
  // 42 days after Monday 2 March is Monday 13 April; 17:00 in New York, in daylight time, is 21:00 UTC.
  expect(await triage()).toMatchObject({
    ok: true,
    value: {
      seeBy: '2026-04-13T21:00:00Z',
      seeByFrom: { kind: 'urgency' },
      isStopped: false,
      disposition: 'ask_again',
    },
  })
  const [row] = await db.select().from(referrals)
  expect(row).toMatchObject({ stage: 'triaged', protocolVersion: 1, side: 'left', conditionId: 'flat_foot' })
})

test('a question left at "not known" is no answer, so the patient is still asked', async () => {
  await triage({ checklist: { cold_foot: no, calf_swollen: { raw: '', shown: '' } } })
  expect(await db.select().from(answers)).toMatchObject([{ factId: 'cold_foot', value: false, source: 'coordinator' }])
})

test('a flag of the same day is routed at once and brings the time forward', async () => {
  const result = await triage({ checklist: { calf_swollen: yes } })
  expect(result).toMatchObject({
    ok: true,
    value: {
      seeBy: '2026-03-03T13:00:00Z',
      seeByFrom: { kind: 'flag' },
      disposition: 'urgent_in_person',
      isStopped: false,
    },
  })
  expect(await db.select().from(tasks)).toMatchObject([{ kind: 'urgent_flag', doneAt: null }])
  expect(await readReferral(ctx, { referralId })).toMatchObject({ ok: true, value: { step: 'call_now' } })
})

test('saving the same flag again does not give it more time', async () => {
  await triage({ checklist: { calf_swollen: yes } })
  const again = await triage(
    { checklist: { calf_swollen: { raw: 'yes', shown: 'yes' } } },
    later('2026-03-02T20:00:00Z'),
  )
  expect(again).toMatchObject({ ok: true, value: { seeBy: '2026-03-03T13:00:00Z' } })
})

test('a person may bring the time forward but never past what a flag allows', async () => {
  expect(await triage({ seeByOn: '2026-03-20' })).toMatchObject({
    ok: true,
    value: { seeBy: '2026-03-20T21:00:00Z', seeByFrom: null },
  })
  expect(await triage({ checklist: { calf_swollen: yes }, seeByOn: '2026-03-04' })).toMatchObject({
    ok: false,
    error: { code: 'see_by_too_late', limit: '2026-03-03T13:00:00Z' },
  })
  // Nothing of the refused form is kept, its answers included.
  expect(await db.select().from(answers)).toEqual([])
})

test('a flag at emergency level stops the referral, puts the call on the desk and advises the patient', async () => {
  expect(await triage({ checklist: { chest_or_breath: yes } })).toMatchObject({
    ok: true,
    value: { isStopped: true, disposition: 'emergency_advice' },
  })
  expect(await db.select().from(tasks)).toMatchObject([{ kind: 'emergency_call', doneAt: null }])
  expect(await db.select().from(messages)).toMatchObject([{ kind: 'seek_help', status: 'queued' }])
  expect(await readReferral(ctx, { referralId })).toMatchObject({ ok: true, value: { step: 'call_now' } })
})

test('while it is stopped nothing else goes on', async () => {
  await triage({ checklist: { chest_or_breath: yes } })
  expect(await triage({ checklist: { chest_or_breath: { raw: 'no', shown: 'yes' } } })).toEqual({
    ok: false,
    error: { code: 'stopped' },
  })
  expect(await closeReferral(ctx, { referralId, because: 'a mistake' })).toEqual({
    ok: false,
    error: { code: 'stopped' },
  })
})

test('one that was closed after triage is screened anew when it is opened again, and keeps its see-by time', async () => {
  await triage({})
  const seeBy = async () => (await db.select({ seeBy: referrals.seeBy }).from(referrals))[0]?.seeBy?.toString()
  const before = await seeBy()
  expect((await closeReferral(ctx, { referralId, because: 'Did not want to come' })).ok).toBe(true)
  expect((await reopenReferral(ctx, { referralId, because: 'Wants to come after all' })).ok).toBe(true)
  expect(await readReferral(ctx, { referralId })).toMatchObject({
    ok: true,
    value: { referral: { stage: 'triaged', closedBecause: null } },
  })
  expect(await seeBy()).toBe(before)
})

// Safety guarantee: the call that was made is on file, and the flag outlives it.
test('after the call the referral goes on, and the advice stands until answers change', async () => {
  await triage({ checklist: { chest_or_breath: yes } })
  const [task] = await db.select().from(tasks)
  const done = await acknowledgeTask(ctx, {
    taskId: task?.id ?? '',
    note: 'Spoke to the patient, an ambulance is there',
  })
  expect(done).toMatchObject({ ok: true, value: { isStopped: false } })
  expect(await readReferral(ctx, { referralId })).toMatchObject({
    ok: true,
    value: {
      assessment: { disposition: 'emergency_advice' },
      tasks: [{ done: { note: 'Spoke to the patient, an ambulance is there' } }],
    },
  })
  // Saving again with the flag still up is no new emergency; taking it back changes the disposition.
  expect(
    await triage({ checklist: { chest_or_breath: { raw: 'yes', shown: 'yes' } } }, later('2026-03-02T14:00:00Z')),
  ).toMatchObject({
    ok: true,
    value: { isStopped: false, disposition: 'emergency_advice' },
  })
  expect(
    await triage({ checklist: { chest_or_breath: { raw: 'no', shown: 'yes' } } }, later('2026-03-02T15:00:00Z')),
  ).toMatchObject({
    ok: true,
    value: { isStopped: false, disposition: 'ask_again' },
  })
  expect(await db.select().from(messages)).toHaveLength(1)
})

test('acknowledging twice keeps the first note', async () => {
  await triage({ checklist: { chest_or_breath: yes } })
  const [task] = await db.select().from(tasks)
  await acknowledgeTask(ctx, { taskId: task?.id ?? '', note: 'first call' })
  await acknowledgeTask(ctx, { taskId: task?.id ?? '', note: 'second call' })
  expect(await db.select().from(tasks)).toMatchObject([{ doneNote: 'first call' }])
})

test('a form opened before somebody else’s triage shows both and saves neither over the other', async () => {
  await triage({ side: 'right' })
  const result = await triage({ version: 1, side: 'left' })
  expect(result).toMatchObject({
    ok: false,
    error: { code: 'stale', theirs: { side: 'right' }, yours: { side: 'left' } },
  })
  const [row] = await db.select().from(referrals)
  expect(row?.side).toBe('right')
})

test('an answer the patient gave meanwhile is never overwritten by an older form', async () => {
  await triage({ checklist: { diabetes: no } })
  const result = await triage({ checklist: { diabetes: { raw: 'yes', shown: '' } } })
  expect(result).toMatchObject({ ok: false, error: { code: 'stale', theirs: { answers: { diabetes: false } } } })
})

test('what is not of this protocol is refused', async () => {
  expect(await triage({ conditionId: 'no_such_thing' })).toEqual({
    ok: false,
    error: { code: 'condition_not_offered' },
  })
  expect(await triage({ protocolId: 'no_such_protocol' })).toEqual({
    ok: false,
    error: { code: 'protocol_not_offered' },
  })
  expect(await triage({ checklist: { cold_foot: { raw: 'perhaps', shown: '' } } })).toMatchObject({
    ok: false,
    error: { code: 'answers_refused', faults: [{ factId: 'cold_foot' }] },
  })
})

test('each triage leaves what stood before and after in the record', async () => {
  await triage({ checklist: { cold_foot: no } })
  const lines = await db.select().from(auditEvents).where(eq(auditEvents.action, 'referral.triaged'))
  expect(lines).toMatchObject([
    {
      before: { conditionId: null, answers: { cold_foot: null } },
      after: { conditionId: 'flat_foot', answers: { cold_foot: false }, protocolVersion: 1 },
    },
  ])
  expect(await db.select().from(assessments)).toHaveLength(1)
  expect(Temporal.Instant.compare(lines[0]?.at ?? ctx.now(), ctx.now())).toBe(0)
})

test('an admin may not triage, and another clinic finds nothing to triage', async () => {
  expect(await triage({}, contextFor(db, { actor: { ...coordinator, role: 'admin' } }))).toEqual({
    ok: false,
    error: { code: 'referral_not_found' },
  })
  expect(await triage({}, contextFor(db, { actor: { ...coordinator, clinicId: 'cln_2' } }))).toEqual({
    ok: false,
    error: { code: 'referral_not_found' },
  })
})
