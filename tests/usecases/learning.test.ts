import { parse } from 'csv-parse/sync'
import { and, eq } from 'drizzle-orm'
import jstat from 'jstat'
import { beforeEach, describe, expect, test } from 'vitest'
import type { Db } from '#db/client.ts'
import {
  assessments,
  auditEvents,
  followUps,
  messages,
  readinessKept,
  readinessMarks,
  referrals,
  stationOutcomes,
  visitRecords,
  visits,
  waitsKept,
  wayReviews,
} from '#db/schema/index.ts'
import { csvOf } from '#lib/base/csv.ts'
import { Temporal } from '#lib/base/time.ts'
import type { StaffActor } from '#lib/domain/access/actor.ts'
import type { DaysTable, LearningTable, ShareTable, TrendTable } from '#lib/domain/learning/report.ts'
import { rowsOf } from '#lib/domain/learning/report.ts'
import type { Topic } from '#lib/domain/learning/topics.ts'
import type { StationResult, VisitOutcome } from '#lib/domain/outcomes/vocabulary.ts'
import { type LearningFilters, readLearning } from '#lib/usecases/read-learning.ts'
import { readLearningOverview } from '#lib/usecases/read-learning-overview.ts'
import { reviewWay } from '#lib/usecases/review-way.ts'
import { addReferral, addSmallClinic, CLINIC, contextFor, coordinator } from '#tests/support/clinic.ts'
import { emptyDb } from '#tests/support/db.ts'

let db: Db
/** Monday 1 June 2026, 08:00 in New York: the usual period is 30 November to 31 May. */
const NOW = '2026-06-01T12:00:00Z'
const lead: StaffActor = { ...coordinator, id: 'stf_lead', role: 'lead' }
const at = (text: string) => Temporal.Instant.from(text)

beforeEach(async () => {
  db = (await emptyDb()).db
  await addSmallClinic(db)
})

type Past = {
  startsAt: string
  status?: 'done' | 'no_show' | 'cancelled' | 'booked'
  bookedDaysAhead?: number
  mode?: 'video' | 'in_person'
  clinicianId?: 'cli_ames' | 'cli_boyd'
  referralId?: string
}

/** The one step that counts: a plan names the ways that screening said are possible. */
const PLAN = { steps: [{ stationId: 'calf_strap', wayId: 'strap' }] }

let made = 0
/** A visit that is over, of a referral of its own unless another is named. Returns its id. */
async function addVisit({
  startsAt,
  status = 'done',
  bookedDaysAhead = 3,
  mode = 'video',
  ...rest
}: Past): Promise<string> {
  made += 1
  const referralId = rest.referralId ?? `ref_${made}`
  if (rest.referralId === undefined) await addReferral(db, { id: referralId })
  const [assessment] = await db
    .select({ id: assessments.id })
    .from(assessments)
    .where(and(eq(assessments.clinicId, CLINIC), eq(assessments.referralId, referralId)))
  const start = at(startsAt)
  const end = start.add({ minutes: 30 })
  const createdAt = start.subtract({ hours: Math.round(24 * bookedDaysAhead) })
  const id = `vis_${made}`
  const clinicianId = rest.clinicianId ?? 'cli_ames'
  const sessionId = clinicianId === 'cli_ames' ? 'ses_ames_video' : 'ses_boyd_video'
  await db.insert(visits).values({
    clinicId: CLINIC,
    id,
    referralId,
    patientId: `pat_of_${referralId}`,
    clinicianId,
    sessionId,
    roomId: mode === 'in_person' ? 'roo_1' : null,
    mode,
    status,
    startsAt: start,
    endsAt: end,
    busyFrom: start,
    busyTo: end,
    assessmentId: assessment?.id ?? null,
    plan: PLAN,
    patientTimeZone: 'America/New_York',
    calendarUid: `${id}@example.org`,
    createdAt,
    changedAt: createdAt,
  })
  return id
}

/** The signed record of a visit, with its results at `calf_strap`. */
async function record(
  visitId: string,
  results: readonly { result: StationResult; wayId?: string; reason?: 'no_time' }[],
  { outcome = 'completed', isSigned = true }: { outcome?: Exclude<VisitOutcome, 'no_show'>; isSigned?: boolean } = {},
): Promise<void> {
  const began = at('2026-03-03T14:00:00Z')
  const isStopped = outcome === 'stopped_for_safety'
  await db
    .insert(visitRecords)
    .values({ clinicId: CLINIC, visitId, beganAt: began, stoppedAt: isStopped ? began : null })
  for (const { result, wayId = 'strap', reason = 'no_equipment' } of results)
    await db.insert(stationOutcomes).values({
      clinicId: CLINIC,
      visitId,
      stationId: 'calf_strap',
      wayId,
      side: 'left',
      result,
      reason: result === 'not_possible' || result === 'stopped' ? reason : null,
      recordedBy: 'stf_1',
      recordedAt: began,
    })
  if (!isSigned) return
  const signed = {
    outcome,
    endedAt: began.add({ minutes: 30 }),
    signedBy: 'stf_1',
    signedAt: began.add({ minutes: 40 }),
  }
  await db.update(visitRecords).set(signed).where(eq(visitRecords.visitId, visitId))
}

const NOTHING: LearningFilters = { from: null, to: null, clinician: null, condition: null }

async function learn(topic: Topic, filters: Partial<LearningFilters> = {}) {
  const result = await readLearning(contextFor(db, { now: NOW }), { ...NOTHING, ...filters, topic })
  if (!result.ok) throw new Error(result.error.code)
  return result.value
}

/** "Name, other name: 2 of 3" for each line. */
function said(tables: readonly LearningTable[], id: string): string[] {
  const table = tables.find((each): each is ShareTable => each.id === id && each.kind === 'share')
  return (table?.lines ?? []).map(({ names, share, also }) =>
    [`${names.join(', ')}: ${share.count} of ${share.of}`, ...also].join(' / '),
  )
}

describe('what was done of what was predicted', () => {
  test('done is counted of tried, and what nobody got to stands beside', async () => {
    const results: StationResult[] = ['done', 'done_with_difficulty', 'not_possible', 'stopped', 'not_reached']
    for (const [n, result] of results.entries())
      await record(await addVisit({ startsAt: `2026-03-0${n + 2}T14:00:00Z` }), [{ result }])
    await record(await addVisit({ startsAt: '2026-03-09T14:00:00Z' }), [{ result: 'not_possible', reason: 'no_time' }])
    const { tables } = await learn('stations')
    expect(said(tables, 'by-way')).toEqual(['Calf pull with a strap, strap: 2 of 4 / 1 / 1 / 1 / 2'])
    expect(said(tables, 'why-not')).toEqual([
      'Something is missing at home, Not possible: 1 of 2',
      'Something is missing at home, Stopped: 1 of 2',
    ])
  })

  test('an unsigned record and what was never planned are no tries', async () => {
    await record(await addVisit({ startsAt: '2026-03-02T14:00:00Z' }), [{ result: 'done' }], { isSigned: false })
    await record(await addVisit({ startsAt: '2026-03-03T14:00:00Z' }), [{ result: 'done', wayId: 'another' }])
    expect(said((await learn('stations')).tables, 'by-way')).toEqual([])
  })

  test('only visits of the period, the clinician and the condition are counted; both days of the period are part of it', async () => {
    // 23:30 in New York on 3 March is 04:30 UTC on the 4th.
    await record(await addVisit({ startsAt: '2026-03-04T04:30:00Z' }), [{ result: 'done' }])
    await record(await addVisit({ startsAt: '2026-03-05T14:00:00Z', clinicianId: 'cli_boyd' }), [{ result: 'done' }])
    const count = async (filters: Partial<LearningFilters>) =>
      said((await learn('stations', filters)).tables, 'by-way').map((line) => line.split(': ')[1]?.split(' /')[0])
    expect(await count({})).toEqual(['2 of 2'])
    expect(await count({ from: '2026-03-03', to: '2026-03-03' })).toEqual(['1 of 1'])
    expect(await count({ from: '2026-03-04', to: '2026-03-04' })).toEqual([])
    expect(await count({ clinician: 'cli_boyd' })).toEqual(['1 of 1'])
    expect(await count({ condition: 'flat_foot' })).toEqual(['2 of 2'])
    expect(await count({ condition: 'heel_pain' })).toEqual([])
    // Whoever is not known is not asked for: everybody is shown, and the form says so.
    expect((await learn('stations', { clinician: 'somebody' })).clinicianId).toBeNull()
  })

  test('nothing of another clinic is counted, and a role that may not read is refused', async () => {
    await record(await addVisit({ startsAt: '2026-03-03T14:00:00Z' }), [{ result: 'done' }])
    const actor = { kind: 'patient', clinicId: CLINIC, id: 'pat', referralId: 'ref' } as const
    const refused = await readLearning(contextFor(db, { now: NOW, actor }), { ...NOTHING, topic: 'stations' })
    expect(refused).toEqual({ ok: false, error: { code: 'not_allowed' } })
  })
})

describe('suggestions', () => {
  async function weakStrap(done: number, of: number) {
    for (let n = 0; n < of; n++) {
      const startsAt = at('2026-02-02T14:00:00Z')
        .add({ hours: n * 24 })
        .toString()
      await record(await addVisit({ startsAt }), [{ result: n < done ? 'done' : 'not_possible' }])
    }
  }
  const overview = async () => {
    const result = await readLearningOverview(contextFor(db, { now: NOW }))
    if (!result.ok) throw new Error(result.error.code)
    return result.value
  }
  const way = { protocolId: 'foot_and_ankle', protocolVersion: 1, stationId: 'calf_strap', wayId: 'strap' }

  test('a way that is done clearly too seldom is named with its numbers; the lead’s word is kept beside it', async () => {
    await weakStrap(3, 11)
    const [named, ...others] = (await overview()).suggestions
    expect(others).toEqual([])
    expect(named).toMatchObject({ ...way, done: 3, of: 11, reviewed: null })
    const because = 'The strap is called a belt at home; the words are changed in the next version.'
    const done = await reviewWay(contextFor(db, { now: NOW, actor: lead }), { ...way, because })
    expect(done).toEqual({ ok: true, value: { done: 3, of: 11 } })
    expect((await overview()).suggestions[0]?.reviewed).toMatchObject({ done: 3, of: 11, because })
    expect(await db.select().from(auditEvents).where(eq(auditEvents.action, 'way.reviewed'))).toHaveLength(1)
    await expect(db.update(wayReviews).set({ because: 'other' })).rejects.toThrow()
  })

  test('only the lead may review, and only what is suggested', async () => {
    await weakStrap(3, 11)
    const because = 'Looked at.'
    expect(await reviewWay(contextFor(db, { now: NOW }), { ...way, because })).toEqual({
      ok: false,
      error: { code: 'not_allowed' },
    })
    const asLead = contextFor(db, { now: NOW, actor: lead })
    expect(await reviewWay(asLead, { ...way, wayId: 'other', because })).toEqual({
      ok: false,
      error: { code: 'not_suggested' },
    })
    expect(await db.select().from(wayReviews)).toEqual([])
  })
})

describe('what became of visits', () => {
  test('a video visit that led to one in person, or was replaced by one, is counted where it belongs', async () => {
    const followed = await addVisit({ startsAt: '2026-03-03T14:00:00Z' })
    await record(followed, [], { outcome: 'technical_failure' })
    await addReferral(db, { id: 'ref_again' })
    await db.insert(followUps).values({
      clinicId: CLINIC,
      visitId: followed,
      kind: 'in_person',
      stations: [],
      seeBy: at('2026-03-20T14:00:00Z'),
      referralId: 'ref_again',
      decidedBy: 'stf_1',
      decidedAt: at('2026-03-03T15:00:00Z'),
    })
    await addVisit({ startsAt: '2026-03-04T14:00:00Z' })
    await addReferral(db, { id: 'ref_replaced' })
    await addVisit({ startsAt: '2026-03-05T14:00:00Z', status: 'cancelled', referralId: 'ref_replaced' })
    const later = { startsAt: '2026-03-12T18:00:00Z', mode: 'in_person', referralId: 'ref_replaced' } as const
    await addVisit({ ...later, bookedDaysAhead: 1 })
    const { tables } = await learn('visits')
    expect(said(tables, 'took-place')).toEqual([
      'Video, In person: 1 of 1 / 0 / 0 / 0 / 0 / 0',
      'Video, Video: 2 of 3 / 0 / 1 / 0 / 0 / 1',
    ])
    expect(said(tables, 'followed-in-person')).toEqual(['Video, Video: 1 of 2'])
    expect(said(tables, 'moved-in-person')).toEqual(['Video, Video: 1 of 1'])
  })

  test('missed is counted of due, by how long ahead it was booked', async () => {
    await addVisit({ startsAt: '2026-03-03T14:00:00Z', bookedDaysAhead: 0.5, status: 'no_show' })
    await addVisit({ startsAt: '2026-03-04T14:00:00Z', bookedDaysAhead: 1 })
    await addVisit({ startsAt: '2026-03-05T14:00:00Z', bookedDaysAhead: 28, status: 'no_show' })
    await addVisit({ startsAt: '2026-04-06T14:00:00Z', bookedDaysAhead: 40 })
    await addVisit({ startsAt: '2026-04-07T14:00:00Z', status: 'cancelled' })
    await addVisit({ startsAt: '2026-04-08T14:00:00Z', status: 'booked' })
    const { tables } = await learn('missed')
    expect(said(tables, 'by-lead-time')).toEqual([
      'Less than 1 day: 1 of 1',
      '1 to 6 days: 0 of 1',
      '28 days or more: 1 of 2',
    ])
    expect(said(tables, 'by-month')).toEqual(['2026-03: 2 of 3', '2026-04: 0 of 1'])
    expect(said(tables, 'all')).toEqual(['All: 2 of 4'])
  })

  test('how ready it was counts only if it was written down a day before that very start', async () => {
    const kept = async (
      visitId: string,
      startsAt: string,
      hoursBefore: number,
      openItems: ('helper' | 'equipment')[],
    ) => {
      const start = at(startsAt)
      await db.insert(readinessKept).values({
        clinicId: CLINIC,
        visitId,
        forStartsAt: start,
        takenAt: start.subtract({ minutes: Math.round(hoursBefore * 60) }),
        worst: openItems.length === 0 ? 'done' : 'late',
        openItems,
      })
    }
    const [ready, late, tooLate] = ['2026-03-03T14:00:00Z', '2026-03-04T14:00:00Z', '2026-03-05T14:00:00Z'] as const
    await kept(await addVisit({ startsAt: ready }), ready, 23.9, [])
    await kept(await addVisit({ startsAt: late, status: 'no_show' }), late, 23, ['helper', 'equipment'])
    await kept(await addVisit({ startsAt: tooLate }), tooLate, 22.9, [])
    const { tables } = await learn('readiness')
    expect(said(tables, 'by-readiness')).toEqual(['Ready: 1 of 1', 'Something was late: 0 of 1'])
    expect(tables[0]?.note).toMatch(/^Of 1 more /)
    expect(said(tables, 'by-open-item')).toEqual(['Things to fetch: 0 of 1', 'Helper: 0 of 1'])
  })

  test('reminders: what went out, what failed, and what was confirmed before and after', async () => {
    const mail = async (
      visitId: string,
      kind: 'day_before' | 'still_missing',
      dueAt: string,
      status: 'sent' | 'failed',
    ) => {
      const [row] = await db.select({ referralId: visits.referralId }).from(visits).where(eq(visits.id, visitId))
      const due = at(dueAt)
      await db.insert(messages).values({
        clinicId: CLINIC,
        id: `msg_${visitId}_${kind}`,
        referralId: row?.referralId ?? '',
        visitId,
        kind,
        dedupeKey: `${visitId} ${kind}`,
        dueAt: due,
        status,
        sentAt: status === 'sent' ? due : null,
        createdAt: due,
      })
    }
    const sent = await addVisit({ startsAt: '2026-03-10T14:00:00Z' })
    await mail(sent, 'day_before', '2026-03-09T14:00:00Z', 'sent')
    await mail(sent, 'still_missing', '2026-03-07T14:00:00Z', 'sent')
    const mark = (id: string, when: string) =>
      db.insert(readinessMarks).values({
        clinicId: CLINIC,
        id,
        visitId: sent,
        item: 'helper',
        state: 'confirmed',
        forStartsAt: at('2026-03-10T14:00:00Z'),
        by: 'pat',
        byKind: 'patient',
        at: at(when),
      })
    await mark('mrk_1', '2026-03-05T13:59:00Z')
    await mark('mrk_2', '2026-03-08T14:00:00Z')
    await mail(
      await addVisit({ startsAt: '2026-03-11T14:00:00Z', status: 'no_show' }),
      'day_before',
      '2026-03-10T14:00:00Z',
      'failed',
    )
    await addVisit({ startsAt: '2026-03-12T14:00:00Z' })
    const { tables } = await learn('reminders')
    expect(said(tables, 'day-before')).toEqual([
      'Went out: 0 of 1',
      'Could not be delivered: 1 of 1',
      'None was due: 0 of 1',
    ])
    expect(said(tables, 'still-missing')).toEqual([
      'In the 48 hours before the mail: 0 of 1',
      'In the 48 hours after it: 1 of 1',
    ])
  })
})

describe('days', () => {
  // With both parameters 1 jStat's quantiles are Hyndman and Fan's definition 7.
  test('the quartiles are those that a statistics library finds, and who still waits is said', async () => {
    const waited = [2, 5, 7, 20, 31]
    for (const [n, days] of waited.entries()) {
      const referralId = `ref_days_${n}`
      await addReferral(db, { id: referralId })
      // Everybody was referred, and screened, on 2 March, 08:00.
      const startsAt = at('2026-03-02T13:00:00Z')
        .add({ hours: days * 24 })
        .toString()
      await addVisit({ startsAt, referralId })
    }
    await addReferral(db, { id: 'ref_waiting' })
    await addReferral(db, { id: 'ref_closed' })
    const closed = { stage: 'closed', closedBecause: 'Seen elsewhere' } as const
    await db.update(referrals).set(closed).where(eq(referrals.id, 'ref_closed'))
    const table = (await learn('days')).tables.find((each): each is DaysTable => each.id === 'to-visit')
    const at4 = (part: number) => Math.round((jstat.quantiles(waited, [part], 1, 1)[0] ?? 0) * 10) / 10
    expect(table?.lines.map(({ names, spread }) => [names[0], spread])).toEqual(
      ['All', 'Routine'].map((name) => [
        name,
        { of: 5, pending: 1, quarter: at4(0.25), median: at4(0.5), threeQuarters: at4(0.75), nineTenths: at4(0.9) },
      ]),
    )
  })

  test('waits stand by week and mode; fewer than three open starts is no figure, not a short one', async () => {
    const keep = (onDate: string, mode: 'video' | 'in_person', days: number | null, clinicianId = 'cli_ames') =>
      db.insert(waitsKept).values({
        clinicId: CLINIC,
        onDate,
        clinicianId,
        mode,
        takenAt: at(`${onDate}T13:00:00Z`),
        minutes: 30,
        days,
        horizonDays: 90,
      })
    await keep('2026-03-02', 'video', 3)
    await keep('2026-03-03', 'video', 9)
    await keep('2026-03-08', 'video', 5)
    await keep('2026-03-09', 'video', null)
    await keep('2026-03-09', 'in_person', 7, 'cli_boyd')
    const trendOf = async (filters: Partial<LearningFilters> = {}) =>
      (await learn('waits', filters)).tables.find((each): each is TrendTable => each.kind === 'trend')?.lines
    expect(await trendOf()).toEqual([
      { on: '2026-03-02', values: [5, null] },
      { on: '2026-03-09', values: [null, 7] },
    ])
    expect(await trendOf({ clinician: 'cli_boyd' })).toEqual([{ on: '2026-03-09', values: [null, 7] }])
  })
})

test('without any visit every table is empty and nothing is divided by nothing', async () => {
  for (const topic of ['stations', 'visits', 'readiness', 'missed', 'days', 'waits', 'reminders'] as const) {
    const { tables, smallBelow } = await learn(topic)
    expect(tables.length).toBeGreaterThan(0)
    for (const table of tables) expect(csvOf(rowsOf(table, smallBelow))).not.toMatch(/NaN|null|undefined/)
  }
})

test('a file holds what the page shows, as plain numbers, and says what is few', async () => {
  for (const day of [2, 3, 4]) {
    const status = day === 3 ? 'no_show' : 'done'
    await addVisit({ startsAt: `2026-03-0${day}T14:00:00Z`, status })
  }
  const { tables, smallBelow } = await learn('missed')
  const table = tables.find(({ id }) => id === 'by-lead-time')
  const [row] = parse(csvOf(table ? rowsOf(table, smallBelow) : []), { columns: true }) as Record<string, string>[]
  // 1 of 3: 0.3333, Wilson 0.0615 to 0.7923 (worked out by hand from the formula).
  expect(row).toEqual({
    'Booked ahead': '1 to 6 days',
    missed: '1',
    due: '3',
    share: '0.3333',
    low_95: '0.0615',
    high_95: '0.7923',
    few: 'yes',
  })
})
