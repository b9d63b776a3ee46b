/** The small clinic: Ames sees people at Hudson Street on Thursdays 13:00 to 16:00, Boyd at Palisade Avenue on Fridays 09:00 to 12:00. */
import { and, eq, isNull } from 'drizzle-orm'
import { beforeEach, expect, test } from 'vitest'
import type { Db } from '#db/client.ts'
import { auditEvents, clinicSessions, clinics, sessionExceptions, tasks } from '#db/schema/index.ts'
import { type Breach, readBreach } from '#lib/domain/booking/breach.ts'
import { DEFAULT_POLICY } from '#lib/domain/policy/clinic-policy.ts'
import { bookVisit } from '#lib/usecases/book-visit.ts'
import { findStarts } from '#lib/usecases/find-starts.ts'
import { sweepSeeBy } from '#lib/usecases/sweep-see-by.ts'
import { watchSeeBy } from '#lib/usecases/watch-see-by.ts'
import { addReferral, addSmallClinic, CLINIC, contextFor, goodHome, type NewReferral } from '#tests/support/clinic.ts'
import { emptyDb } from '#tests/support/db.ts'
import { askingInPerson } from '#tests/support/starts.ts'

let db: Db

beforeEach(async () => {
  db = (await emptyDb()).db
  await addSmallClinic(db)
})

const system = { kind: 'system', clinicId: CLINIC, id: 'system' } as const
let times = 0
const watch = async (now?: string) => {
  times += 1
  const ctx = contextFor(db, { actor: system, ids: `_${times}`, ...(now !== undefined && { now }) })
  const result = await watchSeeBy(ctx, { referralId: 'ref_1' })
  return result.ok && result.value.isBreached
}
/** Somebody who has to come to the clinic. */
const inPerson = (seeBy: string, change: Partial<NewReferral> = {}) =>
  addReferral(db, { id: 'ref_1', answers: { ...goodHome(), accepts_video: false }, seeBy, ...change })
const openBreach = async (): Promise<Breach | null> => {
  const [task] = await db
    .select()
    .from(tasks)
    .where(and(eq(tasks.kind, 'see_by_breach'), isNull(tasks.doneAt)))
  return task ? readBreach(task.detail) : null
}
const search = (change = {}) =>
  findStarts(contextFor(db), {
    referralId: 'ref_1',
    mode: null,
    clinicianId: null,
    dayPart: null,
    siteId: null,
    released: [],
    days: 6,
    perDay: 6,
    ...change,
  })

test('who has to come to the clinic is offered rooms at the site they prefer first, then at the others', async () => {
  await inPerson('2026-03-13T21:00:00Z', { preferredSiteId: 'sit_nj' })
  const found = await search({ days: 60, perDay: 60 })
  const starts = found.ok ? found.value.days.flatMap((day) => day.starts).toSorted((a, b) => a.rank - b.rank) : []
  expect([...new Set(starts.map((start) => start.site?.id))]).toEqual(['sit_nj', 'sit_ny'])
  expect(starts[0]?.startsAt).toBe('2026-03-06T14:00:00Z')
  expect(await watch()).toBe(false)
})

// Safety: a limit that can't be met must not wait for somebody to notice.
test('no room at any site in time is on the desk, with the first start there is and what would help', async () => {
  await inPerson('2026-03-05T16:00:00Z', { patientWindows: [{ weekday: 5, from: '10:00', to: '12:00' }] })
  expect(await watch()).toBe(true)
  expect(await openBreach()).toEqual({
    mode: 'in_person',
    seeBy: '2026-03-05T16:00:00Z',
    firstAt: '2026-03-06T15:00:00Z',
    helps: [],
  })
})

test('what would help is each single condition that gives a start in time', async () => {
  await db.update(clinicSessions).set({ urgentMin: 180, noticeMin: 24 * 60 * 4 })
  const policy = { ...DEFAULT_POLICY, booking: { ...DEFAULT_POLICY.booking, urgentStarts: 'released_with_reason' } }
  await db.update(clinics).set({ policy })
  await inPerson('2026-03-05T21:00:00Z')
  // Notice and kept time both stand in the way of the Thursday: neither alone helps.
  await watch()
  expect((await openBreach())?.helps).toEqual([])
  await db.update(clinicSessions).set({ noticeMin: 0 })
  await watch()
  expect((await openBreach())?.helps).toEqual([{ kind: 'urgent_starts', startsAt: '2026-03-05T18:00:00Z' }])
  // The task is rewritten, not opened again.
  expect(await db.select().from(tasks)).toHaveLength(1)
  expect(await db.select().from(auditEvents).where(eq(auditEvents.action, 'task.changed'))).toHaveLength(1)
})

test('time kept for urgent visits is no help where the clinic keeps it whatever happens', async () => {
  await db.update(clinicSessions).set({ urgentMin: 180 })
  await inPerson('2026-03-05T21:00:00Z')
  await watch()
  expect((await openBreach())?.helps).toEqual([])
})

test('the task ends by itself when there is a start in time again, and comes when a session is lost', async () => {
  await inPerson('2026-03-05T21:00:00Z')
  expect(await watch()).toBe(false)
  await db
    .insert(sessionExceptions)
    .values({ clinicId: CLINIC, sessionId: 'ses_ames_site', onDate: '2026-03-05', kind: 'closed' })
  expect(await watch('2026-03-02T13:10:00Z')).toBe(true)
  expect(await openBreach()).not.toBeNull()
  await db.delete(sessionExceptions)
  expect(await watch('2026-03-02T13:20:00Z')).toBe(false)
  expect(await openBreach()).toBeNull()
})

test('time alone can bring a breach: the notice period eats up what was free', async () => {
  await inPerson('2026-03-05T21:00:00Z')
  expect(await watch('2026-03-05T17:00:00Z')).toBe(false)
  expect(await watch('2026-03-05T18:31:00Z')).toBe(true)
  // Two hours of notice: the last start of the day, 15:30, can no longer be had at 13:31.
  expect((await openBreach())?.helps).toEqual([{ kind: 'short_notice', startsAt: '2026-03-05T18:45:00Z' }])
})

test('a visit that is booked late on purpose takes the task off the desk with its reason', async () => {
  await inPerson('2026-03-05T16:00:00Z')
  await watch()
  const late = askingInPerson('2026-03-05T18:00:00Z', { released: ['after_see_by'], because: 'The patient is away' })
  const ctx = contextFor(db, { ids: 'b' })
  const booked = await bookVisit(ctx, { key: 'book it late', referralId: 'ref_1', heldVisitId: null, start: late })
  expect(booked.ok).toBe(true)
  expect(await db.select({ note: tasks.doneNote, by: tasks.doneBy }).from(tasks)).toEqual([
    { note: 'The patient is away', by: 'stf_1' },
  ])
  expect(await watch('2026-03-02T13:10:00Z')).toBe(false)
})

test('every referral that waits for a start is looked at again, and none that is booked, closed or undecided', async () => {
  await inPerson('2026-03-05T16:00:00Z')
  await addReferral(db, { id: 'ref_2' })
  await addReferral(db, { id: 'ref_3', answers: {} })
  const start = askingInPerson('2026-03-05T18:00:00Z')
  expect(
    (await bookVisit(contextFor(db), { key: 'book ref_2', referralId: 'ref_2', heldVisitId: null, start })).ok,
  ).toBe(true)
  const jobs: string[] = []
  const ctx = contextFor(db)
  const queue = {
    ...ctx.queue,
    enqueueSeeByWatch: async (_: Db, { referralId }: { referralId: string }) => void jobs.push(referralId),
  }
  await sweepSeeBy({ db, queue })
  expect(jobs).toEqual(['ref_1'])
})
