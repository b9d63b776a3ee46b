/**
 * One visit as the board and the visit page show it: what is ready, what is not
 * and who acts; which stations can't be done, and what would open them.
 */
import type { Temporal } from '#lib/base/time.ts'
import { speaks } from '../calendar/supply.ts'
import type { TaskKind } from '../desk/stages.ts'
import type { ExamPlan } from '../plan/exam-plan.ts'
import type { Protocol, Side } from '../protocol/schema.ts'
import { reasonFor } from '../screening/explain.ts'
import type { Disposition, Screening } from '../screening/screening.ts'
import type { ItemReadiness, ItemState } from './items.ts'
import { judgeReadiness, type Mark, type ReadinessPolicy, worstOf } from './readiness.ts'

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
  worst: ItemState
  closed: ClosedStation[]
  /** Smallest changes at home that would open something, cheapest first. */
  openers: { say: string; opens: number }[]
  helperWindow: { from: string; to: string } | null
  stationCount: number
}

/** The items of a visit as they stand, judged from what is stored. What closes its stations has no part in it. */
export function judgeStored(
  stored: Omit<StoredVisit, 'screening'>,
  marks: readonly Mark[],
  protocol: Protocol,
  policy: ReadinessPolicy,
  now: Temporal.Instant,
): ItemReadiness[] {
  const { plan } = stored
  const condition = protocol.conditions.find((each) => each.id === stored.conditionId)
  return judgeReadiness(
    {
      mode: stored.mode,
      startsAt: stored.startsAt,
      bookedAt: stored.bookedAt,
      needsEquipment: usesEquipment(plan, protocol),
      needsHelper: plan?.helperWindow != null,
      needsImage: condition?.imageFirst ?? false,
      imageReceived: stored.imageReceived,
      needsInterpreter:
        stored.interpreterLanguage !== null && !speaks(stored.clinicianLanguages, stored.interpreterLanguage),
      hasInterpreter: stored.interpreterName !== null,
      hasLicence: stored.hasLicence,
      homeCheckInvitedAt: stored.homeCheckInvitedAt,
      homeCheckFinishedAt: stored.homeCheckFinishedAt,
      hasPlaceAndContact:
        stored.placeAddress !== null &&
        stored.placeState !== null &&
        stored.contactPhone !== null &&
        stored.callbackPhone !== null,
      consentedAt: stored.consentedAt,
      packetAt: stored.packetAt,
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
  const items = judgeStored(stored, marks, protocol, policy, now)
  const closed = (screening?.stations ?? []).filter((station) => station.can !== 'yes')
  return {
    ...rest,
    startsAt: startsAt.toString(),
    endsAt: endsAt.toString(),
    changedAt: changedAt.toString(),
    condition: condition?.title ?? stored.conditionId,
    disposition: stored.overruledTo ?? screening?.disposition ?? null,
    items,
    worst: worstOf(items),
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

function usesEquipment(plan: ExamPlan | null, protocol: Protocol): boolean {
  return (plan?.steps ?? []).some((step) => {
    const way = protocol.stations
      .find((each) => each.id === step.stationId)
      ?.ways.find((each) => each.id === step.wayId)
    return (way?.fetch.length ?? 0) > 0
  })
}
