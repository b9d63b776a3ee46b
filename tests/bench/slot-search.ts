/**
 * How long does a slot search take in a big clinic, and is preparing the supply
 * once worth it? 200 clinicians, 90 days, 60 000 visits, against the plain way:
 * on each request expand every rule with `rrule` and take the visits out of the
 * openings with luxon's intervals; against one SQL query; and, to show how the
 * cost grows, a clinic ten times as big. All answer the same demands of the same
 * clinic; a rival answer that differs from ours stops the run.
 */
import { DateTime, Interval as Stretch } from 'luxon'
import * as R from 'rrule'
import { invariant } from '#lib/base/invariant.ts'
import { type Demand, RELAXATIONS } from '#lib/domain/calendar/demand.ts'
import { findStarts } from '#lib/domain/calendar/find-starts.ts'
import type { ClinicSession } from '#lib/domain/calendar/session.ts'
import { type Busy, type PreparedSupply, prepareSupply, type Supply } from '#lib/domain/calendar/supply.ts'
import type { BenchOptions, BenchRow } from './bench-row.ts'
import { openSomewhere } from './open-somewhere.ts'
import { fillTables, startsBySql } from './slot-search-multirange.ts'
import { figures, percentile } from './timing.ts'

const MINUTE = 60_000
const DAY = 1440 * MINUTE
export const FROM = Date.UTC(2026, 2, 2, 5)
const ZONES = ['America/New_York', 'America/Chicago', 'America/Denver', 'America/Los_Angeles']
const STATES = ['NY', 'NJ', 'IL', 'CO', 'CA', 'TX']
const RRule: typeof R.RRule = R.RRule ?? (R as unknown as { default: typeof R }).default.RRule

/** Times the search and its rivals on one invented clinic, and the search alone on one ten times as big. */
export async function rows(options: BenchOptions = {}): Promise<BenchRow[]> {
  const {
    clinicians = 200,
    days = 90,
    visits = 60_000,
    requests = 400,
    rivalRequests = 4,
    seed = 7,
    times = 10,
  } = options
  const { prepared, supply, demands, ours, note } = searched(clinicians, days, visits, requests, seed)
  const to = FROM + days * DAY

  // The rivals know neither helpers nor interpreters nor rooms, so all are timed on demands without them.
  const plain = demands
    .filter(({ mode, helper, interpreterLanguage }) => mode === 'video' && !helper && !interpreterLanguage)
    .slice(0, rivalRequests)
  const byLibraries = await beside(prepared, plain, async (demand) => rivalStarts(supply, demand, to))
  const { database, stop } = await openSomewhere()
  const bySql = await fillTables(database.db, supply, prepared)
    .then(() => beside(prepared, plain, (demand) => startsBySql(database.db, demand, to)))
    .finally(() => database.close().then(stop))

  const large = searched(clinicians * times, days, visits * times, requests, seed)
  return [
    {
      id: 'slot-search',
      ...figures(ours),
      ratio: byLibraries.ratio,
      rival: 'rrule 2.8.1 expansion and luxon 3.7.2 interval subtraction on each request',
      note: `${note}; rival p50 ${byLibraries.rivalMs.toFixed(0)} ms over ${plain.length}`,
    },
    {
      id: 'slot-search-multirange',
      ...figures(bySql.ours),
      ratio: bySql.ratio,
      rival: `one SQL query, range_agg and multirange subtraction over expanded openings, ${database.kind}`,
      note: `the same ${plain.length} plain demands; rival p50 ${bySql.rivalMs.toFixed(0)} ms`,
    },
    {
      id: 'slot-search-large',
      ...figures(large.ours),
      ratio: percentile(large.ours, 0.95) / percentile(ours, 0.95),
      note: `ratio = how many times the p95 of slot-search; ${large.note}`,
    },
  ]
}

function searched(clinicians: number, days: number, visits: number, requests: number, seed: number) {
  const random = randomFrom(seed)
  const supply = clinic(clinicians, days, visits, random)
  const beforePrepare = performance.now()
  const prepared = prepareSupply(supply, FROM, FROM + days * DAY)
  const prepareMs = performance.now() - beforePrepare
  const demands = Array.from({ length: requests }, () => demandOf(supply, random))
  for (const demand of demands.slice(0, 50)) findStarts(prepared, demand)
  let empty = 0
  const ours = demands.map((demand) => {
    const before = performance.now()
    const { starts } = findStarts(prepared, demand)
    const took = performance.now() - before
    empty += Number(starts.length === 0)
    return took
  })
  const taken = supply.busy.filter(({ resource }) => resource === 'clinician').length
  const note =
    `${clinicians} clinicians, ${days} days, ${taken} visits, ${requests} demands (${empty} without a start, so with the ` +
    `search for a release); supply prepared once in ${prepareMs.toFixed(0)} ms`
  return { prepared, supply, demands, ours, note }
}

/** The same demands by a rival and by us. Other starts than ours stop the run. */
async function beside(
  prepared: PreparedSupply,
  demands: readonly Demand[],
  rivalStartsOf: (demand: Demand) => Promise<number[]>,
) {
  const ours: number[] = []
  const rival: number[] = []
  for (const demand of demands) {
    const before = performance.now()
    const theirs = await rivalStartsOf(demand)
    rival.push(performance.now() - before)
    const beforeOurs = performance.now()
    const { starts } = findStarts(prepared, demand)
    ours.push(performance.now() - beforeOurs)
    invariant(
      JSON.stringify(starts.map(({ start }) => start)) === JSON.stringify(theirs),
      'the rival finds other starts',
    )
  }
  const sum = (list: readonly number[]) => list.reduce((total, each) => total + each, 0)
  return { ours, ratio: sum(rival) / sum(ours), rivalMs: percentile(rival, 0.5) }
}

/** mulberry32: small, seeded, good enough to invent a clinic. */
export function randomFrom(seed: number): () => number {
  let state = seed
  return () => {
    state = (state + 0x6d2b79f5) | 0
    let t = Math.imul(state ^ (state >>> 15), 1 | state)
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t
    return ((t ^ (t >>> 14)) >>> 0) / 2 ** 32
  }
}

function session(change: Partial<ClinicSession> & Pick<ClinicSession, 'id' | 'owner' | 'timeZone'>): ClinicSession {
  return {
    mode: 'video',
    siteId: null,
    roomId: null,
    startsOn: '2025-09-01',
    opensAt: '09:00',
    durationMin: 180,
    rule: 'FREQ=WEEKLY;BYDAY=MO,TU,WE,TH,FR',
    validTo: null,
    grainMin: 15,
    bufferBeforeMin: 0,
    bufferAfterMin: 5,
    noticeMin: 240,
    urgentMin: 0,
    urgentReleaseHours: 0,
    exceptions: [],
    ...change,
  }
}

/** Each clinician: video every weekday morning, in person on Monday to Wednesday afternoons. Full at first, emptier later. */
export function clinic(clinicians: number, days: number, visits: number, random: () => number): Supply {
  const ids = Array.from({ length: clinicians }, (_, i) => i)
  const sites = Array.from({ length: Math.ceil(clinicians / 20) }, (_, i) => ({
    id: `site_${i}`,
    state: STATES[i % STATES.length]!,
  }))
  const supply: Supply = {
    sessions: [
      ...ids.flatMap((i) => {
        const owner = { kind: 'clinician' as const, id: `cli_${i}` }
        const timeZone = ZONES[i % ZONES.length]!
        const siteId = `site_${Math.floor(i / 20)}`
        const afternoon = { opensAt: '13:00', durationMin: 240, siteId }
        return [
          session({ id: `ses_${i}_am`, owner, timeZone }),
          session({
            id: `ses_${i}_pm`,
            owner,
            timeZone,
            ...afternoon,
            mode: 'either',
            startsOn: '2025-09-04',
            rule: 'FREQ=WEEKLY;BYDAY=TH,FR',
          }),
          session({
            id: `ses_${i}_site`,
            owner,
            timeZone,
            ...afternoon,
            mode: 'in_person',
            rule: 'FREQ=WEEKLY;BYDAY=MO,TU,WE',
          }),
        ]
      }),
      ...[0, 1, 2, 3].map((i) =>
        session({
          id: `ses_int_${i}`,
          owner: { kind: 'interpreter', id: `int_${i}` },
          timeZone: ZONES[i]!,
          mode: 'either',
          durationMin: 240,
        }),
      ),
    ],
    holidays: ['2026-05-25'],
    clinicians: ids.map((i) => ({ id: `cli_${i}`, languages: i % 15 === 0 ? ['en', 'es'] : ['en'] })),
    interpreters: [0, 1, 2, 3].map((i) => ({ id: `int_${i}`, languages: ['es'] })),
    licences: ids.flatMap((i) =>
      [0, 1, 2].map((n) => ({
        clinicianId: `cli_${i}`,
        state: STATES[(i + n) % STATES.length]!,
        validFrom: '2024-01-01',
        validTo: n === 2 ? '2026-04-30' : null,
      })),
    ),
    sites,
    rooms: sites.flatMap(({ id }) => Array.from({ length: 12 }, (_, i) => ({ id: `${id}_room_${i}`, siteId: id }))),
    busy: [],
  }
  const open = [...prepareSupply(supply, FROM, FROM + days * DAY).sessions.values()]
  const slots = open.flatMap(({ session, openings }) =>
    openings.flatMap(({ start, end }) => {
      const length = 45 * MINUTE
      return Array.from({ length: Math.floor((end - start) / length) }, (_, i) => ({
        session,
        start: start + i * length,
      }))
    }),
  )
  const wanted = slots
    .map((slot) => ({ ...slot, key: (slot.start - FROM) / (days * DAY) + 0.8 * random() }))
    .sort((a, b) => a.key - b.key)
    .slice(0, visits)
  const busy = wanted.flatMap(({ session, start }, n): Busy[] => {
    const end = start + 40 * MINUTE
    const taken: Busy[] = [{ resource: 'clinician', id: session.owner.id, start, end: end + 5 * MINUTE }]
    if (session.mode === 'in_person')
      taken.push({ resource: 'room', id: `${session.siteId}_room_${n % 12}`, start, end })
    if (n % 40 === 0) taken.push({ resource: 'interpreter', id: `int_${n % 4}`, start, end })
    return taken
  })
  return { ...supply, busy }
}

export function demandOf(supply: Supply, random: () => number): Demand {
  const one = <T>(list: readonly T[]) => list[Math.floor(random() * list.length)]!
  const weekdays = [1, 2, 3, 4, 5].filter(() => random() < 0.6)
  const from = one(['08:00', '10:00', '13:00'])
  const now = FROM + Math.floor(random() * 20 * 96) * 15 * MINUTE
  const isVideo = random() < 0.7
  return {
    minutes: one([20, 30, 40, 55]),
    mode: isVideo ? 'video' : 'in_person',
    now,
    notBefore: now,
    seeBy: random() < 0.4 ? now + one([1, 2, 5, 10]) * DAY : null,
    horizonDays: 90,
    patientId: null,
    patientTimeZone: one(ZONES),
    patientWindows: random() < 0.6 ? weekdays.map((weekday) => ({ weekday, from, to: '18:00' })) : [],
    helperWindows: [1, 3, 5].map((weekday) => ({ weekday, from: '09:00', to: '17:00' })),
    helper: isVideo && random() < 0.4 ? { fromMin: 5, toMin: 15 } : null,
    interpreterLanguage: random() < 0.15 ? one(['es', 'es', 'vi']) : null,
    placeState: isVideo ? one(STATES) : null,
    siteIds: isVideo ? [] : [one(supply.sites).id, one(supply.sites).id],
    clinician: random() < 0.3 ? { clinicianId: one(supply.clinicians).id, only: random() < 0.5 } : null,
    dayPart: random() < 0.3 ? { from: '12:00', to: '17:00', only: false } : null,
    limit: 20,
    anyNotice: false,
    keptBy: { timeZone: 'America/New_York', opensAt: '08:00', closesAt: '17:00' },
    releasable: RELAXATIONS,
    perDay: null,
  }
}

/** The plain way, for video demands without helper or interpreter. Ranks as we do. */
function rivalStarts(supply: Supply, demand: Demand, to: number): number[] {
  const end = Math.min(to, demand.now + demand.horizonDays * DAY, (demand.seeBy ?? Number.POSITIVE_INFINITY) + 1)
  const busyBy = Map.groupBy(
    supply.busy.filter(({ resource }) => resource === 'clinician'),
    ({ id }) => id,
  )
  const found: { start: number; id: string; isWished: boolean; day: string; isPart: boolean }[] = []
  for (const each of supply.sessions) {
    const clinicianId = each.owner.id
    const isWished = demand.clinician?.clinicianId === clinicianId
    if (each.owner.kind !== 'clinician' || each.mode === 'in_person' || (demand.clinician?.only && !isWished)) continue
    const licences = supply.licences.filter(
      (licence) => licence.clinicianId === clinicianId && licence.state === demand.placeState,
    )
    if (licences.length === 0) continue
    const dtstart = new Date(`${each.startsOn}T${each.opensAt}:00Z`)
    const rule = new RRule({ ...RRule.parseString(each.rule ?? ''), dtstart })
    for (const wall of rule.between(new Date(demand.now - DAY), new Date(end + DAY), true)) {
      const opens = DateTime.fromJSDate(wall, { zone: 'utc' }).setZone(each.timeZone, { keepLocalTime: true })
      if (supply.holidays.includes(opens.toISODate()!)) continue
      const closes = opens.plus({ minutes: each.durationMin })
      const whole = Stretch.fromDateTimes(
        opens.minus({ minutes: each.bufferBeforeMin }),
        closes.plus({ minutes: each.bufferAfterMin }),
      )
      const taken = (busyBy.get(clinicianId) ?? [])
        .filter((visit) => visit.start < whole.end!.toMillis() && visit.end > whole.start!.toMillis())
        .map((visit) => Stretch.fromDateTimes(DateTime.fromMillis(visit.start), DateTime.fromMillis(visit.end)))
      const free = whole.difference(...taken)
      for (
        let start = opens;
        start.plus({ minutes: demand.minutes }) <= closes;
        start = start.plus({ minutes: each.grainMin })
      ) {
        const at = start.toMillis()
        if (at < demand.now + each.noticeMin * MINUTE || at >= end) continue
        const needs = Stretch.fromDateTimes(
          start.minus({ minutes: each.bufferBeforeMin }),
          start.plus({ minutes: demand.minutes + each.bufferAfterMin }),
        )
        if (!free.some((stretch) => stretch.engulfs(needs))) continue
        const there = start.setZone(demand.patientTimeZone)
        const day = there.toISODate()!
        if (!licences.some(({ validFrom, validTo }) => validFrom <= day && (validTo === null || day <= validTo)))
          continue
        const time = there.toFormat('HH:mm')
        const ends = there.plus({ minutes: demand.minutes }).toFormat('HH:mm')
        const windows = demand.patientWindows
        if (
          windows.length > 0 &&
          !windows.some((each) => each.weekday === there.weekday && each.from <= time && ends <= each.to)
        )
          continue
        const isPart = demand.dayPart !== null && demand.dayPart.from <= time && time < demand.dayPart.to
        found.push({ start: at, id: each.id, isWished, day, isPart })
      }
    }
  }
  return found
    .sort(
      (a, b) =>
        Number(b.isWished) - Number(a.isWished) ||
        a.day.localeCompare(b.day) ||
        Number(b.isPart) - Number(a.isPart) ||
        a.start - b.start ||
        (a.id < b.id ? -1 : 1),
    )
    .slice(0, demand.limit)
    .map(({ start }) => start)
}
