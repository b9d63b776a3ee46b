/**
 * A search reads outward, group by group, only what could serve. Whatever it leaves out, its answer must be that of one
 * search over everything the clinic has: random clinics, wishes and people, both asked of the same database.
 */
import fc from 'fast-check'
import { beforeEach, expect, test } from 'vitest'
import type { Db } from '#db/client.ts'
import { findBookingCase } from '#db/queries/booking-case.ts'
import { getClinic } from '#db/queries/clinics.ts'
import { listActiveSites, loadSupply } from '#db/queries/supply.ts'
import { insertVisit } from '#db/queries/visits.ts'
import { clinicians, clinicSessions, interpreters, licences, sessionExceptions } from '#db/schema/index.ts'
import { Temporal } from '#lib/base/time.ts'
import { DAY_PARTS, demandOf, type Wishes } from '#lib/domain/booking/demand-of.ts'
import type { Start } from '#lib/domain/calendar/demand.ts'
import { findStarts } from '#lib/domain/calendar/find-starts.ts'
import { prepareSupply } from '#lib/domain/calendar/supply.ts'
import type { WeeklyWindow } from '#lib/domain/calendar/weekly-window.ts'
import { searchStarts } from '#lib/usecases/steps/search-starts.ts'
import { addReferral, addSmallClinic, CLINIC, NOW } from '#tests/support/clinic.ts'
import { emptyDb } from '#tests/support/db.ts'

const ZONES = ['America/New_York', 'America/Los_Angeles', 'Pacific/Auckland']
const STATES = ['NY', 'NJ', 'CA']
const now = Temporal.Instant.from(NOW)

const session = fc.record({
  owner: fc.constantFrom('cli_ames', 'cli_boyd', 'cli_drew', 'cli_east', 'int_cruz', 'int_vega'),
  mode: fc.constantFrom('video' as const, 'in_person' as const, 'either' as const),
  siteId: fc.constantFrom('sit_ny', 'sit_nj'),
  timeZone: fc.constantFrom(...ZONES),
  weekdays: fc.subarray(['MO', 'TU', 'WE', 'TH', 'FR', 'SA'], { minLength: 1, maxLength: 3 }),
  interval: fc.integer({ min: 1, max: 5 }),
  weeksAhead: fc.integer({ min: 0, max: 8 }),
  opensAt: fc.constantFrom('00:30', '08:00', '11:00', '15:30', '21:00'),
  durationMin: fc.constantFrom(60, 180, 480),
  buffer: fc.constantFrom(0, 10),
  urgentMin: fc.constantFrom(0, 0, 60),
  isClosedOnce: fc.boolean(),
})
const licence = fc.record({
  clinicianId: fc.constantFrom('cli_ames', 'cli_boyd', 'cli_drew', 'cli_east'),
  state: fc.constantFrom(...STATES),
  validFrom: fc.constantFrom('2020-01-01', '2026-03-20'),
  validTo: fc.constantFrom(null, '2026-03-25'),
})
const patient = fc.record({
  seeBy: fc.constantFrom(
    '2026-03-03T12:00:00Z',
    '2026-03-12T21:00:00Z',
    '2026-04-13T21:00:00Z',
    '2026-12-01T00:00:00Z',
  ),
  placeState: fc.constantFrom(null, ...STATES),
  interpreterLanguage: fc.constantFrom(null, null, 'es', 'vi'),
  preferredSiteId: fc.constantFrom(null, 'sit_ny', 'sit_nj'),
  timeZone: fc.constantFrom(...ZONES),
  patientWindows: fc.constantFrom<WeeklyWindow[]>([], [{ weekday: 2, from: '08:00', to: '20:00' }]),
})
const wishes = fc.record({
  askedBy: fc.constant('staff' as const),
  mode: fc.constantFrom('video' as const, 'in_person' as const),
  clinicianId: fc.constantFrom(null, null, 'cli_ames', 'cli_drew'),
  dayPart: fc.constantFrom(null, null, ...DAY_PARTS),
  siteId: fc.constantFrom(null, null, 'sit_nj'),
  released: fc.subarray(['another_clinician', 'after_see_by', 'another_day_part', 'longer_horizon'] as const, {
    maxLength: 2,
  }),
  fromDay: fc
    .constantFrom(null, null, '2026-03-01', '2026-03-11', '2026-05-20')
    .map((day) => day && Temporal.PlainDate.from(day)),
  before: fc.constant(null),
  limit: fc.constantFrom(1, 6, 40),
  perDay: fc.constantFrom(null, 1, 5),
}) satisfies fc.Arbitrary<Wishes>
const clinic = fc.record({
  sessions: fc.array(session, { minLength: 2, maxLength: 8 }),
  licences: fc.array(licence, { minLength: 2, maxLength: 6 }),
  patients: fc.array(fc.record({ patient, wishes: fc.array(wishes, { minLength: 3, maxLength: 3 }) }), {
    minLength: 2,
    maxLength: 2,
  }),
})
type RandomClinic = typeof clinic extends fc.Arbitrary<infer T> ? T : never

let db: Db
beforeEach(async () => {
  db = (await emptyDb()).db
})

/** The small clinic with other people, sessions and licences, and a visit in every third start that there is. */
async function fill({ sessions, licences: held, patients }: RandomClinic): Promise<void> {
  await addSmallClinic(db)
  const timeZone = 'America/New_York'
  await db.insert(clinicians).values(
    ['cli_drew', 'cli_east'].map((id) => ({
      clinicId: CLINIC,
      id,
      name: id,
      credentials: 'DPM',
      languages: id === 'cli_east' ? ['en', 'es-MX'] : ['en'],
      timeZone,
    })),
  )
  await db.insert(interpreters).values({ clinicId: CLINIC, id: 'int_vega', name: 'Vega', languages: ['es'], timeZone })
  await db.insert(licences).values(held.map((row, n) => ({ ...row, clinicId: CLINIC, id: `lic_random_${n}` })))
  for (const [n, each] of sessions.entries()) {
    const { owner, weekdays, interval, weeksAhead, buffer, isClosedOnce, ...rest } = each
    const monday = Temporal.PlainDate.from('2026-03-02').add({ weeks: weeksAhead })
    const startsOn = monday.add({ days: ['MO', 'TU', 'WE', 'TH', 'FR', 'SA'].indexOf(weekdays[0] ?? 'MO') }).toString()
    const id = `ses_random_${n}`
    const isClinician = owner.startsWith('cli')
    await db.insert(clinicSessions).values({
      ...rest,
      clinicId: CLINIC,
      id,
      clinicianId: isClinician ? owner : null,
      interpreterId: isClinician ? null : owner,
      urgentMin: isClinician ? rest.urgentMin : 0,
      urgentReleaseHours: 30,
      startsOn,
      rule: `FREQ=WEEKLY;INTERVAL=${interval};BYDAY=${weekdays.join(',')}`,
      grainMin: 15,
      bufferBeforeMin: buffer,
      bufferAfterMin: buffer,
      noticeMin: 120,
      createdAt: now,
    })
    if (isClosedOnce)
      await db.insert(sessionExceptions).values({ clinicId: CLINIC, sessionId: id, onDate: startsOn, kind: 'closed' })
  }
  for (const [n, { patient: row }] of patients.entries()) await addReferral(db, { ...row, id: `ref_${n}` })
}

async function takeEveryThird(answer: Awaited<ReturnType<typeof whole>>): Promise<void> {
  let lastEnd = Number.NEGATIVE_INFINITY
  const apart = answer.starts.filter(({ busyFrom, busyTo }) => {
    const isFree = busyFrom >= lastEnd
    if (isFree) lastEnd = busyTo
    return isFree
  })
  const at = (milliseconds: number) => Temporal.Instant.fromEpochMilliseconds(milliseconds)
  for (const [n, start] of apart.filter((_, n) => n % 3 === 0).entries()) {
    await addReferral(db, { id: `ref_taken_${n}` })
    await insertVisit(db, {
      clinicId: CLINIC,
      id: `vis_taken_${n}`,
      referralId: `ref_taken_${n}`,
      patientId: `pat_of_ref_taken_${n}`,
      clinicianId: start.clinicianId,
      sessionId: start.sessionId,
      interpreterId: start.interpreterId,
      roomId: start.roomId,
      mode: start.mode,
      startsAt: at(start.start),
      endsAt: at(start.end),
      busyFrom: at(start.busyFrom),
      busyTo: at(start.busyTo),
      plan: null,
      assessmentId: null,
      patientTimeZone: 'America/New_York',
      placeState: 'NY',
      released: [],
      releasedBecause: null,
      calendarUid: `cal_taken_${n}`,
      status: 'booked',
      at: now,
    })
  }
}

async function caseOf(referralId: string) {
  const bookingCase = await findBookingCase(db, CLINIC, referralId, { lock: false })
  if (!bookingCase) throw new Error('the referral was added')
  return bookingCase
}

/** Everything there is over twice the horizon, in one search. */
async function whole(referralId: string, wish: Wishes) {
  const bookingCase = await caseOf(referralId)
  const { policy, timeZone: clinicTimeZone } = await getClinic(db, CLINIC)
  const to = now.add({ hours: 24 * 2 * policy.booking.horizonDays })
  const patientId = bookingCase.patient.id
  const supply = await loadSupply(db, CLINIC, { from: now, to, now, patientId, referralId, clinicianId: null })
  const demand = demandOf(bookingCase, wish, { policy, clinicTimeZone, sites: await listActiveSites(db, CLINIC), now })
  return findStarts(prepareSupply(supply, now.epochMilliseconds, to.epochMilliseconds), demand)
}

/** How a start lies to the see-by time is said of it afterwards, where that time was set aside. */
const told = ({ sessionId, roomId, interpreterId, why }: Told) => [
  sessionId,
  roomId,
  interpreterId,
  why.filter(({ code }) => code !== 'before_see_by' && code !== 'after_see_by'),
]
type Told = Pick<Start, 'sessionId' | 'roomId' | 'interpreterId' | 'why'>

test('a search outward over what could serve answers as one over everything', { timeout: 120_000 }, async () => {
  const seen = { starts: 0, releases: 0 }
  const clinics = fc.sample(clinic, { seed: 11, numRuns: 20 })
  for (const random of clinics) {
    db = (await emptyDb()).db
    await fill(random)
    const asked = random.patients.flatMap(({ wishes: ofPatient }, n) =>
      ofPatient.map((wish) => ({ referralId: `ref_${n}`, wish })),
    )
    const [first] = asked
    if (first) await takeEveryThird(await whole(first.referralId, { ...first.wish, limit: 40, perDay: null }))
    for (const { referralId, wish } of asked) {
      const expected = await whole(referralId, wish)
      const clinicNow = await getClinic(db, CLINIC)
      const answer = await searchStarts(db, await caseOf(referralId), wish, clinicNow, now)
      const iso = (milliseconds: number) => Temporal.Instant.fromEpochMilliseconds(milliseconds).toString()
      expect(answer.starts.map((start) => [start.startsAt, start.rank, ...told(start)])).toEqual(
        expected.starts.map((start) => [iso(start.start), start.rank, ...told(start)]),
      )
      expect(answer.relaxation && [answer.relaxation.kind, answer.relaxation.start.startsAt]).toEqual(
        expected.relaxation && [expected.relaxation.kind, iso(expected.relaxation.start.start)],
      )
      seen.starts += Number(expected.starts.length > 0)
      seen.releases += Number(expected.relaxation !== null)
    }
  }
  // Both kinds of answer were really compared.
  expect(seen.starts).toBeGreaterThan(10)
  expect(seen.releases).toBeGreaterThan(5)
})
