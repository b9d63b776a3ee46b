/** What is done from a row of the board: each deed once, with its line in the record, by whoever may. */
import { and, eq, isNull } from 'drizzle-orm'
import { beforeEach, describe, expect, test } from 'vitest'
import type { Db } from '#db/client.ts'
import { auditEvents, messages, packets, planChoices, readinessMarks, tasks, visits } from '#db/schema/index.ts'
import type { StaffActor } from '#lib/domain/access/actor.ts'
import type { ExamPlan } from '#lib/domain/plan/exam-plan.ts'
import { adjustPlan } from '#lib/usecases/adjust-plan.ts'
import { bookVisit } from '#lib/usecases/book-visit.ts'
import { confirmItem } from '#lib/usecases/confirm-item.ts'
import { moveToInPerson } from '#lib/usecases/move-to-in-person.ts'
import { moveVisit } from '#lib/usecases/move-visit.ts'
import { readBoard, readBoardInput } from '#lib/usecases/read-board.ts'
import { readPlan } from '#lib/usecases/read-plan.ts'
import { readScreening } from '#lib/usecases/read-screening.ts'
import { sendMissing } from '#lib/usecases/send-missing.ts'
import { addReferral, addSmallClinic, CLINIC, coordinator, goodHome, patientOf } from '#tests/support/clinic.ts'
import { emptyDb } from '#tests/support/db.ts'
import { answering, as } from '#tests/support/home-check.ts'
import { asking, askingInPerson } from '#tests/support/starts.ts'

const clinician: StaffActor = {
  kind: 'staff',
  clinicId: CLINIC,
  id: 'stf_ames',
  role: 'clinician',
  clinicianId: 'cli_ames',
}
const elsewhere: StaffActor = { ...coordinator, clinicId: 'cln_2' }
const BECAUSE = 'The patient asked to come in'

let db: Db
let visitId: string

beforeEach(async () => {
  db = (await emptyDb()).db
  await addSmallClinic(db)
  visitId = await booked({ id: 'ref_1' })
})

async function booked(options: Parameters<typeof addReferral>[1]): Promise<string> {
  await addReferral(db, options)
  const start = asking('2026-03-03T14:00:00Z')
  const done = await bookVisit(as(db, coordinator), {
    key: `book ${options.id}`,
    referralId: options.id,
    heldVisitId: null,
    start,
  })
  if (!done.ok) throw new Error(done.error.code)
  return done.value.visitId
}

const visit = async () => {
  const [row] = await db.select().from(visits).where(eq(visits.id, visitId))
  if (!row) throw new Error('no visit')
  const steps = (row.plan as ExamPlan | null)?.steps ?? []
  return { ...row, steps, stations: steps.map(({ stationId }) => stationId) }
}
const linesOf = async (action: string) =>
  (await db.select().from(auditEvents).where(eq(auditEvents.action, action))).map(({ actorId, after }) => ({
    actorId,
    after,
  }))
const newestRevision = async () =>
  Math.max(...(await db.select().from(packets).where(eq(packets.visitId, visitId))).map(({ revision }) => revision))

describe('asking again for what is missing', () => {
  const send = (key = 'send it once', actor = coordinator) => sendMissing(as(db, actor), { key, visitId })
  const sent = () =>
    db
      .select()
      .from(messages)
      .where(and(eq(messages.kind, 'still_missing'), eq(messages.dueAt, as(db, coordinator).now())))

  test('sends one mail however often the form is sent, and leaves one line of the record', async () => {
    const first = await send()
    expect(first).toMatchObject({ ok: true, value: { visitId } })
    expect(await send()).toEqual(first)
    expect(await sent()).toHaveLength(1)
    expect(await linesOf('missing.asked_again')).toMatchObject([
      { actorId: coordinator.id, after: { missing: expect.arrayContaining(['helper']) } },
    ])
  })

  test('a second asking is a second mail', async () => {
    await send()
    expect(
      await sendMissing(as(db, coordinator, '2026-03-02T15:00:00Z'), { key: 'send it again', visitId }),
    ).toMatchObject({ ok: true })
    const planned = await db.select().from(messages).where(eq(messages.kind, 'still_missing'))
    expect(new Set(planned.map(({ dedupeKey }) => dedupeKey)).size).toBe(planned.length)
    expect(planned.length).toBeGreaterThanOrEqual(2)
  })

  test('is refused where nothing is missing, the visit has begun, or the clinic is another', async () => {
    expect(await sendMissing(as(db, coordinator, '2026-03-03T14:00:00Z'), { key: 'too late by now', visitId })).toEqual(
      { ok: false, error: { code: 'visit_over' } },
    )
    expect(await send('from elsewhere', elsewhere)).toEqual({ ok: false, error: { code: 'visit_not_found' } })
    await db.update(visits).set({ mode: 'in_person', roomId: 'roo_1', plan: null })
    expect(await send('nothing missing')).toEqual({ ok: false, error: { code: 'nothing_missing' } })
  })
})

describe('confirmed by phone', () => {
  test('says on the board who wrote it down, once', async () => {
    const input = { key: 'confirm it once', visitId, item: 'helper', state: 'confirmed', heardFrom: 'helper' } as const
    const later = () => as(db, coordinator, '2026-03-02T14:00:00Z')
    expect(await confirmItem(later(), input)).toEqual({ ok: true, value: { visitId } })
    expect(await confirmItem(later(), input)).toEqual({ ok: true, value: { visitId } })
    expect(await db.select().from(readinessMarks)).toHaveLength(1)
    expect(await linesOf('readiness.confirmed')).toEqual([
      { actorId: coordinator.id, after: { item: 'helper', heardFrom: 'helper' } },
    ])
    const board = await readBoard(as(db, coordinator), readBoardInput.parse({ day: '2026-03-03' }))
    const [shown] = board.ok ? board.value.visits : []
    expect(shown?.items.find(({ item }) => item === 'helper')).toMatchObject({ state: 'done', saidBy: 'Robin Vale' })
    expect(shown?.lastChange).toMatchObject({ action: 'readiness.confirmed', by: 'Robin Vale', byKind: 'staff' })
  })
})

describe('moving to in person', () => {
  const move = async (
    start: ReturnType<typeof askingInPerson> | null,
    options: { key?: string; actor?: StaffActor } = {},
  ) =>
    moveToInPerson(as(db, options.actor ?? coordinator), {
      key: options.key ?? 'move it once',
      visitId,
      version: (await visit()).version,
      because: BECAUSE,
      start,
    })
  /** Thursday 5 March 2026, 13:00 in New York. */
  const THURSDAY = '2026-03-05T18:00:00Z'

  test('decides and moves in one deed, and the engine’s answer stays beside the reason', async () => {
    const uid = (await visit()).calendarUid
    expect(await move(askingInPerson(THURSDAY))).toEqual({ ok: true, value: { visitId, startsAt: THURSDAY } })
    expect(await visit()).toMatchObject({
      mode: 'in_person',
      status: 'booked',
      plan: null,
      calendarUid: uid,
      calendarSequence: 1,
    })
    const screening = await readScreening(as(db, coordinator), { referralId: 'ref_1' })
    expect(screening).toMatchObject({
      ok: true,
      value: {
        disposition: 'in_person',
        overruled: { because: BECAUSE },
        assessment: { screening: { disposition: 'video' } },
      },
    })
    expect(await linesOf('screening.overruled')).toHaveLength(1)
    expect(await linesOf('visit.moved')).toHaveLength(1)
  })

  test('sent twice it is done once', async () => {
    const version = (await visit()).version
    const input = { key: 'move it once', visitId, version, because: BECAUSE, start: askingInPerson(THURSDAY) }
    const first = await moveToInPerson(as(db, coordinator), input)
    expect(await moveToInPerson(as(db, coordinator), input)).toEqual(first)
    expect(await visit()).toMatchObject({ calendarSequence: 1 })
  })

  test('without a start it is decided, and one task asks the desk for a start', async () => {
    expect(await move(null, { actor: clinician })).toEqual({ ok: true, value: { visitId, startsAt: null } })
    expect(await visit()).toMatchObject({ mode: 'video', status: 'booked' })
    const open = await db.select().from(tasks).where(isNull(tasks.doneAt))
    expect(open).toMatchObject([{ kind: 'replan', detail: { visitId, reasons: ['not_by_video'] } }])
    expect(await move(null, { key: 'once more please' })).toEqual({ ok: false, error: { code: 'in_person_already' } })
  })

  test('a start that somebody else took undoes the decision too', async () => {
    await addReferral(db, { id: 'ref_2' })
    const taken = askingInPerson(THURSDAY)
    const other = await bookVisit(as(db, coordinator), {
      key: 'book the other',
      referralId: 'ref_2',
      heldVisitId: null,
      start: taken,
    })
    expect(other.ok).toBe(true)
    expect(await move(taken)).toMatchObject({ ok: false, error: { code: 'start_taken' } })
    expect(await linesOf('screening.overruled')).toEqual([])
    expect(await visit()).toMatchObject({ mode: 'video' })
  })

  test('a clinician decides, but moves nobody; another clinic finds nothing', async () => {
    expect(await move(askingInPerson(THURSDAY), { actor: clinician })).toEqual({
      ok: false,
      error: { code: 'visit_not_found' },
    })
    expect(await move(null, { actor: elsewhere })).toEqual({ ok: false, error: { code: 'visit_not_found' } })
  })
})

describe('changing the exam', () => {
  const view = async (asked: Record<string, string | null> | null = null) => {
    const read = await readPlan(as(db, clinician), { visitId, asked })
    if (!read.ok) throw new Error(read.error.code)
    return read.value
  }
  const adjust = async (
    choices: Record<string, string | null>,
    options: { key?: string; actor?: StaffActor; assessmentId?: string } = {},
  ) =>
    adjustPlan(as(db, options.actor ?? clinician), {
      key: options.key ?? `adjust ${JSON.stringify(choices)}`,
      visitId,
      assessmentId: options.assessmentId ?? (await view()).assessmentId,
      choices,
      because: 'Seen last month',
    })

  test('what is left out leaves plan and packet at once, with who and why', async () => {
    const [first] = (await visit()).stations
    const before = await newestRevision()
    expect(await adjust({ [first as string]: null })).toEqual({ ok: true, value: { visitId } })
    expect((await visit()).stations).not.toContain(first)
    expect(await newestRevision()).toBe(before + 1)
    expect(await db.select().from(planChoices)).toMatchObject([
      { by: clinician.id, because: 'Seen last month', choices: { [first as string]: null } },
    ])
    expect(await linesOf('plan.adjusted')).toMatchObject([
      { actorId: clinician.id, after: { because: 'Seen last month' } },
    ])
    expect((await view()).last).toMatchObject({ because: 'Seen last month' })
  })

  // Safety guarantee: a choice never outlives what makes it safe.
  test('is kept when the answers change, and a later safety closure still closes', async () => {
    const [first, second] = (await visit()).stations.filter((id) => id !== 'walk')
    await adjust({ [first as string]: null })
    await answering(db, 'ref_1', { worries_falling: false, seat_height_cm: 50 })
    expect((await visit()).stations).not.toContain(first)
    await answering(db, 'ref_1', { not_weight_bearing: true })
    const after = await visit()
    expect(after.stations).not.toContain(first)
    expect(after.stations).not.toContain('walk')
    expect(second).toBeDefined()
  })

  test('a closed station is refused, whoever chooses it', async () => {
    await answering(db, 'ref_1', { not_weight_bearing: true })
    const walk = (await view()).stations.find(({ stationId }) => stationId === 'walk')
    expect(walk).toMatchObject({ isSafe: false })
    const wayId = walk?.ways[0]?.wayId as string
    expect(await adjust({ walk: wayId })).toEqual({
      ok: false,
      error: { code: 'choice_refused', refused: [{ stationId: 'walk', why: 'not_safe' }] },
    })
    expect(await db.select().from(planChoices)).toEqual([])
  })

  test('the consequences are told before, and come true', async () => {
    const [first] = (await visit()).stations
    const { preview } = await view({ [first as string]: null })
    expect(preview).toMatchObject({ refused: [], consequences: { added: [], leftOut: [first], reasons: [] } })
    await adjust({ [first as string]: null })
    expect(((await visit()).plan as ExamPlan).visitMin).toBe(preview?.consequences.needsMin)
  })

  test('what does not fit into the booked minutes waits for a longer start, and a task asks for it', async () => {
    await db.update(visits).set({ status: 'cancelled', cancelledBecause: 'test' })
    const { helper: _, helper_strong: __, ...alone } = goodHome()
    visitId = await booked({ id: 'ref_2', answers: { ...alone, helper: false, strap: false } })
    const before = await visit()
    const all = (await view()).stations.filter(({ closed, wanted }) => closed === null && wanted === null)
    expect(all.length).toBeGreaterThan(0)
    const choices = Object.fromEntries(
      all.map(({ stationId, ways }) => [stationId, ways.find(({ can }) => can === 'yes')?.wayId ?? null]),
    )
    const { preview } = await view(choices)
    expect(preview?.consequences.reasons).toEqual(['too_long'])
    expect((await adjust(choices)).ok).toBe(true)
    const after = await visit()
    expect(after.stations.toSorted()).toEqual(before.stations.toSorted())
    expect(await db.select().from(tasks).where(isNull(tasks.doneAt))).toMatchObject([
      { kind: 'replan', detail: { reasons: ['too_long'] } },
    ])
    // A longer start takes up what was waiting.
    const moved = await moveVisit(as(db, coordinator), {
      key: 'move it longer',
      visitId,
      version: after.version,
      start: asking('2026-03-10T13:00:00Z'),
    })
    expect(moved.ok).toBe(true)
    const longer = await visit()
    expect(longer.stations).toEqual(expect.arrayContaining(all.map(({ stationId }) => stationId)))
    expect(longer.startsAt.until(longer.endsAt).total('minutes')).toBe((longer.plan as ExamPlan).visitMin)
  })

  test('sent twice it is done once; unchanged, emptied or out of date it is refused', async () => {
    const [first] = (await visit()).stations
    const { assessmentId } = await view()
    const once = { key: 'adjust it once', assessmentId }
    const done = await adjust({ [first as string]: null }, once)
    expect(await adjust({ [first as string]: null }, once)).toEqual(done)
    expect(await db.select().from(planChoices)).toHaveLength(1)
    expect(await adjust({ [first as string]: null }, { key: 'the same again' })).toEqual({
      ok: false,
      error: { code: 'nothing_changed' },
    })
    expect(await adjust({}, { key: 'an old page', assessmentId })).toEqual({
      ok: false,
      error: { code: 'screened_again' },
    })
    const none = Object.fromEntries((await view()).stations.map(({ stationId }) => [stationId, null]))
    expect(await adjust(none)).toEqual({ ok: false, error: { code: 'nothing_left' } })
  })

  test('is for clinicians alone', async () => {
    const [first] = (await visit()).stations
    const refused = { ok: false, error: { code: 'visit_not_found' } }
    expect(await adjust({ [first as string]: null }, { actor: coordinator })).toEqual(refused)
    expect(await adjust({ [first as string]: null }, { actor: { ...clinician, clinicId: 'cln_2' } })).toEqual(refused)
    expect(await readPlan(as(db, patientOf('ref_1')), { visitId, asked: null })).toEqual(refused)
  })
})
