/**
 * The slot search against a model that asks every condition of every minute. The
 * model shares no code with the search: it reads wall times from Temporal,
 * minute by minute, over the weekends on which the US clocks change.
 */
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { Temporal } from '#lib/base/time.ts'
import { type Demand, RELAXATIONS, type RelaxationKind } from '#lib/domain/calendar/demand.ts'
import { findStarts, helpfulReleases } from '#lib/domain/calendar/find-starts.ts'
import { isBookable } from '#lib/domain/calendar/is-bookable.ts'
import type { ClinicSession } from '#lib/domain/calendar/session.ts'
import { type Busy, prepareSupply, type Supply } from '#lib/domain/calendar/supply.ts'
import type { WeeklyWindow } from '#lib/domain/calendar/weekly-window.ts'
import type { WorkingHours } from '#lib/domain/calendar/working-time.ts'

const MIN = 60_000
const ZONES = ['America/New_York', 'America/Los_Angeles', 'Europe/London'] as const
const DAYS = 4
/** Friday midnight UTC before each change, so that the range holds the Sunday. */
const RANGES = [Date.UTC(2026, 2, 6), Date.UTC(2026, 9, 30)] as const

type Wall = { date: string; time: string; weekday: number; dayBefore: number }
const walls = new Map<string, Wall>()
for (const zone of ZONES) {
  for (const from of RANGES) {
    for (let t = from - 2 * 1440 * MIN; t < from + (DAYS + 2) * 1440 * MIN; t += MIN) {
      // Offsets change on the quarter hour at the most, so one reading serves fifteen minutes.
      const quarter = t - (t % (15 * MIN))
      const at = walls.get(`${zone} ${quarter}`)
      if (at && t !== quarter) {
        const minute = String(Number(at.time.slice(3)) + (t - quarter) / MIN).padStart(2, '0')
        walls.set(`${zone} ${t}`, { ...at, time: `${at.time.slice(0, 3)}${minute}` })
        continue
      }
      const z = Temporal.Instant.fromEpochMilliseconds(t).toZonedDateTimeISO(zone)
      walls.set(`${zone} ${t}`, {
        date: z.toPlainDate().toString(),
        time: z.toPlainTime().toString({ smallestUnit: 'minute' }),
        weekday: z.dayOfWeek,
        dayBefore: z.dayOfWeek === 1 ? 7 : z.dayOfWeek - 1,
      })
    }
  }
}
const wallAt = (zone: string, t: number) => walls.get(`${zone} ${t}`)!

type Case = { supply: Supply; demand: Demand; from: number; to: number }
type Found = { sessionId: string; start: number }

const range = (from: number, length: number) =>
  Array.from({ length: Math.round(length / MIN) }, (_, i) => from + i * MIN)
const primary = (tag: string) => tag.split('-')[0]

function openingsInModel(session: ClinicSession, from: number, to: number, holidays: readonly string[]) {
  const found: { start: number; end: number }[] = []
  let date = Temporal.PlainDate.from(session.startsOn)
  const last = Temporal.Instant.fromEpochMilliseconds(to).toZonedDateTimeISO(session.timeZone).toPlainDate()
  for (; Temporal.PlainDate.compare(date, last) <= 0; date = date.add({ days: 1 })) {
    if (session.rule === null && date.toString() !== session.startsOn) continue
    if (holidays.includes(date.toString())) continue
    const opens = date.toPlainDateTime(Temporal.PlainTime.from(session.opensAt)).toZonedDateTime(session.timeZone)
    const start = opens.epochMilliseconds
    const end = start + session.durationMin * MIN
    if (end > from && start < to) found.push({ start, end })
  }
  return found
}

/** Minutes of the clinic's working days between two instants, counted one by one. */
function workingMinutesInModel(hours: WorkingHours, from: number, to: number, holidays: readonly string[]): number {
  return range(from, Math.max(0, to - from)).filter((t) => {
    const { date, time, weekday } = wallAt(hours.timeZone, t)
    return weekday <= 5 && !holidays.includes(date) && hours.opensAt <= time && time < hours.closesAt
  }).length
}

function model({ supply, demand, from, to }: Case, anyState = false): Found[] {
  const isBusy = (resource: string, id: string | null, t: number) =>
    supply.busy.some((each) => each.resource === resource && each.id === id && each.start <= t && t < each.end)
  const inWindows = (windows: readonly WeeklyWindow[], t: number) => {
    const { weekday, dayBefore, time } = wallAt(demand.patientTimeZone, t)
    return windows.some((window) =>
      window.from < window.to
        ? window.weekday === weekday && window.from <= time && time < window.to
        : (window.weekday === weekday && window.from <= time) || (window.weekday === dayBefore && time < window.to),
    )
  }
  const isLicensed = (clinicianId: string, session: ClinicSession, t: number) => {
    if (anyState) return true
    const state =
      demand.mode === 'video' ? demand.placeState : supply.sites.find(({ id }) => id === session.siteId)?.state
    const { date } = wallAt(demand.mode === 'video' ? demand.patientTimeZone : session.timeZone, t)
    return supply.licences.some(
      (each) =>
        each.clinicianId === clinicianId &&
        each.state === state &&
        each.validFrom <= date &&
        (each.validTo === null || date <= each.validTo),
    )
  }
  const interpreterOpenings = supply.sessions
    .filter(({ owner, mode }) => owner.kind === 'interpreter' && (mode === 'either' || mode === demand.mode))
    .map((session) => ({ session, openings: openingsInModel(session, from, to, supply.holidays) }))

  const good: Found[] = []
  for (const session of supply.sessions) {
    const clinician = supply.clinicians.find(({ id }) => session.owner.kind === 'clinician' && id === session.owner.id)
    if (!clinician) continue
    if (session.mode !== 'either' && session.mode !== demand.mode) continue
    if (demand.clinician?.only && demand.clinician.clinicianId !== clinician.id) continue
    if (demand.mode === 'in_person' && demand.siteIds.length > 0 && !demand.siteIds.includes(session.siteId!)) continue
    for (const opening of openingsInModel(session, from, to, supply.holidays)) {
      const isKept =
        session.urgentMin > 0 &&
        demand.keptBy !== null &&
        workingMinutesInModel(demand.keptBy, demand.now, opening.start, supply.holidays) >
          session.urgentReleaseHours * 60
      for (const start of range(opening.start, opening.end - opening.start)) {
        const visit = range(start, demand.minutes * MIN)
        const begin = Math.max(demand.now, demand.notBefore)
        const isTimely =
          start >= begin &&
          (demand.anyNotice || start >= demand.now + session.noticeMin * MIN) &&
          start >= from &&
          start < to &&
          start < begin + demand.horizonDays * 1440 * MIN
        if (!isTimely || (demand.seeBy !== null && start > demand.seeBy)) continue
        if ((start - opening.start) % (session.grainMin * MIN) !== 0 || start + demand.minutes * MIN > opening.end)
          continue
        if (isKept && start + demand.minutes * MIN > opening.end - session.urgentMin * MIN) continue
        const taken = range(
          start - session.bufferBeforeMin * MIN,
          (session.bufferBeforeMin + demand.minutes + session.bufferAfterMin) * MIN,
        )
        if (taken.some((t) => isBusy('clinician', clinician.id, t))) continue
        if (visit.some((t) => isBusy('patient', demand.patientId, t))) continue
        if (demand.patientWindows.length > 0 && !visit.every((t) => inWindows(demand.patientWindows, t))) continue
        if (demand.helper && demand.helperWindows.length > 0) {
          const helped = range(start + demand.helper.fromMin * MIN, (demand.helper.toMin - demand.helper.fromMin) * MIN)
          if (!helped.every((t) => inWindows(demand.helperWindows, t))) continue
        }
        const part = demand.dayPart
        const { time } = wallAt(demand.patientTimeZone, start)
        if (part?.only && !(part.from <= time && time < part.to)) continue
        if (!visit.every((t) => isLicensed(clinician.id, session, t))) continue
        if (demand.mode === 'in_person') {
          const rooms = supply.rooms.filter(({ id, siteId }) =>
            session.roomId === null ? siteId === session.siteId : id === session.roomId,
          )
          if (!rooms.some(({ id }) => !visit.some((t) => isBusy('room', id, t)))) continue
        }
        const language = demand.interpreterLanguage
        if (language !== null && !clinician.languages.some((tag) => primary(tag) === language)) {
          const isServed = supply.interpreters.some(
            ({ id, languages }) =>
              languages.some((tag) => primary(tag) === language) &&
              visit.every(
                (t) =>
                  !isBusy('interpreter', id, t) &&
                  interpreterOpenings.some(
                    (each) =>
                      each.session.owner.id === id &&
                      (demand.mode === 'video' ||
                        each.session.siteId === null ||
                        each.session.siteId === session.siteId) &&
                      each.openings.some((open) => open.start <= t && t < open.end),
                  ),
              ),
          )
          if (!isServed) continue
        }
        good.push({ sessionId: session.id, start })
      }
    }
  }
  return good
}

/** The same list of releases as the product offers, written again. */
function releasedInModel(demand: Demand): Record<RelaxationKind, Demand | null> {
  const { clinician, dayPart } = demand
  return {
    say_where_patient_is: demand.mode === 'video' && demand.placeState === null ? demand : null,
    another_clinician: clinician?.only ? { ...demand, clinician: null } : null,
    another_day_part: dayPart?.only ? { ...demand, dayPart: null } : null,
    another_site: demand.mode === 'in_person' ? { ...demand, siteIds: [] } : null,
    other_helper_times: { ...demand, helperWindows: [] },
    other_patient_times: { ...demand, patientWindows: [] },
    without_interpreter: { ...demand, interpreterLanguage: null },
    in_person: demand.mode === 'video' ? { ...demand, mode: 'in_person', helper: null } : null,
    short_notice: { ...demand, anyNotice: true },
    urgent_starts: { ...demand, keptBy: null },
    longer_horizon: { ...demand, horizonDays: 1000 },
    after_see_by: { ...demand, seeBy: null },
  }
}

const hour = (min: number, max: number) => fc.integer({ min, max }).map((h) => `${String(h).padStart(2, '0')}:00`)
// Window edges keep clear of the hours that are skipped or repeated, where a window on the wall has no one meaning.
const someDays: fc.Arbitrary<WeeklyWindow[]> = fc.array(
  fc.record({
    weekday: fc.integer({ min: 1, max: 7 }),
    from: hour(4, 20),
    to: fc.oneof(hour(4, 23), fc.constantFrom('24:00', '00:00')),
  }),
  { maxLength: 6 },
)
const everyDay = fc
  .tuple(hour(4, 14), hour(12, 23))
  .map(([from, to]) => [1, 2, 3, 4, 5, 6, 7].map((weekday) => ({ weekday, from, to })))
const windows = fc.oneof(someDays, everyDay)
const cases: fc.Arbitrary<Case> = fc.constantFrom(...RANGES).chain((from) => {
  const to = from + DAYS * 1440 * MIN
  const dateAt = (days: number) => new Date(from + days * 1440 * MIN).toISOString().slice(0, 10)
  const date = fc.integer({ min: -1, max: DAYS }).map(dateAt)
  const instant = fc.integer({ min: 0, max: DAYS * 96 }).map((quarters) => from + quarters * 15 * MIN)
  const session = (kind: 'clinician' | 'interpreter') =>
    fc.record({
      owner: fc.constantFrom(`${kind}_1`, `${kind}_2`).map((id) => ({ kind, id })),
      mode: fc.constantFrom<ClinicSession['mode'][]>('video', 'in_person', 'either'),
      siteId: fc.constantFrom('site_1', 'site_2'),
      roomId: fc.constantFrom(null, null, 'room_1'),
      timeZone: fc.constantFrom(...ZONES),
      startsOn: date,
      opensAt: fc
        .integer({ min: 0, max: 95 })
        .map((q) => `${String(Math.floor(q / 4)).padStart(2, '0')}:${String((q % 4) * 15).padStart(2, '0')}`),
      durationMin: fc.integer({ min: 4, max: 20 }).map((quarters) => quarters * 15),
      rule: fc.constantFrom(null, 'FREQ=DAILY'),
      validTo: fc.constant(null),
      grainMin: fc.constantFrom(5, 15, 20, 30),
      bufferBeforeMin: fc.constantFrom(0, 5, 10),
      bufferAfterMin: fc.constantFrom(0, 5, 10),
      noticeMin: fc.constantFrom(0, 60, 1440),
      urgentMin: fc.constantFrom(0, 0, 30, 60),
      urgentReleaseHours: fc.constantFrom(0, 3, 9, 16),
      exceptions: fc.constant([]),
    })
  const named = <T extends object>(list: T[], prefix: string) =>
    list.map((each, i) => ({ ...each, id: `${prefix}_${i}` }))
  const busy: fc.Arbitrary<Busy[]> = fc.array(
    fc
      .record({
        resource: fc.constantFrom<Busy['resource'][]>('clinician', 'interpreter', 'room', 'patient'),
        nth: fc.constantFrom(1, 2),
        start: instant,
        minutes: fc.integer({ min: 5, max: 300 }),
      })
      .map(({ resource, nth, start, minutes }) => ({
        resource,
        id: `${resource}_${nth}`,
        start,
        end: start + minutes * MIN,
      })),
    { maxLength: 25 },
  )
  const supply: fc.Arbitrary<Supply> = fc.record({
    sessions: fc
      .tuple(
        fc.array(session('clinician'), { minLength: 1, maxLength: 4 }),
        fc.array(session('interpreter'), { maxLength: 2 }),
      )
      .map(([ours, theirs]) => [...named(ours, 'ses_c'), ...named(theirs, 'ses_i')]),
    holidays: fc.array(date, { maxLength: 1 }),
    clinicians: fc.constantFrom(['en'], ['en', 'es']).map((languages) => [
      { id: 'clinician_1', languages: ['en'] },
      { id: 'clinician_2', languages },
    ]),
    interpreters: fc.constant([
      { id: 'interpreter_1', languages: ['es-MX'] },
      { id: 'interpreter_2', languages: ['es', 'vi'] },
    ]),
    licences: fc.array(
      fc.record({
        clinicianId: fc.constantFrom('clinician_1', 'clinician_2'),
        state: fc.constantFrom('NY', 'CA'),
        validFrom: date,
        validTo: fc.constantFrom(null, dateAt(1), dateAt(3)),
      }),
      { minLength: 1, maxLength: 6 },
    ),
    sites: fc.constant([
      { id: 'site_1', state: 'NY' },
      { id: 'site_2', state: 'CA' },
    ]),
    rooms: fc.constantFrom(
      [{ id: 'room_1', siteId: 'site_1' }],
      [
        { id: 'room_1', siteId: 'site_1' },
        { id: 'room_2', siteId: 'site_2' },
      ],
    ),
    busy,
  })
  const minutes = fc.constantFrom(15, 25, 40, 60)
  const demand: fc.Arbitrary<Demand> = fc.record({
    minutes,
    mode: fc.constantFrom<Demand['mode'][]>('video', 'video', 'in_person'),
    now: fc.constantFrom(from - 600 * MIN, from, from + 700 * MIN),
    notBefore: fc.constantFrom(from - 900 * MIN, from + 1440 * MIN),
    seeBy: fc.option(instant, { freq: 3 }),
    horizonDays: fc.constantFrom(1, 2, 30),
    patientId: fc.constantFrom(null, 'patient_1'),
    patientTimeZone: fc.constantFrom(...ZONES),
    patientWindows: windows,
    helperWindows: windows,
    helper: fc.constantFrom(null, { fromMin: 0, toMin: 15 }, { fromMin: 5, toMin: 12 }),
    interpreterLanguage: fc.constantFrom(null, null, 'es', 'vi'),
    placeState: fc.constantFrom('NY', 'NY', 'CA', null),
    siteIds: fc.constantFrom<string[][]>([], ['site_2'], ['site_2', 'site_1']),
    clinician: fc.constantFrom(
      null,
      { clinicianId: 'clinician_1', only: true },
      { clinicianId: 'clinician_2', only: false },
    ),
    dayPart: fc.constantFrom(
      null,
      { from: '08:00', to: '12:00', only: false },
      { from: '12:00', to: '17:00', only: true },
    ),
    anyNotice: fc.constantFrom(false, false, true),
    keptBy: fc.option(
      fc.record({
        timeZone: fc.constantFrom(...ZONES),
        opensAt: fc.constantFrom('08:00', '07:30'),
        closesAt: fc.constant('17:00'),
      }),
      { freq: 4 },
    ),
    releasable: fc.oneof({ weight: 3, arbitrary: fc.constant(RELAXATIONS) }, fc.subarray([...RELAXATIONS])),
    limit: fc.constant(100_000),
    perDay: fc.constant(null),
  })
  return fc.record({ supply, demand, from: fc.constant(from), to: fc.constant(to) })
})

/** Fewer conditions at once, so that many of the random clinics have starts to offer. */
const mostly = fc.integer({ min: 1, max: 4 }).map((n) => n > 1)
const easier: fc.Arbitrary<Case> = fc
  .tuple(cases, mostly, mostly, mostly, mostly)
  .map(([each, isAnyHour, isAnyWish, isAnyDay, isLicensed]) => ({
    ...each,
    supply: {
      ...each.supply,
      ...(isLicensed && {
        licences: ['clinician_1', 'clinician_2'].flatMap((clinicianId) =>
          ['NY', 'CA'].map((state) => ({ clinicianId, state, validFrom: '2020-01-01', validTo: null })),
        ),
      }),
    },
    demand: {
      ...each.demand,
      ...(isAnyHour && { patientWindows: [] }),
      ...(isAnyWish && { dayPart: null, clinician: null, siteIds: [] }),
      ...(isAnyDay && { seeBy: null, horizonDays: 30, notBefore: each.demand.now }),
      ...(isLicensed && { placeState: 'NY' }),
    },
  }))

const key = ({ sessionId, start }: Found) => `${start} ${sessionId}`

test('every start that suits everybody is found, and no other', { timeout: 60_000 }, () => {
  let offered = 0
  fc.assert(
    fc.property(easier, (each) => {
      const { starts } = findStarts(prepareSupply(each.supply, each.from, each.to), each.demand)
      const expected = model(each)
      offered += Number(expected.length > 0)
      expect(starts.map(key).sort()).toEqual(expected.map(key).sort())
    }),
    { seed: 40, numRuns: 700 },
  )
  expect(offered).toBeGreaterThan(80)
})

test('an empty search names the release that gives the earliest start', { timeout: 60_000 }, () => {
  const named = new Set<string>()
  fc.assert(
    fc.property(cases, (each) => {
      const { starts, relaxation } = findStarts(prepareSupply(each.supply, each.from, each.to), each.demand)
      if (starts.length > 0) {
        expect(relaxation).toBeNull()
        return
      }
      const released = releasedInModel(each.demand)
      const earliest = RELAXATIONS.map((kind) => {
        const demand = each.demand.releasable.includes(kind) ? released[kind] : null
        const found = demand ? model({ ...each, demand }, kind === 'say_where_patient_is') : []
        return { kind, start: Math.min(...found.map(({ start }) => start)) }
      }).filter(({ start }) => start < Number.POSITIVE_INFINITY)
      const best = earliest.find(({ start }) => start === Math.min(...earliest.map((other) => other.start)))
      expect(relaxation && { kind: relaxation.kind, start: relaxation.start.start }).toEqual(best ?? null)
      if (best) named.add(best.kind)
    }),
    { seed: 41, numRuns: 500 },
  )
  expect(named.size).toBeGreaterThan(5)
})

test('what would help a search is every release that alone gives a start, each with its earliest', {
  timeout: 60_000,
}, () => {
  const named = new Set<string>()
  fc.assert(
    fc.property(fc.oneof(cases, easier), (each) => {
      const released = releasedInModel(each.demand)
      const expected = RELAXATIONS.filter((kind) => each.demand.releasable.includes(kind)).flatMap((kind) => {
        const demand = released[kind]
        const found = demand ? model({ ...each, demand }, kind === 'say_where_patient_is') : []
        return found.length === 0 ? [] : [{ kind, start: Math.min(...found.map(({ start }) => start)) }]
      })
      const help = helpfulReleases(prepareSupply(each.supply, each.from, each.to), each.demand)
      for (const { kind } of help) named.add(kind)
      const isThere = ({ kind }: { kind: RelaxationKind }) => help.some((one) => one.kind === kind)
      // A release of what was never asked for gives nothing new and need not be named; all others are, exactly.
      expect(help.map(({ kind, start }) => ({ kind, start: start.start }))).toEqual(expected.filter(isThere))
      const plain = Math.min(...model(each).map(({ start }) => start))
      for (const one of expected) if (!isThere(one)) expect(one.start).toBe(plain)
    }),
    { seed: 44, numRuns: 250 },
  )
  expect([...named]).toEqual(expect.arrayContaining(['short_notice', 'urgent_starts', 'after_see_by']))
  expect(named.size).toBeGreaterThan(8)
})

test('a start made by hand is accepted exactly when the search would offer it', { timeout: 60_000 }, () => {
  fc.assert(
    fc.property(easier, (each) => {
      const supply = prepareSupply(each.supply, each.from, each.to)
      const offered = new Set(findStarts(supply, each.demand).starts.map(key))
      for (const { id: sessionId } of each.supply.sessions) {
        for (let start = each.from - 60 * MIN; start < each.to; start += 5 * MIN) {
          const answer = isBookable(supply, each.demand, { sessionId, start, roomId: null, interpreterId: null })
          if (answer.ok !== offered.has(key({ sessionId, start }))) expect([sessionId, start, answer]).toBe(offered)
        }
      }
    }),
    { seed: 42, numRuns: 60 },
  )
})

test('starts come in the order of wished clinician, site, day, day part, time', { timeout: 60_000 }, () => {
  fc.assert(
    fc.property(easier, (each) => {
      const { demand } = each
      const { starts } = findStarts(prepareSupply(each.supply, each.from, each.to), demand)
      const worth = starts.map((start) => {
        const { date, time } = wallAt(demand.patientTimeZone, start.start)
        const isWishedPart = demand.dayPart && demand.dayPart.from <= time && time < demand.dayPart.to
        return [
          Number(demand.clinician?.clinicianId !== start.clinicianId),
          start.siteId === null ? 0 : demand.siteIds.indexOf(start.siteId),
          date,
          Number(!isWishedPart),
          start.start,
        ].join(' ')
      })
      expect(worth).toEqual([...worth].sort())
      expect(starts.map(({ rank }) => rank)).toEqual(starts.map((_, i) => i + 1))
      const few = findStarts(prepareSupply(each.supply, each.from, each.to), { ...demand, limit: 3 }).starts
      expect(few.map(key)).toEqual(starts.slice(0, 3).map(key))
    }),
    { seed: 43, numRuns: 150 },
  )
})

describe('a plain clinic', () => {
  const now = Date.parse('2026-03-09T12:00:00Z')
  const at = (text: string) => Temporal.ZonedDateTime.from(`${text}[America/New_York]`).epochMilliseconds
  const session: ClinicSession = {
    id: 'ses_1',
    owner: { kind: 'clinician', id: 'cli_1' },
    mode: 'either',
    siteId: 'site_1',
    roomId: null,
    timeZone: 'America/New_York',
    startsOn: '2026-03-03',
    opensAt: '09:00',
    durationMin: 180,
    rule: 'FREQ=WEEKLY;BYDAY=TU',
    validTo: null,
    grainMin: 15,
    bufferBeforeMin: 5,
    bufferAfterMin: 10,
    noticeMin: 120,
    urgentMin: 0,
    urgentReleaseHours: 0,
    exceptions: [],
  }
  const plain: Supply = {
    sessions: [session],
    holidays: [],
    clinicians: [{ id: 'cli_1', languages: ['en'] }],
    interpreters: [],
    licences: [{ clinicianId: 'cli_1', state: 'NY', validFrom: '2020-01-01', validTo: '2026-03-17' }],
    sites: [{ id: 'site_1', state: 'NY' }],
    rooms: [{ id: 'room_1', siteId: 'site_1' }],
    busy: [{ resource: 'clinician', id: 'cli_1', start: at('2026-03-10T09:55'), end: at('2026-03-10T10:40') }],
  }
  const demand: Demand = {
    minutes: 30,
    mode: 'video',
    now,
    notBefore: now,
    seeBy: null,
    horizonDays: 30,
    patientId: 'pat_1',
    patientTimeZone: 'America/Chicago',
    patientWindows: [],
    helperWindows: [],
    helper: null,
    interpreterLanguage: null,
    placeState: 'NY',
    siteIds: [],
    clinician: null,
    dayPart: null,
    anyNotice: false,
    keptBy: { timeZone: 'America/New_York', opensAt: '08:00', closesAt: '17:00' },
    releasable: RELAXATIONS,
    limit: 20,
    perDay: null,
  }
  const prepare = (change: Partial<Supply> = {}) => prepareSupply({ ...plain, ...change }, now, now + 60 * 1440 * MIN)
  const ask = (start: string, change: Partial<Demand> = {}, supply: Partial<Supply> = {}) => {
    const answer = isBookable(
      prepare(supply),
      { ...demand, ...change },
      { sessionId: 'ses_1', start: at(start), roomId: null, interpreterId: null },
    )
    return answer.ok ? 'ok' : answer.error
  }

  test('buffers keep visits apart, and may reach outside the session', () => {
    const { starts } = findStarts(prepare(), { ...demand, perDay: 3 })
    expect(starts.slice(0, 3).map(({ start }) => start)).toEqual([
      at('2026-03-10T09:00'),
      at('2026-03-10T09:15'),
      at('2026-03-10T10:45'),
    ])
    expect(starts[0]).toMatchObject({
      busyFrom: at('2026-03-10T08:55'),
      busyTo: at('2026-03-10T09:40'),
      siteId: null,
      roomId: null,
      rank: 1,
    })
    expect(starts[0]!.why).toEqual([{ code: 'soonest' }])
  })

  test('a list can be spread over days', () => {
    expect(findStarts(prepare(), { ...demand, perDay: 1 }).starts.map(({ start }) => start)).toEqual([
      at('2026-03-10T09:00'),
      at('2026-03-17T09:00'),
    ])
  })

  test('a licence that ends keeps later days closed, and nobody is offered video where no licence is held', () => {
    expect(findStarts(prepare(), demand).starts.at(-1)!.start).toBe(at('2026-03-17T11:30'))
    const answer = findStarts(prepare(), { ...demand, placeState: 'NJ' })
    expect(answer.starts).toEqual([])
    expect(answer.relaxation).toMatchObject({ kind: 'in_person', start: { siteId: 'site_1', roomId: 'room_1' } })
  })

  // Safety: a limit that cannot be met shows as a breach, it never slips into the list.
  test('a start after the see-by time is only ever a named release', () => {
    const answer = findStarts(prepare(), { ...demand, seeBy: at('2026-03-10T08:00') })
    expect(answer.starts).toEqual([])
    expect(answer.relaxation).toMatchObject({ kind: 'after_see_by', start: { start: at('2026-03-10T09:00') } })
    expect(answer.relaxation!.start.why).toContainEqual({ code: 'after_see_by', hoursLate: 1 })
  })

  // Safety: whoever must be seen in person is never sent to a video visit instead.
  test('a demand for a visit in person is never released into video', () => {
    const videoOnly = { sessions: [{ ...session, mode: 'video' as const }] }
    expect(findStarts(prepare(videoOnly), { ...demand, mode: 'in_person' })).toEqual({ starts: [], relaxation: null })
  })

  describe('time kept for urgent visits', () => {
    // The session is on Tuesdays 09:00 to 12:00; its last hour is kept until nine working hours (one day) before.
    const keeping = { sessions: [{ ...session, urgentMin: 60, urgentReleaseHours: 9 }], busy: [] }
    const lastOf = (now: string, change: Partial<Demand> = {}, supply: Partial<Supply> = {}) => {
      const instant = at(now)
      const change_ = { now: instant, notBefore: instant, horizonDays: 5, ...change }
      return findStarts(prepare({ ...keeping, ...supply }), { ...demand, ...change_ }).starts.at(-1)
    }

    test('is left alone by others until so many working hours before the opening', () => {
      expect(lastOf('2026-03-09T08:59')?.start).toBe(at('2026-03-10T10:30'))
      expect(lastOf('2026-03-09T09:00')?.start).toBe(at('2026-03-10T11:30'))
    })

    test('is not let go by a weekend or a holiday that goes by', () => {
      // Nine hours before Tuesday 09:00 is Monday 09:00; where Monday is a holiday, the Friday before.
      const monday = { holidays: ['2026-03-09'] }
      const now = Date.parse('2026-03-06T12:00:00Z')
      const supply = prepareSupply({ ...plain, ...keeping, ...monday }, now, now + 30 * 1440 * MIN)
      const last = (text: string) =>
        findStarts(supply, { ...demand, now: at(text), notBefore: at(text), horizonDays: 6 }).starts.at(-1)?.start
      expect(last('2026-03-06T08:59')).toBe(at('2026-03-10T10:30'))
      expect(last('2026-03-06T09:00')).toBe(at('2026-03-10T11:30'))
    })

    test('is there for an urgent visit at once, and says that it is such a start', () => {
      const last = lastOf('2026-03-09T08:00', { keptBy: null })
      expect(last?.start).toBe(at('2026-03-10T11:30'))
      expect(last?.why).toContainEqual({ code: 'urgent_start' })
      expect(lastOf('2026-03-09T08:00')?.why).not.toContainEqual({ code: 'urgent_start' })
    })

    test('is named as a release only where the clinic allows it', () => {
      const full = {
        busy: [
          { resource: 'clinician' as const, id: 'cli_1', start: at('2026-03-10T08:00'), end: at('2026-03-10T10:55') },
        ],
      }
      const ask = (releasable: Demand['releasable']) =>
        findStarts(prepare({ ...keeping, ...full }), {
          ...demand,
          seeBy: at('2026-03-10T17:00'),
          now: at('2026-03-09T08:00'),
          releasable,
        })
      expect(ask(RELAXATIONS).relaxation).toMatchObject({
        kind: 'urgent_starts',
        start: { start: at('2026-03-10T11:00') },
      })
      expect(ask(RELAXATIONS).relaxation?.start.why).toContainEqual({ code: 'urgent_start' })
      expect(ask(RELAXATIONS.filter((kind) => kind !== 'urgent_starts')).relaxation?.kind).toBe('after_see_by')
    })
  })

  test.each<[string, string, Partial<Demand>, Partial<Supply>, string]>([
    ['a good start', '2026-03-10T09:00', {}, {}, 'ok'],
    ['a start in the past', '2026-03-03T09:00', {}, {}, 'in_the_past'],
    ['too short notice', '2026-03-10T09:00', { now: at('2026-03-10T07:30') }, {}, 'notice_too_short'],
    ['before the wished time', '2026-03-10T09:00', { notBefore: at('2026-03-11T00:00') }, {}, 'too_early'],
    ['after the see-by time', '2026-03-10T09:15', { seeBy: at('2026-03-10T09:00') }, {}, 'after_see_by'],
    ['beyond the horizon', '2026-03-17T09:00', { horizonDays: 2 }, {}, 'beyond_horizon'],
    ['before the session opens', '2026-03-10T08:45', {}, {}, 'outside_session'],
    ['past the end of the session', '2026-03-10T11:45', {}, {}, 'outside_session'],
    ['off the grain', '2026-03-10T09:05', {}, {}, 'off_grain'],
    [
      'time kept for urgent visits',
      '2026-03-10T11:15',
      {},
      { sessions: [{ ...session, urgentMin: 60 }] },
      'kept_for_urgent',
    ],
    [
      'the last start before the time kept for urgent visits',
      '2026-03-10T11:00',
      {},
      { sessions: [{ ...session, urgentMin: 30 }] },
      'ok',
    ],
    [
      'short notice that somebody allowed',
      '2026-03-10T09:00',
      { now: at('2026-03-10T07:30'), anyNotice: true },
      {},
      'ok',
    ],
    ['a clinician who is taken', '2026-03-10T09:30', {}, {}, 'clinician_busy'],
    ['no licence on that day', '2026-03-24T09:00', {}, {}, 'not_licensed'],
    ['nobody knows where the patient will be', '2026-03-10T09:00', { placeState: null }, {}, 'place_not_known'],
    [
      'a mode the session does not take',
      '2026-03-10T09:00',
      { mode: 'in_person' },
      { sessions: [{ ...session, mode: 'video' }] },
      'wrong_mode',
    ],
    ['a site that was not asked for', '2026-03-10T09:00', { mode: 'in_person', siteIds: ['site_2'] }, {}, 'wrong_site'],
    [
      'another clinician than the only one wanted',
      '2026-03-10T09:00',
      { clinician: { clinicianId: 'cli_2', only: true } },
      {},
      'wrong_clinician',
    ],
    ['no room', '2026-03-10T09:00', { mode: 'in_person' }, { rooms: [] }, 'no_room'],
    ['no interpreter', '2026-03-10T09:00', { interpreterLanguage: 'es' }, {}, 'no_interpreter'],
    [
      'a patient who has another visit',
      '2026-03-10T09:00',
      {},
      { busy: [{ resource: 'patient', id: 'pat_1', start: at('2026-03-10T09:20'), end: at('2026-03-10T09:40') }] },
      'patient_busy',
    ],
    [
      'outside the patient’s times',
      '2026-03-10T09:00',
      { patientWindows: [{ weekday: 2, from: '08:30', to: '12:00' }] },
      {},
      'outside_patient_times',
    ],
    [
      'outside the helper’s times',
      '2026-03-10T09:00',
      { helper: { fromMin: 10, toMin: 20 }, helperWindows: [{ weekday: 2, from: '08:15', to: '12:00' }] },
      {},
      'outside_helper_times',
    ],
    [
      'a helper who comes in time for their part',
      '2026-03-10T09:00',
      { helper: { fromMin: 15, toMin: 20 }, helperWindows: [{ weekday: 2, from: '08:15', to: '12:00' }] },
      {},
      'ok',
    ],
    [
      'another part of the day',
      '2026-03-10T09:00',
      { dayPart: { from: '12:00', to: '17:00', only: true } },
      {},
      'outside_day_part',
    ],
    ['a session that offers nothing', '2026-03-10T09:00', {}, { clinicians: [] }, 'no_such_session'],
  ])('%s', (_name, start, change, supply, expected) => {
    expect(ask(start, change, supply)).toBe(expected)
  })

  test('the licence must hold to the end of a visit that runs past midnight', () => {
    const late = {
      sessions: [{ ...session, opensAt: '22:00', grainMin: 30, bufferBeforeMin: 0, bufferAfterMin: 0 }],
      busy: [],
    }
    const onLastDay = { now: at('2026-03-17T12:00'), notBefore: now, patientTimeZone: 'America/New_York', minutes: 40 }
    const { starts } = findStarts(prepare(late), { ...demand, ...onLastDay })
    expect(starts.map(({ start }) => start)).toEqual([
      at('2026-03-17T22:00'),
      at('2026-03-17T22:30'),
      at('2026-03-17T23:00'),
    ])
  })

  test('an interpreter in person must be at the site of the visit, by video may be anywhere', () => {
    const interpreter = {
      ...session,
      id: 'ses_2',
      owner: { kind: 'interpreter' as const, id: 'int_1' },
      siteId: 'site_2',
    }
    const change = { sessions: [session, interpreter], interpreters: [{ id: 'int_1', languages: ['es-US'] }] }
    const needs = { interpreterLanguage: 'es' }
    expect(ask('2026-03-10T09:00', { ...needs, mode: 'video' }, change)).toBe('ok')
    expect(ask('2026-03-10T09:00', { ...needs, mode: 'in_person' }, change)).toBe('no_interpreter')
    const there = { ...change, sessions: [session, { ...interpreter, siteId: 'site_1' }] }
    expect(ask('2026-03-10T09:00', { ...needs, mode: 'in_person' }, there)).toBe('ok')
  })

  test('a window that began yesterday evening still counts after midnight', () => {
    const windows = {
      patientTimeZone: 'America/New_York',
      patientWindows: [{ weekday: 1, from: '22:00', to: '01:15' }],
    }
    const justNow = { now: at('2026-03-10T00:10'), notBefore: now }
    const night = { sessions: [{ ...session, opensAt: '00:30', noticeMin: 0 }], busy: [] }
    const { starts } = findStarts(prepare(night), { ...demand, ...windows, ...justNow, horizonDays: 1 })
    expect(starts.map(({ start }) => start)).toEqual([at('2026-03-10T00:30'), at('2026-03-10T00:45')])
  })
})
