/**
 * One visit as the board and the visit page show it: what is ready, what is not
 * and who acts; which stations can't be done, and what would open them.
 */
import type { Temporal } from '#lib/base/time.ts'
import { speaks } from '../calendar/supply.ts'
import type { TaskKind } from '../desk/stages.ts'
import type { ExamPlan, PlanStep } from '../plan/exam-plan.ts'
import type { Protocol, Side } from '../protocol/schema.ts'
import { reasonFor } from '../screening/explain.ts'
import type { Disposition, Screening } from '../screening/screening.ts'
import type { ItemReadiness, ItemState } from './items.ts'
import { type JudgedItem, judgeReadiness, type Mark, type ReadinessPolicy, standingOf } from './readiness.ts'

/** As it is stored. */
export type StoredVisit = {
  visitId: string
  referralId: string
  status: 'booked' | 'done' | 'no_show' | 'cancelled'
  mode: 'video' | 'in_person'
  startsAt: Temporal.Instant
  endsAt: Temporal.Instant
  bookedAt: Temporal.Instant
  changedAt: Temporal.Instant
  version: number
  patientTimeZone: string
  patientName: string
  patientPhone: string | null
  interpreterLanguage: string | null
  sessionId: string
  clinicianId: string
  clinicianName: string
  clinicianLanguages: string[]
  interpreterName: string | null
  roomName: string | null
  siteName: string | null
  side: Side
  protocolId: string
  protocolVersion: number
  conditionId: string
  imageReceived: boolean
  plan: ExamPlan | null
  screening: Screening | null
  overruledTo: Disposition | null
  placeAddress: string | null
  placeState: string | null
  callbackPhone: string | null
  contactName: string | null
  contactPhone: string | null
  helperName: string | null
  homeCheckInvitedAt: Temporal.Instant | null
  homeCheckFinishedAt: Temporal.Instant | null
  consentedAt: Temporal.Instant | null
  packetRevision: number | null
  packetAt: Temporal.Instant | null
  hasLicence: boolean
  openTasks: TaskKind[]
}

/** What one is judged by. */
export type DayVisit = Pick<
  StoredVisit,
  | 'visitId'
  | 'referralId'
  | 'mode'
  | 'startsAt'
  | 'bookedAt'
  | 'interpreterLanguage'
  | 'clinicianId'
  | 'clinicianName'
  | 'clinicianLanguages'
  | 'protocolId'
  | 'protocolVersion'
  | 'conditionId'
  | 'imageReceived'
  | 'placeAddress'
  | 'placeState'
  | 'callbackPhone'
  | 'contactPhone'
  | 'homeCheckInvitedAt'
  | 'homeCheckFinishedAt'
  | 'consentedAt'
  | 'packetAt'
  | 'hasLicence'
> & { hasInterpreter: boolean; hasOpenTask: boolean; plan: BriefPlan | null }

/** As much of a plan as the board asks of it. */
export type BriefPlan = {
  steps: readonly Pick<PlanStep, 'stationId' | 'wayId'>[]
  helperWindow: ExamPlan['helperWindow']
}

/** What the board says of one beside what it is judged by, but what closes its stations. */
export type VisitDetails = Omit<StoredVisit, Exclude<keyof DayVisit, 'visitId'> | 'screening'>

/** As much of a screening as says which stations are closed, and what would open them; `stations` may lack those that are open. */
export type ClosingScreening = Pick<Screening, 'disposition' | 'stations' | 'openers'>

export type ClosedStation = { title: string; why: string }

export type BoardVisit = Omit<
  StoredVisit,
  | 'startsAt'
  | 'endsAt'
  | 'bookedAt'
  | 'changedAt'
  | 'homeCheckInvitedAt'
  | 'homeCheckFinishedAt'
  | 'consentedAt'
  | 'packetAt'
  | 'screening'
  | 'plan'
> & {
  /** ISO instants. */
  startsAt: string
  endsAt: string
  changedAt: string
  condition: string
  disposition: Disposition | null
  items: ItemReadiness[]
  /** How it stands (`standingOf`). */
  worst: ItemState
  closed: ClosedStation[]
  /** Smallest changes at home that would open something, cheapest first. */
  openers: { say: string; opens: number }[]
  helperWindow: { from: string; to: string } | null
  stationCount: number
}

/** The items of a visit as they stand, judged from what is stored. */
export function judgeStored(
  stored: Omit<DayVisit, 'hasOpenTask'>,
  marks: readonly Mark[],
  protocol: Protocol,
  policy: ReadinessPolicy,
  now: Temporal.Instant,
): JudgedItem[] {
  const condition = protocol.conditions.find((each) => each.id === stored.conditionId)
  const fetching = waysThatFetch(protocol)
  return judgeReadiness(
    {
      ...stored,
      needsEquipment: (stored.plan?.steps ?? []).some(({ stationId, wayId }) => fetching.has(`${stationId} ${wayId}`)),
      needsHelper: stored.plan?.helperWindow != null,
      needsImage: condition?.imageFirst ?? false,
      needsInterpreter:
        stored.interpreterLanguage !== null && !speaks(stored.clinicianLanguages, stored.interpreterLanguage),
      hasPlaceAndContact:
        stored.placeAddress !== null &&
        stored.placeState !== null &&
        stored.contactPhone !== null &&
        stored.callbackPhone !== null,
      marks,
    },
    policy,
    now,
  )
}

export function toBoardVisit(
  stored: StoredVisit,
  marks: readonly Mark[],
  protocol: Protocol,
  policy: ReadinessPolicy,
  now: Temporal.Instant,
): BoardVisit {
  const judged = judgeStored(
    { ...stored, hasInterpreter: stored.interpreterName !== null },
    marks,
    protocol,
    policy,
    now,
  )
  return describeVisit(stored, judged, protocol)
}

/** The same of one that has been judged already. */
export function describeVisit(
  stored: Omit<StoredVisit, 'screening' | 'plan'> & { screening: ClosingScreening | null; plan: BriefPlan | null },
  judged: readonly JudgedItem[],
  protocol: Protocol,
): BoardVisit {
  const {
    startsAt,
    endsAt,
    changedAt,
    plan,
    screening,
    bookedAt,
    homeCheckInvitedAt,
    homeCheckFinishedAt,
    consentedAt,
    packetAt,
    ...rest
  } = stored
  const condition = protocol.conditions.find((each) => each.id === stored.conditionId)
  const items = judged.map((item): ItemReadiness => ({ ...item, since: item.since?.toString() ?? null }))
  const closed = (screening?.stations ?? []).filter((station) => station.can !== 'yes')
  return {
    ...rest,
    startsAt: startsAt.toString(),
    endsAt: endsAt.toString(),
    changedAt: changedAt.toString(),
    condition: condition?.title ?? stored.conditionId,
    disposition: stored.overruledTo ?? screening?.disposition ?? null,
    items,
    worst: standingOf(items, stored.openTasks.length > 0),
    closed:
      stored.mode === 'in_person'
        ? []
        : closed.map((station) => ({
            title: stationTitle(protocol, station.stationId),
            why: reasonFor(station, protocol),
          })),
    openers:
      stored.mode === 'in_person'
        ? []
        : (screening?.openers ?? []).map((opener) => ({
            say: sayChanges(protocol, opener.facts),
            opens: opener.opens.length,
          })),
    helperWindow:
      plan?.helperWindow == null
        ? null
        : {
            from: startsAt.add({ minutes: plan.helperWindow.fromMin }).toString(),
            to: startsAt.add({ minutes: plan.helperWindow.toMin }).toString(),
          },
    stationCount: plan?.steps.length ?? 0,
  }
}

/** The changes of an opener as staff say them. */
export function sayChanges(protocol: Protocol, factIds: readonly string[]): string {
  return factIds.map((id) => protocol.facts.find((fact) => fact.id === id)?.label ?? id).join(' and ')
}

function stationTitle(protocol: Protocol, id: string): string {
  return protocol.stations.find((station) => station.id === id)?.title ?? id
}

/** "station way" of every way for which something has to be fetched. A protocol never changes, so it is asked once. */
function waysThatFetch(protocol: Protocol): ReadonlySet<string> {
  const known = fetchingWays.get(protocol)
  if (known) return known
  const found = new Set(
    protocol.stations.flatMap(({ id, ways }) =>
      ways.filter(({ fetch }) => fetch.length > 0).map((way) => `${id} ${way.id}`),
    ),
  )
  fetchingWays.set(protocol, found)
  return found
}
const fetchingWays = new WeakMap<Protocol, ReadonlySet<string>>()
