import { and, eq } from 'drizzle-orm'
import { beforeEach, expect, test } from 'vitest'
import type { Db } from '#db/client.ts'
import { assessments, holidays, licences, referrals, tasks, visits } from '#db/schema/index.ts'
import { Temporal } from '#lib/base/time.ts'
import { bookVisit } from '#lib/usecases/book-visit.ts'
import { type FindStartsInput, findStarts, type StartsFound } from '#lib/usecases/find-starts.ts'
import { holdStart } from '#lib/usecases/hold-start.ts'
import { overruleDisposition } from '#lib/usecases/overrule-disposition.ts'
import {
  addReferral,
  addSmallClinic,
  CLINIC,
  contextFor,
  coordinator,
  goodHome,
  patientOf,
} from '#tests/support/clinic.ts'
import { emptyDb } from '#tests/support/db.ts'
import { asking } from '#tests/support/starts.ts'

let db: Db

beforeEach(async () => {
  db = (await emptyDb()).db
  await addSmallClinic(db)
})

const plain = (referralId: string): FindStartsInput => ({
  referralId,
  mode: null,
  clinicianId: null,
  dayPart: null,
  released: [],
  days: 6,
  perDay: 6,
})

async function search(
  referralId: string,
  change: Partial<FindStartsInput> = {},
  actor = contextFor(db),
): Promise<StartsFound> {
  const result = await findStarts(actor, { ...plain(referralId), ...change })
  if (!result.ok) throw new Error(`refused: ${result.error.code}`)
  return result.value
}

const times = (found: StartsFound) => found.days.flatMap((day) => day.starts.map((start) => start.startsAt))

test('a video visit is looked for with the minutes of its exam plan, by a clinician licensed where the patient will be', async () => {
  await addReferral(db, { id: 'ref_1' })
  const found = await search('ref_1')
  expect(found).toMatchObject({ mode: 'video', minutes: 45, timeZone: 'America/New_York' })
  // From Tuesday 09:00 New York to the last quarter hour from which 45 minutes still fit before noon: six of ten.
  expect(found.days[0]?.date).toBe('2026-03-03')
  expect(found.days[0]?.starts.map((start) => start.startsAt.slice(11, 16))).toEqual([
    '14:00',
    '14:30',
    '15:00',
    '15:15',
    '15:45',
    '16:15',
  ])
  expect(new Set(found.days.flatMap((day) => day.starts.map((start) => start.clinicianName)))).toEqual(
    new Set(['Alex Ames']),
  )
})

test('days are the days of the patient, wherever the clinic is', async () => {
  await addReferral(db, { id: 'ref_1', timeZone: 'Pacific/Auckland' })
  const found = await search('ref_1')
  // 14:00Z on the 3rd is 03:00 on the 4th in Auckland (UTC+13 until 5 April 2026).
  expect(found.days[0]).toMatchObject({
    date: '2026-03-04',
    starts: [{ startsAt: '2026-03-03T14:00:00Z' }, {}, {}, {}, {}, {}],
  })
})

test('starts are looked for from a day of the patient’s on, and no further ahead for that', async () => {
  await addReferral(db, { id: 'ref_1', timeZone: 'Pacific/Auckland' })
  // The session of Tuesday the 10th in New York begins on Wednesday the 11th in Auckland.
  expect((await search('ref_1', { fromDay: '2026-03-11' })).days[0]?.date).toBe('2026-03-11')
  expect((await search('ref_1', { fromDay: '2026-03-12' })).days[0]?.date).toBe('2026-03-18')
  const all: Partial<FindStartsInput> = { days: 60, released: ['after_see_by'] }
  const last = times(await search('ref_1', all)).at(-1) ?? ''
  expect(times(await search('ref_1', { ...all, fromDay: '2026-03-12' })).at(-1)).toBe(last)
  const beyond = Temporal.Instant.from(last)
    .add({ hours: 8 * 24 })
    .toString()
    .slice(0, 10)
  expect(await search('ref_1', { ...all, fromDay: beyond })).toMatchObject({
    days: [],
    relaxation: { kind: 'longer_horizon' },
    breach: null,
  })
  expect((await search('ref_1', { fromDay: '2020-01-01' })).days).toEqual((await search('ref_1')).days)
})

test('the helper is needed only for their own minutes of the visit', async () => {
  // The plan needs the helper from minute 23 to minute 32 of 45: within 09:30 to 10:00 only a start at 09:15 fits.
  await addReferral(db, { id: 'ref_1', helperWindows: [{ weekday: 2, from: '09:30', to: '10:00' }] })
  const found = await search('ref_1')
  expect(found.days[0]?.starts.map((start) => start.startsAt)).toEqual(['2026-03-03T14:15:00Z'])
})

test('an interpreter is found along with the start', async () => {
  await addReferral(db, { id: 'ref_1', interpreterLanguage: 'es' })
  const found = await search('ref_1')
  expect(found.days[0]?.starts[0]).toMatchObject({ interpreterName: 'Cam Cruz' })
})

test('a patient who must be seen in person gets rooms at sites, nearest first, and never a video start', async () => {
  await addReferral(db, { id: 'ref_1', answers: { ...goodHome(), accepts_video: false }, preferredSiteId: 'sit_nj' })
  const found = await search('ref_1', { mode: 'video' })
  expect(found).toMatchObject({ mode: 'in_person', modes: ['in_person'], minutes: 30, earlyLook: null })
  const [first] = found.days.flatMap((day) => day.starts).toSorted((a, b) => a.rank - b.rank)
  expect(first).toMatchObject({ mode: 'in_person', site: { id: 'sit_nj' }, roomName: 'Room 3' })
})

test('an early video look is offered beside the visit in person, and only before it', async () => {
  // To be seen within 24 hours, which no session allows: the coordinator is told, and the look is offered all the same.
  await addReferral(db, { id: 'ref_1', conditionId: 'achilles_rupture' })
  const found = await search('ref_1')
  expect(found).toMatchObject({
    mode: 'in_person',
    days: [],
    relaxation: { kind: 'after_see_by', start: { startsAt: '2026-03-05T18:00:00Z' } },
    earlyLook: { before: '2026-03-05T18:00:00Z' },
  })
  expect(found.earlyLook?.starts.length).toBeGreaterThan(0)
  for (const start of found.earlyLook?.starts ?? []) expect(start.startsAt < '2026-03-05T18:00:00Z').toBe(true)
})

test('a patient is not offered the early look: it goes with a call', async () => {
  await addReferral(db, { id: 'ref_1', conditionId: 'achilles_rupture' })
  const found = await search('ref_1', {}, contextFor(db, { actor: patientOf('ref_1') }))
  expect(found.earlyLook).toBeNull()
})

test('nothing is offered while an emergency is not acknowledged', async () => {
  await addReferral(db, { id: 'ref_1', answers: { ...goodHome(), chest_or_breath: true } })
  expect(await findStarts(contextFor(db), plain('ref_1'))).toMatchObject({ ok: false, error: { code: 'stopped' } })
})

test('nothing is offered while answers that decide are missing', async () => {
  const { lane_m: _, ...rest } = goodHome()
  await addReferral(db, { id: 'ref_1', answers: rest })
  expect(await findStarts(contextFor(db), plain('ref_1'))).toMatchObject({ ok: false, error: { code: 'not_decided' } })
})

test('while it is not known where the patient will be, that is named as the thing to find out', async () => {
  await addReferral(db, { id: 'ref_1', placeState: null })
  const found = await search('ref_1')
  expect(found.days).toEqual([])
  expect(found.relaxation?.kind).toBe('say_where_patient_is')
  expect(await db.select().from(tasks)).toEqual([])
})

test('an empty search names the one thing that would give the earliest start', async () => {
  await addReferral(db, { id: 'ref_1', patientWindows: [{ weekday: 7, from: '09:00', to: '17:00' }] })
  const found = await search('ref_1')
  expect(found.days).toEqual([])
  expect(found.relaxation).toMatchObject({ kind: 'other_patient_times', start: { startsAt: '2026-03-03T14:00:00Z' } })
  // Released, it is there.
  expect(times(await search('ref_1', { released: ['other_patient_times'] }))[0]).toBe('2026-03-03T14:00:00Z')
})

test('a patient can release only their own times', async () => {
  await addReferral(db, { id: 'ref_1', helperWindows: [{ weekday: 7, from: '09:00', to: '17:00' }] })
  const asPatient = contextFor(db, { actor: patientOf('ref_1') })
  expect((await search('ref_1', { released: ['other_helper_times'] }, asPatient)).days).toEqual([])
  expect((await search('ref_1', { released: ['other_helper_times'] })).days.length).toBeGreaterThan(0)
})

// Safety: a limit that can't be met must not wait for somebody to notice.
test('no start before the see-by time opens one task for the coordinator, however often it is looked for', async () => {
  await addReferral(db, { id: 'ref_1', seeBy: '2026-03-02T20:00:00Z' })
  const found = await search('ref_1')
  expect(found.relaxation).toMatchObject({ kind: 'after_see_by' })
  await search('ref_1')
  expect(await db.select({ kind: tasks.kind, detail: tasks.detail }).from(tasks)).toEqual([
    {
      kind: 'see_by_breach',
      detail: { mode: 'video', seeBy: '2026-03-02T20:00:00Z', helps: [], firstAt: '2026-03-03T14:00:00Z' },
    },
  ])
})

test('a narrowed search that finds nothing is no breach', async () => {
  await addReferral(db, { id: 'ref_1' })
  const found = await search('ref_1', { clinicianId: 'cli_boyd' })
  expect(found.days).toEqual([])
  expect(found.relaxation?.kind).toBe('another_clinician')
  expect(await db.select().from(tasks)).toEqual([])
})

test('what others hold is not offered; once their hold has run out it is again', async () => {
  await addReferral(db, { id: 'ref_1' })
  await addReferral(db, { id: 'ref_2' })
  const start = asking('2026-03-03T14:00:00Z')
  expect((await holdStart(contextFor(db), { key: 'hold-key-1', referralId: 'ref_1', start })).ok).toBe(true)
  expect(times(await search('ref_2'))[0]).toBe('2026-03-03T14:45:00Z')
  const later = contextFor(db, { now: '2026-03-02T13:10:00Z' })
  expect(times(await search('ref_2', {}, later))[0]).toBe('2026-03-03T14:00:00Z')
})

test('somebody else’s referral looks the same as a missing one', async () => {
  await addReferral(db, { id: 'ref_1' })
  const asOther = contextFor(db, { actor: patientOf('ref_2') })
  const others = await findStarts(asOther, plain('ref_1'))
  expect(others).toEqual(await findStarts(asOther, plain('ref_9')))
  const elsewhere = contextFor(db, { actor: { ...coordinator, clinicId: 'cln_2' } })
  expect(await findStarts(elsewhere, plain('ref_1'))).toEqual({ ok: false, error: { code: 'referral_not_found' } })
})

test('a closed day and a lapsed licence take their starts away', async () => {
  await addReferral(db, { id: 'ref_1' })
  await db.insert(holidays).values({ clinicId: CLINIC, onDate: '2026-03-03', name: 'Town day' })
  await db.update(licences).set({ validTo: '2026-03-16' }).where(eq(licences.id, 'lic_1'))
  expect((await search('ref_1')).days.map((day) => day.date)).toEqual(['2026-03-10'])
})

test('the disposition of a person counts, not the engine’s that it overruled', async () => {
  await addReferral(db, { id: 'ref_1' })
  const [newest] = await db.select().from(assessments)
  const because = 'Prefers to be seen at the clinic'
  await overruleDisposition(contextFor(db, { now: '2026-03-02T13:01:00Z' }), {
    referralId: 'ref_1',
    assessmentId: newest?.id ?? '',
    to: 'in_person',
    because,
  })
  expect((await search('ref_1')).modes).toEqual(['in_person'])
})

test('a booked visit is shown with what is needed to change it', async () => {
  await addReferral(db, { id: 'ref_1' })
  const start = asking('2026-03-03T14:00:00Z')
  await bookVisit(contextFor(db), { key: 'book-key-1', referralId: 'ref_1', heldVisitId: null, start })
  const [visit] = await db.select().from(visits)
  expect((await search('ref_1')).claims).toMatchObject([{ visitId: visit?.id, status: 'booked', version: 1 }])
  const [row] = await db
    .select()
    .from(referrals)
    .where(and(eq(referrals.clinicId, CLINIC), eq(referrals.id, 'ref_1')))
  expect(row?.stage).toBe('booked')
  expect(row?.seeBy).toEqual(Temporal.Instant.from('2026-04-13T21:00:00Z'))
})
