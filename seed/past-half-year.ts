/**
 * Half a year of invented visits that are over, so that the pages on what the clinic learns have something to show.
 *
 * Written straight into the tables, not walked through the use cases like the referrals of today: several hundred visits
 * with their home checks, mails and records would take minutes. So the past has no packets, no links and no audit of its
 * own; everything that the pages read of a visit that is over is there, every constraint and trigger holds, and each
 * screening and plan was made by the engine itself.
 *
 * The same `now` gives the same past. Names are invented to be seen as such, every address is under example.org, and the
 * shares (who comes, what can be done) are made up: they show what the pages can show, and say nothing about medicine.
 */
import { sql } from 'drizzle-orm'
import type { Db } from '#db/client.ts'
import { insertMany } from '#db/insert-many.ts'
import {
  assessments,
  findings,
  followUps,
  homeChecks,
  messages,
  patients,
  readinessKept,
  readinessMarks,
  referrals,
  stationOutcomes,
  visitChecks,
  visitRecords,
  visits,
  waitsKept,
} from '#db/schema/index.ts'
import { invariant } from '#lib/base/invariant.ts'
import { Temporal } from '#lib/base/time.ts'
import type { Priority } from '#lib/domain/desk/stages.ts'
import { CHECK_ITEMS, type Reason, type StationResult, type VisitOutcome } from '#lib/domain/outcomes/vocabulary.ts'
import type { PlanStep } from '#lib/domain/plan/exam-plan.ts'
import { DEFAULT_POLICY } from '#lib/domain/policy/clinic-policy.ts'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import type { Answer } from '#lib/domain/protocol/need.ts'
import type { Side } from '#lib/domain/protocol/schema.ts'
import type { ReadinessItem } from '#lib/domain/readiness/items.ts'
import { type AssessedCase, assessCase } from '#lib/domain/screening/case.ts'
import { CLINIC_ZONE, DEMO_CLINIC } from './demo-clinic.ts'

const DAYS = 183
/** Today's board and yesterday's belong to the walked referrals. */
const UNTIL_DAYS_AGO = 3

type Random = {
  (): number
  chance(p: number): boolean
  pick<T>(of: readonly T[]): T
  between(a: number, b: number): number
}

/** Mulberry32: the same seed gives the same numbers on every machine. */
function randomOf(seed: number): Random {
  let state = seed
  const next = () => {
    state = (state + 0x6d2b79f5) | 0
    let t = Math.imul(state ^ (state >>> 15), 1 | state)
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296
  }
  return Object.assign(next, {
    chance: (p: number) => next() < p,
    pick: <T>(of: readonly T[]) => {
      const one = of[Math.floor(next() * of.length)]
      invariant(one !== undefined, 'there is something to pick')
      return one
    },
    between: (a: number, b: number) => a + Math.floor(next() * (b - a + 1)),
  })
}

/** Where visits lay: the sessions of the demo clinic, by ISO weekday and the hour they open in their own zone. */
const SESSIONS = [
  {
    clinicianId: 'cli_slate',
    sessionId: 'ses_slate_video',
    mode: 'video',
    days: [1, 2, 3, 4, 5],
    opens: 8,
    hours: 4,
    zone: CLINIC_ZONE,
    state: 'OR',
    roomId: null,
  },
  {
    clinicianId: 'cli_chalk',
    sessionId: 'ses_chalk',
    mode: 'video',
    days: [1, 3, 5],
    opens: 9,
    hours: 4,
    zone: CLINIC_ZONE,
    state: 'OR',
    roomId: null,
  },
  {
    clinicianId: 'cli_flint',
    sessionId: 'ses_flint_video',
    mode: 'video',
    days: [1, 2, 3, 4],
    opens: 13,
    hours: 4,
    zone: 'America/Boise',
    state: 'ID',
    roomId: null,
  },
  {
    clinicianId: 'cli_pumice',
    sessionId: 'ses_pumice',
    mode: 'video',
    days: [1, 2, 3, 4, 5],
    opens: 10,
    hours: 5,
    zone: 'America/Chicago',
    state: 'OR',
    roomId: null,
  },
  {
    clinicianId: 'cli_slate',
    sessionId: 'ses_slate_site',
    mode: 'in_person',
    days: [2, 4],
    opens: 13,
    hours: 4,
    zone: CLINIC_ZONE,
    state: 'OR',
    roomId: 'roo_l1',
  },
  {
    clinicianId: 'cli_flint',
    sessionId: 'ses_flint_site',
    mode: 'in_person',
    days: [1, 2, 3, 4, 5],
    opens: 9,
    hours: 3,
    zone: 'America/Boise',
    state: 'ID',
    roomId: 'roo_j1',
  },
] as const
type Session = (typeof SESSIONS)[number]

const GIVEN = [
  'Aster',
  'Briar',
  'Clover',
  'Dill',
  'Elder',
  'Fennel',
  'Hazel',
  'Linden',
  'Sorrel',
  'Tansy',
  'Willow',
  'Yarrow',
]
const FAMILY = ['Exampleton', 'Sampleby', 'Demoford', 'Inventley', 'Madeupton', 'Fictionby', 'Pretendham', 'Notareal']

const CONDITIONS = ['flat_foot', 'heel_pain', 'big_toe_arthritis', 'ankle_sprain', 'cavovarus', 'pain_unknown']
/** What a home lacks, and how many homes in a hundred are like it. */
const HOMES: readonly { share: number; lacks: Readonly<Record<string, Answer>> }[] = [
  { share: 58, lacks: {} },
  { share: 24, lacks: { helper: false, helper_strong: false } },
  { share: 10, lacks: { helper_strong: false } },
  { share: 8, lacks: { accepts_video: false } },
]

/** What the engine says of each condition, side and home, worked out once. */
function workOut(today: string): Map<string, AssessedCase> {
  const worked = new Map<string, AssessedCase>()
  for (const condition of CONDITIONS)
    for (const side of ['left', 'right'] as const)
      for (const [nth, { lacks }] of HOMES.entries()) {
        const home = Object.fromEntries(
          footAndAnkle.facts
            .filter(({ id }) => id !== 'age_years')
            .map(({ id, kind, change, min }): [string, Answer] => [
              id,
              lacks[id] ??
                change?.to ??
                (kind === 'number' ? (min ?? 0) : ['accepts_video', 'reach_foot'].includes(id)),
            ]),
        )
        const asked = { today, referral: { condition, side, birthDate: '1968-04-12', answers: {} }, home }
        worked.set(`${condition} ${side} ${nth}`, assessCase(asked, footAndAnkle, DEFAULT_POLICY))
      }
  return worked
}

/** The rows of every table, in the order in which they can be written. */
type Past = {
  patients: (typeof patients.$inferInsert)[]
  referrals: (typeof referrals.$inferInsert)[]
  homeChecks: (typeof homeChecks.$inferInsert)[]
  assessments: (typeof assessments.$inferInsert)[]
  visits: (typeof visits.$inferInsert)[]
  messages: (typeof messages.$inferInsert)[]
  readinessMarks: (typeof readinessMarks.$inferInsert)[]
  readinessKept: (typeof readinessKept.$inferInsert)[]
  visitRecords: (typeof visitRecords.$inferInsert)[]
  visitChecks: (typeof visitChecks.$inferInsert)[]
  stationOutcomes: (typeof stationOutcomes.$inferInsert)[]
  findings: (typeof findings.$inferInsert)[]
  followUps: (typeof followUps.$inferInsert)[]
  waitsKept: (typeof waitsKept.$inferInsert)[]
  /** Who is to be seen at the clinic next: instead of a cancelled video visit, or after one. */
  toSee: { referralId: string; patientId: string; assessmentId: string | null; since: Temporal.Instant }[]
  signatures: { visitId: string; outcome: VisitOutcome; endedAt: string; signedBy: string }[]
}

/** Writes the past of the demo clinic, which must be set up. */
export async function addPastHalfYear(db: Db, now: Temporal.Instant): Promise<void> {
  const past = invent(now)
  await db.transaction(async (tx) => {
    await insertMany(tx, patients, past.patients)
    await insertMany(tx, referrals, past.referrals)
    await insertMany(tx, homeChecks, past.homeChecks)
    await insertMany(tx, assessments, past.assessments)
    await insertMany(tx, visits, past.visits)
    await insertMany(tx, messages, past.messages)
    await insertMany(tx, readinessMarks, past.readinessMarks)
    await insertMany(tx, readinessKept, past.readinessKept)
    await insertMany(tx, visitRecords, past.visitRecords)
    await insertMany(tx, visitChecks, past.visitChecks)
    await insertMany(tx, stationOutcomes, past.stationOutcomes)
    await insertMany(tx, findings, past.findings)
    await insertMany(tx, followUps, past.followUps)
    await insertMany(tx, waitsKept, past.waitsKept)
    // A signed record takes no more entries, so the signatures come last. Where nobody came nothing began.
    await tx.execute(sql`update visit_records r
      set outcome = s.outcome, began_at = case when s.outcome = 'no_show' then null else r.began_at end, ended_at = s.ended_at, signed_at = s.ended_at + interval '6 minutes', signed_by = s.signed_by
      from json_to_recordset(${JSON.stringify(
        past.signatures.map(({ visitId, outcome, endedAt, signedBy }) => ({
          visit_id: visitId,
          outcome,
          ended_at: endedAt,
          signed_by: signedBy,
        })),
      )}::json) as s(visit_id text, outcome visit_outcome, ended_at timestamptz, signed_by text)
      where r.clinic_id = ${DEMO_CLINIC} and r.visit_id = s.visit_id`)
  })
}

function invent(now: Temporal.Instant): Past {
  const random = randomOf(20_261)
  const today = now.toZonedDateTimeISO(CLINIC_ZONE).toPlainDate()
  const worked = workOut(today.toString())
  const past: Past = {
    patients: [],
    referrals: [],
    homeChecks: [],
    assessments: [],
    visits: [],
    messages: [],
    readinessMarks: [],
    readinessKept: [],
    visitRecords: [],
    visitChecks: [],
    stationOutcomes: [],
    findings: [],
    followUps: [],
    waitsKept: [],
    toSee: [],
    signatures: [],
  }
  for (let ago = DAYS; ago >= UNTIL_DAYS_AGO; ago--) {
    const day = today.subtract({ days: ago })
    // More visits towards today: the clinic grew into its sessions.
    const busy = 0.5 + (0.4 * (DAYS - ago)) / DAYS
    for (const session of SESSIONS) {
      if (!session.days.some((weekday) => weekday === day.dayOfWeek)) continue
      let minute = 0
      while (minute + 60 <= session.hours * 60) {
        if (random.chance(session.mode === 'video' ? 0.42 * busy : 0.3 * busy))
          inventVisit(past, random, worked, session, day, minute, now)
        minute += 60
      }
    }
    keepWaits(past, random, day, ago)
  }
  return past
}

function inventVisit(
  past: Past,
  random: Random,
  worked: Map<string, AssessedCase>,
  session: Session,
  day: Temporal.PlainDate,
  minute: number,
  now: Temporal.Instant,
): void {
  const nth = past.referrals.length
  const startsAt = day
    .toZonedDateTime({ timeZone: session.zone, plainTime: { hour: session.opens } })
    .toInstant()
    .add({ minutes: minute })
  const known = session.mode === 'in_person' ? past.toSee.shift() : undefined
  if (known !== undefined && Temporal.Instant.compare(known.since, startsAt) < 0) {
    const status = random.chance(0.06) ? 'no_show' : 'done'
    past.visits.push(
      visitRow(session, {
        id: `vis_${known.referralId}`,
        ...known,
        plan: null,
        startsAt,
        minutes: 30,
        bookedAt: known.since,
        status,
      }),
    )
    return
  }
  const isVideo = session.mode === 'video'
  const clinicId = DEMO_CLINIC
  const [referralId, patientId, visitId] = [`ref_past_${nth}`, `pat_past_${nth}`, `vis_past_${nth}`]
  const side = random.pick(['left', 'right'] as const)
  const condition = random.pick(CONDITIONS)
  // Whoever declines video is seen at the clinic.
  const home = isVideo ? HOMES.indexOf(byShare(random, HOMES.slice(0, -1))) : HOMES.length - 1
  const assessed = worked.get(`${condition} ${side} ${home}`)
  invariant(assessed, 'every condition, side and home was worked out')

  const priority: Priority = random.chance(0.86) ? 'routine' : random.chance(0.8) ? 'urgent' : 'asap'
  const leadHours = leadOf(random, priority)
  const longAgo = now.subtract({ hours: 24 * 199 })
  const notBefore = (at: Temporal.Instant) => (Temporal.Instant.compare(at, longAgo) < 0 ? longAgo : at)
  const bookedAt = notBefore(startsAt.subtract({ hours: leadHours }))
  const decidedAt = notBefore(bookedAt.subtract({ hours: random.between(1, 48) }))
  const receivedAt = notBefore(decidedAt.subtract({ hours: random.between(4, 24 * 6) }))
  const leadDays = (startsAt.epochMilliseconds - bookedAt.epochMilliseconds) / 86_400_000
  const [given, family] = [random.pick(GIVEN), random.pick(FAMILY)]
  const hasEmail = random.chance(0.94)

  past.patients.push({
    clinicId,
    id: patientId,
    givenName: given,
    familyName: `${family} ${nth}`,
    birthDate: `${random.between(1946, 2002)}-${two(random.between(1, 12))}-${two(random.between(1, 28))}`,
    phone: '+15035550188',
    email: hasEmail ? `past.${nth}@patients.example.org` : null,
    language: 'en',
    city: session.state === 'OR' ? 'Larkfield' : 'Juniper Bend',
    state: session.state,
    timeZone: session.state === 'OR' ? CLINIC_ZONE : 'America/Boise',
    createdAt: receivedAt,
  })
  past.referrals.push(referralRow({ referralId, patientId, receivedAt, priority, condition, side, source: 'typed' }))
  past.homeChecks.push({
    clinicId,
    referralId,
    invitedAt: receivedAt,
    startedAt: receivedAt,
    finishedAt: decidedAt,
    placeAddress: `${nth + 1} Invented Row`,
    placeState: session.state,
    timeZone: session.zone,
    callbackPhone: '503-555-0188',
    contactName: `Somebody ${family}`,
    contactPhone: '503-555-0189',
    helperName: 'Sam',
    timesAnsweredAt: decidedAt,
    consentedAt: decidedAt,
  })
  past.assessments.push({
    clinicId,
    id: `asm_past_${nth}`,
    referralId,
    at: decidedAt,
    disposition: assessed.screening.disposition,
    screening: assessed.screening,
    plan: assessed.plan,
  })

  const isReady = random.chance(0.72)
  const reminder = leadDays < 1.2 ? 'none' : hasEmail ? 'sent' : 'failed'
  const isCancelled = random.chance(0.07)
  const isMissed = !isCancelled && random.chance(missedShare(leadDays, reminder) * (isReady || !isVideo ? 0.8 : 1.7))
  const status = isCancelled ? 'cancelled' : isMissed ? 'no_show' : 'done'
  const minutes = isVideo ? Math.min(60, assessed.plan?.visitMin ?? 45) : 30
  const endsAt = startsAt.add({ minutes })
  const assessmentId = `asm_past_${nth}`
  const plan = isVideo ? assessed.plan : null
  past.visits.push(
    visitRow(session, { id: visitId, referralId, patientId, assessmentId, plan, startsAt, minutes, bookedAt, status }),
  )
  if (isVideo && isCancelled && random.chance(0.4))
    past.toSee.push({ referralId, patientId, assessmentId, since: startsAt })

  const remindedAt = startsAt.subtract({ hours: 24 })
  if (reminder !== 'none') pushMessage(past, nth, 'day_before', remindedAt, reminder)
  if (isVideo) inventPreparation(past, random, nth, { startsAt, bookedAt, leadDays, hasEmail, isReady })
  if (isVideo && status !== 'cancelled')
    inventRecord(past, random, nth, assessed, { startsAt, endsAt, isMissed, side, condition })
}

function visitRow(
  { clinicianId, sessionId, roomId, mode, zone, state }: Session,
  of: {
    id: string
    referralId: string
    patientId: string
    assessmentId: string | null
    plan: AssessedCase['plan']
    startsAt: Temporal.Instant
    minutes: number
    bookedAt: Temporal.Instant
    status: 'done' | 'no_show' | 'cancelled'
  },
): typeof visits.$inferInsert {
  const { id, referralId, patientId, assessmentId, plan, startsAt, minutes, bookedAt, status } = of
  const endsAt = startsAt.add({ minutes })
  return {
    clinicId: DEMO_CLINIC,
    id,
    referralId,
    patientId,
    clinicianId,
    sessionId,
    roomId,
    mode,
    status,
    startsAt,
    endsAt,
    busyFrom: startsAt,
    busyTo: endsAt,
    plan,
    assessmentId,
    patientTimeZone: zone,
    placeState: state,
    calendarUid: `${id}@larkfield.example.org`,
    cancelledBecause: status === 'cancelled' ? 'The patient phoned (invented)' : null,
    createdAt: bookedAt,
    changedAt: bookedAt,
  }
}

function referralRow(of: {
  referralId: string
  patientId: string
  receivedAt: Temporal.Instant
  priority: Priority
  condition: string
  side: Side
  source: 'typed' | 'follow_up'
}): typeof referrals.$inferInsert {
  return {
    clinicId: DEMO_CLINIC,
    id: of.referralId,
    patientId: of.patientId,
    source: of.source,
    fingerprint: `past ${of.referralId}`,
    receivedAt: of.receivedAt,
    referrerName: 'Riverside Family Practice (demo)',
    reason: 'Invented for the demonstration.',
    icd10: [],
    priority: of.priority,
    stage: 'closed',
    protocolId: footAndAnkle.id,
    protocolVersion: footAndAnkle.version,
    conditionId: of.condition,
    side: of.side,
    seeBy: of.receivedAt.add({ hours: 24 * 42 }),
    closedBecause: 'It is over (invented past).',
    createdAt: of.receivedAt,
  }
}

/** What was asked, what was answered, and how ready the visit was a day before. */
function inventPreparation(
  past: Past,
  random: Random,
  nth: number,
  of: { startsAt: Temporal.Instant; bookedAt: Temporal.Instant; leadDays: number; hasEmail: boolean; isReady: boolean },
): void {
  const { startsAt, bookedAt, leadDays, hasEmail, isReady } = of
  const visitId = `vis_past_${nth}`
  const open: ReadinessItem[] = []
  const askedAt = startsAt.subtract({ hours: 72 })
  const isAsked = leadDays > 4 && hasEmail && random.chance(0.55)
  if (isAsked) pushMessage(past, nth, 'still_missing', askedAt, 'sent')
  for (const item of ['packet_opened', 'equipment', 'helper'] as const) {
    if (!isReady && (item === 'equipment' || random.chance(0.45))) {
      open.push(item)
      continue
    }
    const early = bookedAt.add({ minutes: random.between(60, 1200) })
    const after = askedAt.add({ hours: random.between(1, 40) })
    past.readinessMarks.push({
      clinicId: DEMO_CLINIC,
      id: `mrk_past_${nth}_${item}`,
      visitId,
      item,
      state: 'confirmed',
      forStartsAt: startsAt,
      by: `pat_past_${nth}`,
      byKind: 'patient',
      at: isAsked && random.chance(0.6) ? after : early,
    })
  }
  if (leadDays < 1) return
  past.readinessKept.push({
    clinicId: DEMO_CLINIC,
    visitId,
    forStartsAt: startsAt,
    takenAt: startsAt.subtract({ hours: 24 }).add({ minutes: random.between(0, 9) }),
    worst: open.length === 0 ? 'done' : 'late',
    openItems: open,
  })
}

const ENDS: readonly { share: number; outcome: Exclude<VisitOutcome, 'no_show'> }[] = [
  { share: 93, outcome: 'completed' },
  { share: 2, outcome: 'left_early' },
  { share: 4, outcome: 'technical_failure' },
  { share: 1, outcome: 'stopped_for_safety' },
]

function inventRecord(
  past: Past,
  random: Random,
  nth: number,
  { plan }: AssessedCase,
  of: { startsAt: Temporal.Instant; endsAt: Temporal.Instant; isMissed: boolean; side: Side; condition: string },
): void {
  const { startsAt, endsAt, isMissed } = of
  const visitId = `vis_past_${nth}`
  const mine = { clinicId: DEMO_CLINIC, visitId }
  const signedBy = 'stf_demo_clinician'
  if (isMissed) {
    const endedAt = startsAt.add({ minutes: 15 })
    past.visitRecords.push({ ...mine, beganAt: startsAt, stoppedAt: null })
    past.signatures.push({ visitId, outcome: 'no_show', endedAt: endedAt.toString(), signedBy })
    pushFollowUp(past, nth, 'call', [], endedAt, signedBy, of)
    return
  }
  const outcome = byShare(random, ENDS).outcome
  const stoppedAt = outcome === 'stopped_for_safety' ? startsAt.add({ minutes: 12 }) : null
  past.visitRecords.push({ ...mine, beganAt: startsAt, stoppedAt })
  past.signatures.push({ visitId, outcome, endedAt: endsAt.toString(), signedBy })
  for (const item of CHECK_ITEMS)
    past.visitChecks.push({ ...mine, item, state: 'confirmed', recordedBy: signedBy, recordedAt: startsAt })

  const tries = (plan?.steps ?? []).flatMap((step) => step.sides.map((side) => ({ step, side })))
  const reached = outcome === 'completed' ? tries.length : random.between(1, Math.max(1, tries.length - 1))
  const missing: string[] = []
  for (const [at, { step, side }] of tries.entries()) {
    const { result, reason } = at < reached ? tried(random, step) : { result: 'not_reached' as const, reason: null }
    if (result === 'not_possible' || result === 'stopped' || result === 'not_reached') missing.push(step.stationId)
    const key = { ...mine, stationId: step.stationId, side }
    const recordedAt = startsAt.add({ minutes: Math.min(step.atMin, 55) })
    past.stationOutcomes.push({
      ...key,
      wayId: step.wayId,
      result,
      reason,
      recordedBy: signedBy,
      recordedAt,
    })
    if (result === 'done' || result === 'done_with_difficulty')
      past.findings.push({ ...key, measureId: '', kind: random.chance(0.8) ? 'normal' : 'abnormal' })
  }
  const isToSee = outcome !== 'completed' || random.chance(missing.length > 2 ? 0.15 : 0.05)
  pushFollowUp(past, nth, isToSee ? 'in_person' : 'none', [...new Set(missing)], endsAt, signedBy, of)
}

/** How often a way is done of what was promised: invented, the strap worst, so that there is something to be reviewed. */
function tried(random: Random, { wayId }: PlanStep): { result: StationResult; reason: Reason | null } {
  const done = wayId.includes('strap') ? 0.52 : wayId.includes('helper') ? 0.95 : 0.91
  if (random.chance(done))
    return random.chance(0.1) ? { result: 'done_with_difficulty', reason: 'pain' } : { result: 'done', reason: null }
  const reasons: readonly Reason[] = wayId.includes('strap')
    ? ['no_equipment', 'not_understood', 'not_able']
    : ['camera', 'pain', 'no_room', 'not_able', 'no_helper', 'line', 'light']
  if (random.chance(0.15)) return { result: 'stopped', reason: random.pick(['pain', 'unsteady'] as const) }
  return { result: 'not_possible', reason: random.pick(reasons) }
}

function pushFollowUp(
  past: Past,
  nth: number,
  kind: 'in_person' | 'call' | 'none',
  stations: string[],
  decidedAt: Temporal.Instant,
  decidedBy: string,
  { side, condition }: { side: Side; condition: string },
): void {
  const referralId = kind === 'in_person' ? `ref_past_${nth}_again` : null
  if (referralId !== null) {
    past.toSee.push({ referralId, patientId: `pat_past_${nth}`, assessmentId: null, since: decidedAt })
    past.referrals.push(
      referralRow({
        referralId,
        patientId: `pat_past_${nth}`,
        receivedAt: decidedAt,
        priority: 'routine',
        condition,
        side,
        source: 'follow_up',
      }),
    )
  }
  past.followUps.push({
    clinicId: DEMO_CLINIC,
    visitId: `vis_past_${nth}`,
    kind,
    stations,
    seeBy: kind === 'in_person' ? decidedAt.add({ hours: 24 * 14 }) : null,
    because: kind === 'none' ? 'Everything was seen (invented).' : null,
    referralId,
    decidedBy,
    decidedAt,
  })
}

function pushMessage(
  past: Past,
  nth: number,
  kind: 'day_before' | 'still_missing',
  dueAt: Temporal.Instant,
  status: 'sent' | 'failed',
): void {
  past.messages.push({
    clinicId: DEMO_CLINIC,
    id: `msg_past_${nth}_${kind}`,
    referralId: `ref_past_${nth}`,
    visitId: `vis_past_${nth}`,
    kind,
    dedupeKey: `past ${nth} ${kind}`,
    dueAt,
    status,
    sentAt: status === 'sent' ? dueAt : null,
    fault: status === 'failed' ? 'no address' : null,
    attempts: 1,
    createdAt: dueAt.subtract({ hours: 1 }),
  })
}

/** A wait that wanders: longer in the middle of the half-year, one mode behind the other. */
function keepWaits(past: Past, random: Random, day: Temporal.PlainDate, ago: number): void {
  const swell = Math.sin((Math.PI * (DAYS - ago)) / DAYS)
  const takenAt = day.toZonedDateTime({ timeZone: CLINIC_ZONE, plainTime: '08:05' }).toInstant()
  for (const { clinicianId, mode } of SESSIONS)
    past.waitsKept.push({
      clinicId: DEMO_CLINIC,
      onDate: day.toString(),
      clinicianId,
      mode,
      takenAt,
      minutes: DEFAULT_POLICY.visit.inPersonMin,
      days: Math.round((mode === 'video' ? 3 : 7) + 8 * swell + random() * 3),
      horizonDays: DEFAULT_POLICY.booking.horizonDays,
    })
}

function missedShare(leadDays: number, reminder: 'sent' | 'failed' | 'none'): number {
  const byLead = leadDays < 1 ? 0.03 : leadDays < 7 ? 0.05 : leadDays < 14 ? 0.08 : leadDays < 28 ? 0.11 : 0.16
  return reminder === 'failed' ? Math.min(0.5, byLead * 2) : byLead
}

function leadOf(random: Random, priority: Priority): number {
  if (priority !== 'routine') return random.between(6, 24 * 5)
  return random.pick([
    random.between(8, 22),
    random.between(30, 160),
    random.between(170, 330),
    random.between(340, 660),
    random.between(340, 660),
    random.between(680, 900),
  ])
}

/** One of them, each as often as its share says. */
function byShare<T extends { share: number }>(random: Random, of: readonly T[]): T {
  const mark = random() * of.reduce((sum, { share }) => sum + share, 0)
  let passed = 0
  for (const one of of) {
    passed += one.share
    if (mark < passed) return one
  }
  return random.pick(of)
}

function two(n: number): string {
  return String(n).padStart(2, '0')
}
