/**
 * What would another version have said about the same referrals?
 *
 * Both versions are asked from the same answers on the same day, so that every difference comes from the protocol. It
 * tells what would change for whom; which answer is the better one it can't tell.
 */
import { buildPlan, type PlanPolicy } from '../plan/build-plan.ts'
import type { Facts } from '../protocol/need.ts'
import type { Protocol, SeeBy, Side } from '../protocol/schema.ts'
import { type ScreeningPolicy, screen, tightest } from '../screening/screen.ts'
import { DISPOSITIONS, type Disposition } from '../screening/screening.ts'

export type PastCase = { id: string; conditionId: string; side: Side; facts: Facts }
export type EffectPolicy = { screening: ScreeningPolicy; visit: PlanPolicy }

export type Said = {
  disposition: Disposition
  coverage: number
  /** Stations that surely can be done. */
  open: string[]
  /** Null where nothing can be done. */
  visitMin: number | null
  seeBy: SeeBy | null
}

/** What differs, by what is looked at first; `extent` is coverage and minutes. A case counts under the first it shows. */
export const DIFFERENCES = ['disposition', 'see_by', 'stations', 'extent'] as const
export type Difference = (typeof DIFFERENCES)[number]

export type CaseEffect = {
  id: string
  /** Null: the version has no such condition. */
  before: Said | null
  after: Said | null
  opened: string[]
  closed: string[]
  differs: Difference | null
  /** The patient would have been called or seen later than so far: what nobody should sign without having looked. */
  isLessUrgent: boolean
}

export type Effect = {
  cases: number
  changed: number
  differ: Record<Difference, number>
  lessUrgent: number
  /** How many went from one disposition to another; only where they differ. */
  moves: { from: Disposition | null; to: Disposition | null; count: number }[]
  /** How many can do a station that they couldn't, or can't that they could. */
  stations: { stationId: string; opened: number; closed: number }[]
  /** Means over the cases of which either version can do something; null without any. */
  coverage: { before: number; after: number } | null
  /** Means over the cases that both have a plan for. */
  visitMin: { before: number; after: number } | null
}

/** What one version says of a case. */
export function sayOf({ conditionId, side, facts }: PastCase, protocol: Protocol, policy: EffectPolicy): Said | null {
  if (!protocol.conditions.some(({ id }) => id === conditionId)) return null
  const screening = screen({ protocol, conditionId, side, facts, policy: policy.screening })
  const plan = buildPlan({ protocol, screening, side, policy: policy.visit })
  return {
    disposition: screening.disposition,
    coverage: screening.coverage.weighted,
    open: screening.stations.filter(({ can }) => can === 'yes').map(({ stationId }) => stationId),
    visitMin: plan.steps.length > 0 ? plan.visitMin : null,
    seeBy: screening.seeBy,
  }
}

/** What both versions say of a case, and whether that differs. */
export function effectOn(one: PastCase, before: Protocol, after: Protocol, policy: EffectPolicy): CaseEffect {
  const [was, is] = [sayOf(one, before, policy), sayOf(one, after, policy)]
  const opened = (is?.open ?? []).filter((id) => !was?.open.includes(id))
  const closed = (was?.open ?? []).filter((id) => !is?.open.includes(id))
  const isSo: Record<Difference, boolean> = {
    disposition: was?.disposition !== is?.disposition,
    see_by: isOtherTime(was, is),
    stations: opened.length + closed.length > 0,
    extent: was?.coverage !== is?.coverage || was?.visitMin !== is?.visitMin,
  }
  const differs = DIFFERENCES.find((difference) => isSo[difference]) ?? null
  return { id: one.id, before: was, after: is, opened, closed, differs, isLessUrgent: isLessUrgent(was, is) }
}

/** Counts over all cases. */
export function effectOf(effects: readonly CaseEffect[]): Effect {
  const both = effects.flatMap(({ before, after }) => (before && after ? [{ before, after }] : []))
  const planned = both.flatMap(({ before, after }) =>
    before.visitMin !== null && after.visitMin !== null ? [{ before: before.visitMin, after: after.visitMin }] : [],
  )
  const moved = Map.groupBy(
    effects.filter(({ before, after }) => before?.disposition !== after?.disposition),
    ({ before, after }) => `${before?.disposition} ${after?.disposition}`,
  )
  const counted = (difference: Difference) => effects.filter(({ differs }) => differs === difference).length
  const stationIds = [...new Set(effects.flatMap(({ opened, closed }) => [...opened, ...closed]))]
  const times = (lists: readonly (readonly string[])[], id: string) => lists.filter((list) => list.includes(id)).length
  return {
    cases: effects.length,
    changed: effects.filter(({ differs }) => differs !== null).length,
    differ: {
      disposition: counted('disposition'),
      see_by: counted('see_by'),
      stations: counted('stations'),
      extent: counted('extent'),
    },
    lessUrgent: effects.filter((one) => one.isLessUrgent).length,
    moves: [...moved.values()]
      .map((same) => ({
        from: same[0]?.before?.disposition ?? null,
        to: same[0]?.after?.disposition ?? null,
        count: same.length,
      }))
      .sort((a, b) => b.count - a.count || rank(a.from) - rank(b.from) || rank(a.to) - rank(b.to)),
    stations: stationIds
      .map((stationId) => ({
        stationId,
        opened: times(
          effects.map(({ opened }) => opened),
          stationId,
        ),
        closed: times(
          effects.map(({ closed }) => closed),
          stationId,
        ),
      }))
      .sort((a, b) => b.opened + b.closed - (a.opened + a.closed) || a.stationId.localeCompare(b.stationId)),
    coverage: means(
      both
        .map(({ before, after }) => ({ before: before.coverage, after: after.coverage }))
        .filter(({ before, after }) => before > 0 || after > 0),
    ),
    visitMin: means(planned),
  }
}

function isOtherTime(before: Said | null, after: Said | null): boolean {
  return before?.seeBy?.within !== after?.seeBy?.within || before?.seeBy?.unit !== after?.seeBy?.unit
}

const URGENT: readonly (Disposition | undefined)[] = ['emergency_advice', 'urgent_in_person']

function isLessUrgent(before: Said | null, after: Said | null): boolean {
  if (before === null) return false
  const isCalledLater =
    URGENT.includes(before.disposition) && rank(after?.disposition ?? null) > rank(before.disposition)
  const limit = before.seeBy
  const isSeenLater = limit !== null && isOtherTime(before, after) && tightest([after?.seeBy ?? null, limit]) === limit
  return isCalledLater || isSeenLater
}

function rank(disposition: Disposition | null): number {
  return disposition === null ? DISPOSITIONS.length : DISPOSITIONS.indexOf(disposition)
}

function means(pairs: readonly { before: number; after: number }[]): { before: number; after: number } | null {
  if (pairs.length === 0) return null
  const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length
  return { before: mean(pairs.map(({ before }) => before)), after: mean(pairs.map(({ after }) => after)) }
}
