/** A lost session: its visits are placed anew together, approved as they were shown, and moved all at once or not at all. */
import { and, eq, isNull } from 'drizzle-orm'
import { beforeEach, describe, expect, test } from 'vitest'
import type { Db } from '#db/client.ts'
import {
  auditEvents,
  clinicSessions,
  interpreters,
  messages,
  packets,
  sessionExceptions,
  standbyOffers,
  tasks,
  visits,
} from '#db/schema/index.ts'
import { highsSolver } from '#lib/adapters/highs-solver.ts'
import { Temporal } from '#lib/base/time.ts'
import { bookVisit } from '#lib/usecases/book-visit.ts'
import { cancelVisit } from '#lib/usecases/cancel-visit.ts'
import type { Ctx } from '#lib/usecases/context.ts'
import { holdStart } from '#lib/usecases/hold-start.ts'
import { joinStandby } from '#lib/usecases/join-standby.ts'
import { offerFreedTime } from '#lib/usecases/offer-freed-time.ts'
import { type PlannedMove, planReplacement, type ReplacementPlan } from '#lib/usecases/plan-replacement.ts'
import { type ReplaceVisitsInput, replaceVisits } from '#lib/usecases/replace-visits.ts'
import type { AskedStart } from '#lib/usecases/steps/claim-start.ts'
import { addReferral, addSmallClinic, CLINIC, contextFor, type NewReferral } from '#tests/support/clinic.ts'
import { emptyDb } from '#tests/support/db.ts'
import { asking, askingInPerson } from '#tests/support/starts.ts'

const solver = highsSolver()
let db: Db
let ctx: Ctx

/** Tuesday 3 March, 09:00 New York; the next Tuesday is on summer time. */
const NINE = '2026-03-03T14:00:00Z'
const TEN = '2026-03-03T15:00:00Z'
const ELEVEN = '2026-03-03T16:00:00Z'
const AMES = 'ses_ames_video'
const TUESDAY = { kind: 'opening', onDate: '2026-03-03' } as const

beforeEach(async () => {
  db = (await emptyDb()).db
  await addSmallClinic(db)
  ctx = contextFor(db)
})

async function book(id: string, start: AskedStart, referral: Partial<NewReferral> = {}): Promise<string> {
  await addReferral(db, { id, ...referral })
  const booked = await bookVisit(contextFor(db, { ids: id }), {
    key: `book ${id}`,
    referralId: id,
    heldVisitId: null,
    start,
  })
  if (!booked.ok) throw new Error(JSON.stringify(booked.error))
  return booked.value.visitId
}

async function plan(change: Partial<Parameters<typeof planReplacement>[2]> = {}): Promise<ReplacementPlan> {
  const planned = await planReplacement(ctx, solver, { sessionId: AMES, lost: TUESDAY, decided: {}, ...change })
  if (!planned.ok) throw new Error(planned.error.code)
  return planned.value
}

function startOf({ after }: PlannedMove): ReplaceVisitsInput['visits'][number]['start'] {
  if (!after) return null
  const { sessionId, clinicianId, mode, startsAt, roomId, interpreterId } = after
  return asking(startsAt, { sessionId, clinicianId, mode, roomId, interpreterId })
}

function approve(planned: ReplacementPlan, change: Partial<ReplaceVisitsInput> = {}): ReplaceVisitsInput {
  return {
    key: 'approve the plan',
    sessionId: planned.session.session.id,
    version: planned.session.version,
    lost: planned.lost,
    because: 'Alex Ames is ill',
    visits: planned.moves.map((move) => ({ visitId: move.visitId, version: move.version, start: startOf(move) })),
    ...change,
  }
}

const row = async (id: string) => (await db.select().from(visits).where(eq(visits.id, id)))[0]
const openTasks = () =>
  db
    .select()
    .from(tasks)
    .where(and(eq(tasks.clinicId, CLINIC), isNull(tasks.doneAt)))

describe('what is proposed', () => {
  test('each visit keeps its clinician and its time of day a week later, and the costs say so', async () => {
    await book('ref_1', asking(NINE))
    await book('ref_2', asking(TEN))
    const { moves, total, isProven, openings } = await plan()
    expect(openings).toEqual([{ start: NINE, end: '2026-03-03T17:00:00Z' }])
    // 09:00 on the wall again, an hour earlier in UTC: New York went on to summer time on the 8th.
    expect(moves.map(({ after }) => after?.startsAt)).toEqual(['2026-03-10T13:00:00Z', '2026-03-10T14:00:00Z'])
    expect(moves[0]?.after?.cost).toEqual({ missed: 0, unplaced: 0, otherClinician: 0, days: 7, minutes: 0 })
    expect(total).toEqual({ missed: 0, unplaced: 0, otherClinician: 0, days: 14, minutes: 0 })
    expect(isProven).toBe(true)
  })

  test('whoever has to be seen first gets the sooner start, whoever was there first', async () => {
    // Three visits of 45 minutes fit into the morning of the 10th beside one that is there already.
    await book('ref_calm', asking(NINE))
    await book('ref_soon', asking(TEN), { seeBy: '2026-03-10T22:00:00Z' })
    for (const [n, at] of ['13:00', '13:45', '14:30'].entries())
      await book(`ref_there_${n}`, asking(`2026-03-10T${at}:00Z`))
    const { moves } = await plan()
    expect(moves.map(({ after }) => after?.startsAt)).toEqual(['2026-03-17T13:00:00Z', '2026-03-10T15:15:00Z'])
    expect(moves.map(({ after }) => after?.cost.missed)).toEqual([0, 0])
  })

  test('a start after the see-by time is proposed when there is no other, and counted as missed', async () => {
    await book('ref_1', asking(NINE), { seeBy: '2026-03-05T22:00:00Z' })
    const { moves, total } = await plan()
    expect(moves[0]?.after).toMatchObject({ startsAt: '2026-03-10T13:00:00Z', cost: { missed: 1, unplaced: 0 } })
    expect(total.missed).toBe(1)
  })

  test('a visit kept at a start by hand stays there, and the others make room', async () => {
    const one = await book('ref_1', asking(NINE))
    await book('ref_2', asking(TEN))
    const { moves } = await plan({ decided: { [one]: asking('2026-03-10T14:15:00Z') } })
    expect(moves[0]).toMatchObject({ isDecided: true, after: { startsAt: '2026-03-10T14:15:00Z' } })
    // 10:00 is gone; half an hour sooner is nearer to it than an hour later.
    expect(moves[1]?.after?.startsAt).toBe('2026-03-10T13:30:00Z')
  })

  test("a visit left to the phone is not moved, and its start is nobody else's business", async () => {
    const one = await book('ref_1', asking(NINE))
    const { moves, total } = await plan({ decided: { [one]: 'by_phone' } })
    expect(moves[0]).toMatchObject({ after: null, noStart: 'by_phone' })
    expect(total.unplaced).toBe(0)
  })

  test('an interpreter who is lost takes only the visits that need one, and the same clinician is kept', async () => {
    await book('ref_es', asking(NINE), { interpreterLanguage: 'es' })
    await book('ref_en', asking(TEN))
    const { moves } = await plan({ sessionId: 'ses_cruz' })
    expect(moves.map(({ referralId }) => referralId)).toEqual(['ref_es'])
    expect(moves[0]?.after).toMatchObject({ startsAt: '2026-03-10T13:00:00Z', interpreterId: 'int_cruz' })
  })

  test('in person two visits at the same time get a room each', async () => {
    const THURSDAY = { kind: 'opening', onDate: '2026-03-05' } as const
    const answers = { accepts_video: false }
    await book('ref_1', askingInPerson('2026-03-05T18:00:00Z'), { answers })
    const { moves } = await plan({ sessionId: 'ses_ames_site', lost: THURSDAY })
    expect(moves[0]?.after).toMatchObject({ startsAt: '2026-03-12T17:00:00Z', place: 'Hudson Street, Room 1' })
  })

  test('a session that does not open on that date has lost nothing', async () => {
    const planned = await planReplacement(ctx, solver, {
      sessionId: AMES,
      lost: { kind: 'opening', onDate: '2026-03-04' },
      decided: {},
    })
    expect(planned).toEqual({ ok: false, error: { code: 'nothing_lost' } })
  })
})

describe('what is approved', () => {
  test('the opening closes, every visit moves with its calendar entry, packet, messages and audit line', async () => {
    const one = await book('ref_1', asking(NINE))
    const two = await book('ref_2', asking(TEN))
    const uids = [(await row(one))?.calendarUid, (await row(two))?.calendarUid]
    expect(await replaceVisits(ctx, approve(await plan()))).toEqual({
      ok: true,
      value: { sessionId: AMES, moved: 2, byPhone: 0 },
    })
    expect(await db.select().from(sessionExceptions)).toMatchObject([
      { sessionId: AMES, onDate: '2026-03-03', kind: 'closed' },
    ])
    const moved = [await row(one), await row(two)]
    expect(moved.map((visit) => visit?.startsAt.toString())).toEqual(['2026-03-10T13:00:00Z', '2026-03-10T14:00:00Z'])
    // RFC 5546 section 2.1.4: same UID, SEQUENCE risen.
    expect(moved.map((visit) => visit?.calendarUid)).toEqual(uids)
    expect(moved.map((visit) => [visit?.calendarSequence, visit?.status])).toEqual([
      [1, 'booked'],
      [1, 'booked'],
    ])
    expect((await db.select().from(packets)).map(({ revision }) => revision).sort()).toEqual([1, 1, 2, 2])
    const told = await db.select().from(messages).where(eq(messages.kind, 'moved'))
    expect(told.map(({ visitId }) => visitId).sort()).toEqual([one, two].sort())
    const lines = await db.select().from(auditEvents).where(eq(auditEvents.action, 'visit.moved'))
    expect(lines).toHaveLength(2)
    expect(await db.select().from(auditEvents).where(eq(auditEvents.action, 'session.lost'))).toMatchObject([
      { subject: AMES, after: { because: 'Alex Ames is ill', moved: 2 } },
    ])
    expect(await openTasks()).toEqual([])
  })

  test('only the visits of the lost opening move', async () => {
    const one = await book('ref_1', asking(NINE))
    const two = await book('ref_2', asking('2026-03-10T13:00:00Z'))
    const planned = await plan({ decided: { [one]: asking('2026-03-17T13:00:00Z') } })
    expect(planned.moves.map(({ visitId }) => visitId)).toEqual([one])
    expect((await replaceVisits(ctx, approve(planned))).ok).toBe(true)
    expect((await row(two))?.calendarSequence).toBe(0)
  })

  test('a visit without a start stays where it is with a task to call, and the others move', async () => {
    const one = await book('ref_1', asking(NINE))
    const two = await book('ref_2', asking(TEN))
    const done = await replaceVisits(ctx, approve(await plan({ decided: { [one]: 'by_phone' } })))
    expect(done).toMatchObject({ ok: true, value: { moved: 1, byPhone: 1 } })
    expect((await row(one))?.startsAt.toString()).toBe(NINE)
    expect((await row(two))?.startsAt.toString()).toBe('2026-03-10T14:00:00Z')
    expect(await openTasks()).toMatchObject([
      { kind: 'stranded', referralId: 'ref_1', detail: { visitId: one, reasons: ['session_closed'] } },
    ])
  })

  test('a start in the lost time that was being offered to somebody is taken back', async () => {
    await book('ref_1', asking(NINE))
    await book('ref_waits', asking('2026-03-24T13:00:00Z'))
    await joinStandby(contextFor(db, { ids: 'j' }), { referralId: 'ref_waits', noticeHours: 2 })
    const actor = { kind: 'system', clinicId: CLINIC, id: 'system' } as const
    const [from, to] = [Temporal.Instant.from(TEN), Temporal.Instant.from(ELEVEN)]
    await offerFreedTime(contextFor(db, { actor, ids: 'o' }), { clinicianId: 'cli_ames', from, to })
    expect(await db.select().from(standbyOffers)).toMatchObject([{ outcome: null }])
    const planned = await plan()
    expect(planned.heldCount).toBe(1)
    expect((await replaceVisits(ctx, approve(planned))).ok).toBe(true)
    expect(await db.select().from(standbyOffers)).toMatchObject([{ outcome: 'withdrawn' }])
    expect(await db.select().from(visits).where(eq(visits.status, 'held'))).toEqual([])
  })

  test('sent twice it is done once', async () => {
    await book('ref_1', asking(NINE))
    const input = approve(await plan())
    const first = await replaceVisits(ctx, input)
    expect(await replaceVisits(ctx, input)).toEqual(first)
    expect(await db.select().from(auditEvents).where(eq(auditEvents.action, 'session.lost'))).toHaveLength(1)
  })

  test("an interpreter's visit that keeps its time tells the patient nothing", async () => {
    await db.insert(clinicSessions).values({
      clinicId: CLINIC,
      id: 'ses_cruz_too',
      interpreterId: 'int_cruz',
      mode: 'video',
      timeZone: 'America/New_York',
      startsOn: '2026-03-03',
      opensAt: '13:00',
      durationMin: 60,
      rule: null,
      grainMin: 15,
      bufferBeforeMin: 0,
      bufferAfterMin: 0,
      noticeMin: 0,
      createdAt: ctx.now(),
    })
    const one = await book('ref_es', asking(NINE), { interpreterLanguage: 'es' })
    await db.insert(interpreters).values({
      clinicId: CLINIC,
      id: 'int_diaz',
      name: 'Dee Diaz',
      languages: ['es'],
      timeZone: 'America/New_York',
    })
    await db
      .update(clinicSessions)
      .set({ interpreterId: 'int_diaz', opensAt: '09:00', durationMin: 180 })
      .where(eq(clinicSessions.id, 'ses_cruz_too'))
    const planned = await plan({ sessionId: 'ses_cruz' })
    expect(planned.moves[0]?.after).toMatchObject({ startsAt: NINE, interpreterId: 'int_diaz' })
    expect((await replaceVisits(ctx, approve(planned))).ok).toBe(true)
    expect(await row(one)).toMatchObject({ interpreterId: 'int_diaz', calendarSequence: 0, version: 2 })
    expect(await db.select().from(messages).where(eq(messages.kind, 'moved'))).toEqual([])
  })

  test('every opening from a date on is lost with the end of the session', async () => {
    await book('ref_1', asking('2026-03-10T13:00:00Z'))
    const planned = await plan({ lost: { kind: 'from', fromDate: '2026-03-10' } })
    expect(planned.moves[0]?.after?.startsAt).toBe(NINE)
    expect((await replaceVisits(ctx, approve(planned))).ok).toBe(true)
    const [session] = await db.select().from(clinicSessions).where(eq(clinicSessions.id, AMES))
    expect(session).toMatchObject({ validTo: '2026-03-09', status: 'active', version: 2 })
  })
})

describe('when the world has moved on', () => {
  const nothingHappened = async (ids: string[]) => {
    expect(await db.select().from(sessionExceptions)).toEqual([])
    for (const id of ids) expect(await row(id)).toMatchObject({ calendarSequence: 0 })
    expect(await db.select().from(messages).where(eq(messages.kind, 'moved'))).toEqual([])
  }

  test('a start that somebody else has taken meanwhile undoes all of it, and is named', async () => {
    const one = await book('ref_1', asking(NINE))
    const two = await book('ref_2', asking(TEN))
    const input = approve(await plan())
    await book('ref_quick', asking('2026-03-10T14:00:00Z'))
    expect(await replaceVisits(ctx, input)).toEqual({
      ok: false,
      error: {
        code: 'world_moved',
        changes: [{ visitId: two, patientName: 'Pat Of ref_2', what: 'start_taken' }],
      },
    })
    await nothingHappened([one, two])
    // Solved anew, it goes.
    expect((await replaceVisits(ctx, approve(await plan(), { key: 'approve again' }))).ok).toBe(true)
  })

  test('a start that somebody is holding this minute counts as taken', async () => {
    const one = await book('ref_1', asking(NINE))
    const input = approve(await plan())
    await addReferral(db, { id: 'ref_holds' })
    const start = asking('2026-03-10T13:00:00Z')
    await holdStart(contextFor(db, { ids: 'h' }), { key: 'hold it now', referralId: 'ref_holds', start })
    expect(await replaceVisits(ctx, input)).toMatchObject({ ok: false, error: { code: 'world_moved' } })
    await nothingHappened([one])
  })

  test('a visit that was cancelled meanwhile is named, and nothing moves', async () => {
    const one = await book('ref_1', asking(NINE))
    const two = await book('ref_2', asking(TEN))
    const input = approve(await plan())
    const gone = { key: 'cancel ref_2', visitId: two, version: 1, because: 'They called' }
    await cancelVisit(contextFor(db, { ids: 'c' }), gone)
    expect(await replaceVisits(ctx, input)).toMatchObject({
      ok: false,
      error: { code: 'world_moved', changes: [{ visitId: two, what: 'gone' }] },
    })
    expect((await row(one))?.calendarSequence).toBe(0)
  })

  test('a visit that was booked into the lost time meanwhile is named', async () => {
    await book('ref_1', asking(NINE))
    const input = approve(await plan())
    const late = await book('ref_late', asking(ELEVEN))
    expect(await replaceVisits(ctx, input)).toMatchObject({
      ok: false,
      error: { code: 'world_moved', changes: [{ visitId: late, patientName: 'Pat Of ref_late', what: 'new' }] },
    })
  })

  test('approved from two windows it is done once', async () => {
    await book('ref_1', asking(NINE))
    const planned = await plan()
    expect((await replaceVisits(ctx, approve(planned))).ok).toBe(true)
    expect(await replaceVisits(ctx, approve(planned, { key: 'the other window' }))).toEqual({
      ok: false,
      error: { code: 'changed_meanwhile' },
    })
  })

  test('a clinician may not approve it: they move no patients', async () => {
    await book('ref_1', asking(NINE))
    const input = approve(await plan())
    const actor = {
      kind: 'staff',
      clinicId: CLINIC,
      id: 'stf_ames',
      role: 'clinician',
      clinicianId: 'cli_ames',
    } as const
    expect(await replaceVisits(contextFor(db, { actor }), input)).toEqual({
      ok: false,
      error: { code: 'session_not_found' },
    })
  })
})
