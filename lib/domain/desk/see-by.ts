/**
 * By when must this patient be seen? The tightest of three limits: the urgency
 * the referral came with, counted from the day it reached the clinic; what the
 * suspected condition asks for, counted from the same day; and each raised red
 * flag, counted from the moment the answers that raise it were all known. A flag
 * that is saved again is not a new flag: its time keeps running.
 *
 * A person may bring the time forward, never push it back.
 */
import { Temporal } from '#lib/base/time.ts'
import { type ClinicHours, dueBy } from '../calendar/due.ts'
import { expand } from '../protocol/expand.ts'
import type { Facts } from '../protocol/need.ts'
import type { Protocol, SeeBy } from '../protocol/schema.ts'
import { evaluate, truthOf } from '../screening/evaluate.ts'

export type SeeByInput = {
  priorityLimit: SeeBy
  receivedAt: Temporal.Instant
  protocol: Protocol
  conditionId: string
  facts: Facts
  /** When each fact was answered; one that is not here came with the referral. */
  knownSince: ReadonlyMap<string, Temporal.Instant>
  clinic: ClinicHours
}

/** What sets the time: the urgency, the condition, or a red flag by its id. */
export type SeeByLimit = {
  at: Temporal.Instant
  from: { kind: 'urgency' } | { kind: 'condition' } | { kind: 'flag'; flagId: string }
}

/** Every limit that holds, tightest first. There is always one. */
export function seeByLimits(input: SeeByInput): [SeeByLimit, ...SeeByLimit[]] {
  const { priorityLimit, receivedAt, protocol, conditionId, facts, knownSince, clinic } = input
  const limits: [SeeByLimit, ...SeeByLimit[]] = [
    { at: dueBy(priorityLimit, receivedAt, clinic), from: { kind: 'urgency' } },
  ]
  const condition = protocol.conditions.find(({ id }) => id === conditionId)
  if (condition?.inPerson)
    limits.push({ at: dueBy(condition.inPerson.seeBy, receivedAt, clinic), from: { kind: 'condition' } })
  for (const { id: flagId, when, seeBy } of protocol.redFlags) {
    if (seeBy === undefined || truthOf(expand(when, protocol), facts) !== 'yes') continue
    const { reasons } = evaluate(when, facts, protocol)
    const raisedAt = first(reasons.map((reason) => last(reason.map((factId) => knownSince.get(factId) ?? receivedAt))))
    limits.push({ at: dueBy(seeBy, raisedAt ?? receivedAt, clinic), from: { kind: 'flag', flagId } })
  }
  return limits.sort((a, b) => Temporal.Instant.compare(a.at, b.at))
}

function first(instants: readonly (Temporal.Instant | undefined)[]): Temporal.Instant | undefined {
  return inOrder(instants).at(0)
}

function last(instants: readonly (Temporal.Instant | undefined)[]): Temporal.Instant | undefined {
  return inOrder(instants).at(-1)
}

function inOrder(instants: readonly (Temporal.Instant | undefined)[]): Temporal.Instant[] {
  return instants.filter((instant) => instant !== undefined).sort(Temporal.Instant.compare)
}
