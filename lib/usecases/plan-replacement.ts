/**
 * A session is lost: where could its visits go, all at once, at the least harm? Only looked at here. What the coordinator
 * has decided by hand (a visit kept at a start, or left to be settled by phone) is part of the question; the answer says
 * for each visit what it had, what it would have, and what that costs the patient.
 */
import { z } from 'zod'
import { listVisitsAtStake } from '#db/queries/at-stake.ts'
import { findBookingCase } from '#db/queries/booking-case.ts'
import { type Clinic, getClinic } from '#db/queries/clinics.ts'
import { listClaimsOfPatients, listSiteOfRooms } from '#db/queries/lost-session.ts'
import { findSession, type KeptSession } from '#db/queries/sessions.ts'
import { loadSupply, type NamedSupply } from '#db/queries/supply.ts'
import { invariant } from '#lib/base/invariant.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { Temporal } from '#lib/base/time.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { BookingCase } from '#lib/domain/booking/booking-case.ts'
import { demandOf, patientZone, plainWishes } from '#lib/domain/booking/demand-of.ts'
import { type NothingToOffer, offerFor } from '#lib/domain/booking/offer.ts'
import { isDate } from '#lib/domain/calendar/check-session.ts'
import { type Busy, type PreparedSupply, prepareSupply, type VisitMode } from '#lib/domain/calendar/supply.ts'
import { type LostTime, openingAt, withoutLost } from '#lib/domain/replacement/lost-time.ts'
import { optionsOf, UNPLACED, type Was } from '#lib/domain/replacement/options.ts'
import {
  collide,
  type FoundStart,
  type MoveCost,
  type Option,
  takenBy,
  totalCost,
  type VisitToPlace,
} from '#lib/domain/replacement/placement.ts'
import type { SolverPort } from '#lib/domain/replacement/program.ts'
import type { Ctx } from './context.ts'
import { type AskedStart, askedStartInput } from './steps/claim-start.ts'
import { type LostVisit, lostOpenings, lostVisits } from './steps/lost-visits.ts'
import { solvePlacement } from './steps/solve-placement.ts'

const date = z.string().refine(isDate)
export const lostTimeInput = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('opening'), onDate: date }),
  z.object({ kind: z.literal('from'), fromDate: date }),
])

/** As somebody asks for it: they may also name a moment, such as a visit's start, and mean the opening around it. */
export const lostTimeAsked = z.discriminatedUnion('kind', [
  ...lostTimeInput.options,
  z.object({ kind: z.literal('at'), at: z.iso.datetime().transform((text) => Temporal.Instant.from(text)) }),
])

export const planReplacementInput = z.object({
  sessionId: z.string(),
  lost: lostTimeAsked,
  /** Decided by hand, by visit: a start to keep, or 'by_phone' = it stays where it is and somebody calls. */
  decided: z.record(z.string(), z.union([z.literal('by_phone'), askedStartInput])),
})
export type PlanReplacementInput = z.output<typeof planReplacementInput>

/** A start as the page shows it and a form sends it back. Instants are ISO text. */
export type ProposedStart = {
  sessionId: string
  clinicianId: string
  mode: VisitMode
  startsAt: string
  roomId: string | null
  interpreterId: string | null
  clinicianName: string
  interpreterName: string | null
  place: string | null
  cost: MoveCost
}

/**
 * Why a visit has no new start: it was left to the phone; no start fits it, or others need every one that does; the start
 * it was to keep is gone; or nothing may be booked for it as things stand.
 */
export type NoStart =
  | 'by_phone'
  | 'no_start_fits'
  | 'others_need_it'
  | 'chosen_start_gone'
  | 'other_mode'
  | NothingToOffer

export type PlannedMove = {
  visitId: string
  version: number
  referralId: string
  patientName: string
  mode: VisitMode
  /** The patient's zone. */
  timeZone: string
  seeBy: string | null
  before: { startsAt: string; clinicianName: string; interpreterName: string | null; place: string | null }
  /** Decided by hand. */
  isDecided: boolean
  after: ProposedStart | null
  noStart: NoStart | null
  /** The cheapest ones, the proposed one among them. */
  choices: ProposedStart[]
}

export type ReplacementPlan = {
  session: Pick<KeptSession, 'session' | 'ownerName' | 'siteName' | 'version'>
  clinicTimeZone: string
  lost: LostTime
  /** ISO instants. */
  openings: { start: string; end: string }[]
  /** By their old time. */
  moves: PlannedMove[]
  /** Starts in the lost time that somebody is holding this minute. */
  heldCount: number
  /** Sums over the visits that were looked for a start. */
  total: MoveCost
  /** Nothing would do less harm. */
  isProven: boolean
}
export type PlanReplacementError = { code: 'session_not_found' } | { code: 'nothing_lost' }

const CHOICES = 8

/** Works the whole proposal out again at each call: what it rests on may have changed since the last. */
export async function planReplacement(
  ctx: Ctx,
  solver: SolverPort,
  { sessionId, lost: asked, decided }: PlanReplacementInput,
): Promise<Result<ReplacementPlan, PlanReplacementError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  const kept = await findSession(ctx.db, clinicId, sessionId)
  if (!kept || !may(ctx.actor, 'session.lose', { clinicId })) return err({ code: 'session_not_found' })
  const lost = asked.kind === 'at' ? openingAt(kept.session, asked.at) : asked
  if (!lost) return err({ code: 'nothing_lost' })
  const clinic = await getClinic(ctx.db, clinicId)
  const horizon = now.add({ hours: 24 * clinic.policy.booking.horizonDays })
  const whole = { from: now, to: horizon, now, patientId: '', referralId: '', clinicianId: null }
  const loaded = await loadSupply(ctx.db, clinicId, whole)
  const openings = lostOpenings(kept, lost, loaded.holidays, now, horizon)
  if (openings.length === 0 || kept.status === 'ended') return err({ code: 'nothing_lost' })

  const { owner } = kept.session
  const concerned = owner.kind === 'clinician' ? { clinicianId: owner.id } : { interpreterId: owner.id }
  const atStake = await listVisitsAtStake(ctx.db, clinicId, concerned, now)
  const gone = await lostVisits(ctx.db, clinicId, kept, lost, atStake, now)
  const booked = gone.filter(({ status }) => status === 'booked')
  const cases = new Map<string, BookingCase>()
  for (const { visitId, referralId } of booked) {
    const bookingCase = await findBookingCase(ctx.db, clinicId, referralId, { lock: false })
    invariant(bookingCase, 'the referral of a booked visit is there')
    cases.set(visitId, bookingCase)
  }
  const caseOf = ({ visitId }: LostVisit) => cases.get(visitId) as BookingCase

  const siteOfRoom = await listSiteOfRooms(ctx.db, clinicId)
  const supply = await withoutTheLost(ctx, loaded, kept, lost, booked, cases)
  const prepared = prepareSupply(supply, now.epochMilliseconds, horizon.epochMilliseconds)
  const looked = booked.map((visit) => {
    const was: Was = {
      clinicianId: visit.clinicianId,
      start: visit.start,
      siteId: visit.mode === 'video' ? null : (siteOfRoom.get(visit.roomId ?? '') ?? null),
    }
    return lookFor(
      visit,
      caseOf(visit),
      was,
      decided[visit.visitId],
      { clinic, supply, prepared, now },
      booked.length - 1,
    )
  })

  const inQuestion = looked.filter(({ noStart }) => noStart === null)
  const { placement, isProven } = await solvePlacement(
    inQuestion.map(({ toPlace }) => toPlace),
    solver,
  )
  const placed = new Map(inQuestion.map(({ visit }, n) => [visit.visitId, placement[n] ?? null]))
  const taken = inQuestion.map(({ toPlace }, n) => ({
    toPlace,
    taken: placement[n] ? takenBy(toPlace, placement[n]) : [],
  }))
  const nameOf = names(supply)
  const moves = looked.map(({ visit, toPlace, noStart, all, isDecided }): PlannedMove => {
    const after = placed.get(visit.visitId) ?? null
    // Starts that another visit was given are no choice while that one keeps them.
    const open = all.filter(
      (option) => !taken.some((other) => other.toPlace !== toPlace && collide(takenBy(toPlace, option), other.taken)),
    )
    const why =
      noStart ??
      (after
        ? null
        : isDecided
          ? 'chosen_start_gone'
          : toPlace.options.length === 0
            ? 'no_start_fits'
            : 'others_need_it')
    return {
      visitId: visit.visitId,
      version: visit.version,
      referralId: visit.referralId,
      patientName: visit.patientName,
      mode: visit.mode,
      timeZone: patientZone(caseOf(visit), clinic.timeZone),
      seeBy: seeByOf(caseOf(visit), visit)?.toString() ?? null,
      before: {
        startsAt: visit.startsAt.toString(),
        clinicianName: visit.clinicianName,
        interpreterName: nameOf.interpreter(visit.interpreterId),
        place: nameOf.place(visit.roomId, siteOfRoom.get(visit.roomId ?? '') ?? null),
      },
      isDecided,
      after: after && nameOf.proposed(after),
      noStart: why,
      choices: distinct(after ? [after, ...open] : open)
        .slice(0, CHOICES)
        .map(nameOf.proposed),
    }
  })
  return ok({
    session: kept,
    clinicTimeZone: clinic.timeZone,
    lost,
    openings: openings.map(({ start, end }) => ({ start: iso(start), end: iso(end) })),
    moves,
    heldCount: gone.length - booked.length,
    total: totalCost(
      inQuestion.map(({ toPlace }) => toPlace),
      placement,
    ),
    isProven,
  })
}

/** The calendar with the lost time closed, and with what the visits hold now given back. */
async function withoutTheLost(
  ctx: Ctx,
  supply: NamedSupply,
  { session }: KeptSession,
  lost: LostTime,
  booked: readonly LostVisit[],
  cases: ReadonlyMap<string, BookingCase>,
): Promise<NamedSupply> {
  const rest = withoutLost(session, lost)
  const sessions = supply.sessions.flatMap((each) => (each.id !== session.id ? [each] : rest ? [rest] : []))
  const given = new Set(
    booked.flatMap(({ clinicianId, interpreterId, roomId, start }) => [
      `clinician ${clinicianId} ${start}`,
      `interpreter ${interpreterId} ${start}`,
      `room ${roomId} ${start}`,
    ]),
  )
  const isGiven = ({ resource, id, start, end }: Busy) =>
    resource === 'clinician'
      ? booked.some((visit) => visit.clinicianId === id && start <= visit.start && visit.end <= end)
      : given.has(`${resource} ${id} ${start}`)
  const others = await listClaimsOfPatients(
    ctx.db,
    ctx.actor.clinicId,
    booked.map(({ visitId }) => cases.get(visitId)?.patient.id ?? ''),
    booked.map(({ visitId }) => visitId),
  )
  const busy = [
    ...supply.busy.filter((each) => !isGiven(each)),
    ...others.map(({ patientId, start, end }): Busy => ({ resource: 'patient', id: patientId, start, end })),
  ]
  return { ...supply, sessions, busy }
}

type Looked = {
  visit: LostVisit
  toPlace: VisitToPlace
  /** Every start it could have, also where one is decided. */
  all: readonly Option[]
  isDecided: boolean
  noStart: NoStart | null
}
type World = { clinic: Clinic; supply: NamedSupply; prepared: PreparedSupply; now: Temporal.Instant }

function lookFor(
  visit: LostVisit,
  bookingCase: BookingCase,
  was: Was,
  decided: 'by_phone' | AskedStart | undefined,
  { clinic, supply, prepared, now }: World,
  others: number,
): Looked {
  const offer = offerFor(bookingCase)
  const isLook = bookingCase.earlyLook?.visitId === visit.visitId
  const none = (noStart: NoStart | null, all: readonly Option[] = [], options = all): Looked => ({
    visit,
    toPlace: { visitId: visit.visitId, patientId: bookingCase.patient.id, options, unplaced: UNPLACED },
    all,
    isDecided: decided !== undefined,
    noStart,
  })
  if (!offer.ok) return none(offer.error)
  if (isLook ? !offer.value.earlyLook : !offer.value.modes.includes(visit.mode)) return none('other_mode')

  const wishes = {
    ...plainWishes('staff', visit.mode, ['after_see_by']),
    before: isLook ? (bookingCase.booked?.startsAt ?? null) : null,
  }
  const rules = { policy: clinic.policy, clinicTimeZone: clinic.timeZone, sites: supply.sites, now }
  const seeBy = seeByOf(bookingCase, visit)
  const all = optionsOf(prepared, demandOf(bookingCase, wishes, rules), was, seeBy?.epochMilliseconds ?? null, others)
  if (decided === 'by_phone') return none('by_phone', all)
  if (decided === undefined) return none(null, all)
  return none(
    null,
    all,
    all.filter(({ start }) => isSame(start, decided)),
  )
}

/** An early look has no see-by time of its own: the visit in person meets it. */
function seeByOf({ seeBy, earlyLook }: BookingCase, { visitId }: LostVisit): Temporal.Instant | null {
  return earlyLook?.visitId === visitId ? null : seeBy
}

function isSame(start: FoundStart, asked: AskedStart): boolean {
  return (
    start.sessionId === asked.sessionId &&
    start.start === asked.startsAt.epochMilliseconds &&
    (asked.roomId === null || start.roomId === asked.roomId) &&
    (asked.interpreterId === null || start.interpreterId === asked.interpreterId)
  )
}

/** One room and interpreter is as good as another: each time with each clinician once. */
function distinct(options: readonly Option[]): Option[] {
  const seen = new Set<string>()
  return options.filter(({ start }) => {
    const key = `${start.clinicianId} ${start.start}`
    const isNew = !seen.has(key)
    seen.add(key)
    return isNew
  })
}

function names(supply: NamedSupply) {
  const find = (list: readonly { id: string; name: string }[], id: string | null) =>
    list.find((each) => each.id === id)?.name ?? null
  const interpreter = (id: string | null) => find(supply.interpreters, id)
  const place = (roomId: string | null, siteId: string | null) => {
    if (roomId === null) return null
    return [find(supply.sites, siteId), find(supply.rooms, roomId)].filter((name) => name !== null).join(', ')
  }
  return {
    interpreter,
    place,
    proposed: ({
      start: { start, sessionId, clinicianId, mode, roomId, interpreterId, siteId },
      cost,
    }: Option): ProposedStart => ({
      sessionId,
      clinicianId,
      mode,
      startsAt: iso(start),
      roomId,
      interpreterId,
      clinicianName: find(supply.clinicians, clinicianId) ?? '',
      interpreterName: interpreter(interpreterId),
      place: place(roomId, siteId),
      cost,
    }),
  }
}

function iso(milliseconds: number): string {
  return Temporal.Instant.fromEpochMilliseconds(milliseconds).toString()
}
