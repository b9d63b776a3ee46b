/**
 * Can this patient be examined by video, and if not, where and by when?
 *
 * Brings together what the other files of this folder decide: each station's best
 * way or what closes it, the disposition with its rule, the least questions left
 * and what the household could change. A missing answer never clears anything.
 */
import type { PlainNeed } from '../protocol/expand.ts'
import type { Facts } from '../protocol/need.ts'
import type { Protocol, SeeBy, Side } from '../protocol/schema.ts'
import { type CaseAtHand, type CaseStation, caseAtHand, coverageOf, judgeStation } from './case-at-hand.ts'
import { decideDisposition, type ScreeningPolicy, type Verdict } from './disposition.ts'
import { answered, cubes, factSets, truthOf, unanswered } from './evaluate.ts'
import { leastQuestions, type OpenThing } from './least-questions.ts'
import { findOpeners } from './openers.ts'
import type { RaisedFlag, Screening, StationScreening, Truth } from './screening.ts'

export type { ScreeningPolicy } from './disposition.ts'

/** One case as it is screened. */
export type ScreenInput = {
  protocol: Protocol
  conditionId: string
  side: Side
  facts: Facts
  policy: ScreeningPolicy
}

/** Screens one case: same input, same answer, whoever asks and whenever. */
export function screen({ protocol, conditionId, side, facts, policy }: ScreenInput): Screening {
  const subject = caseAtHand(protocol, conditionId)
  const flags = subject.flags.map(({ flag, when }) => ({ flag, when, truth: truthOf(when, facts) }))
  const homeRules = subject.homeRules.map(({ rule, when }) => ({ rule, when, truth: truthOf(when, facts) }))
  const stations = subject.stations.map((station) => screenStation(station, facts))
  const verdict = decideDisposition({ condition: subject.condition, flags, homeRules, stations, policy })
  const raised = flags
    .filter(({ truth }) => truth === 'yes')
    .map(({ flag }): RaisedFlag => ({ flagId: flag.id, level: flag.level, seeBy: flag.seeBy ?? null }))

  return {
    protocolId: protocol.id,
    protocolVersion: protocol.version,
    conditionId,
    side,
    facts,
    ...verdict,
    seeBy: tightest([...raised.map(({ seeBy }) => seeBy), subject.condition.inPerson?.seeBy ?? null]),
    earlyLook: mayLookEarly(subject, verdict, flags, homeRules, stations, policy),
    raised,
    homeRules: homeRules.filter(({ truth }) => truth === 'yes').map(({ rule }) => rule.id),
    stations,
    coverage: coverageOf(stations, protocol.weights),
    ask: questionsLeft(subject, verdict, facts, stations),
    openers: findOpeners(subject, facts, policy),
  }
}

function screenStation(station: CaseStation, facts: Facts): StationScreening {
  const { can, way } = judgeStation(station, facts)
  return {
    stationId: station.station.id,
    importance: station.importance,
    can,
    way: way === null ? null : { id: way.id, value: way.value, helper: way.helper },
    closedBy: can === 'no' ? whatCloses(station, facts) : [],
    unknown: can === 'not_known' ? wouldDecide(station, facts) : [],
  }
}

function whatCloses(station: CaseStation, facts: Facts): StationScreening['closedBy'] {
  if (station.forbidden) return [{ kind: 'forbidden', facts: [] }]
  const closes = (need: PlainNeed) => factSets(cubes(need, false, answered(facts)))
  const setUps = closes({ any: station.ways.map(({ setUp }) => setUp) })
  const ways = closes({ any: station.ways.map(({ needs }) => needs) })
  return [
    ...closes(station.safety).map((set) => ({ kind: 'safety' as const, facts: set })),
    ...setUps.map((set) => ({ kind: 'set_up' as const, facts: set })),
    ...ways
      .filter((set) => !setUps.some((told) => told.join() === set.join()))
      .map((set) => ({ kind: 'way' as const, facts: set })),
  ]
}

/** Every unanswered fact of the smallest groups that could decide a station, either way. */
function wouldDecide(station: CaseStation, facts: Facts): string[] {
  const open = unanswered(facts)
  const sets = factSets([...cubes(station.whole, true, open), ...cubes(station.whole, false, open)])
  return [...new Set(sets.flat())].sort()
}

/** What is left to ask: first what could make it unsafe, then what could open a station. */
function questionsLeft(
  subject: CaseAtHand,
  verdict: Verdict,
  facts: Facts,
  stations: readonly StationScreening[],
): string[] {
  if (verdict.disposition === 'emergency_advice') return []
  const open = unanswered(facts)
  const things: OpenThing[] = []
  const add = (weight: number, truth: Truth, groups: () => string[][]) => {
    if (truth === 'not_known') things.push({ weight, groups: groups() })
  }
  for (const { when } of subject.flags) add(1000, truthOf(when, facts), () => factSets(cubes(when, false, open)))
  const visitIsOpen = verdict.disposition !== 'urgent_in_person' && verdict.disposition !== 'in_person'
  if (visitIsOpen) {
    for (const { when } of subject.homeRules) add(100, truthOf(when, facts), () => factSets(cubes(when, false, open)))
    subject.stations.forEach(({ importance, whole }, index) => {
      if (importance === 'optional') return
      add(importance === 'essential' ? 10 : 1, stations[index]?.can ?? 'no', () => factSets(cubes(whole, true, open)))
    })
  }
  return leastQuestions(
    things,
    subject.protocol.facts.map(({ id }) => id),
  )
}

type Judged = readonly { truth: Truth }[]

/** A look before the in-person start: only when nothing else is raised, unsafe, missing or impossible. */
function mayLookEarly(
  subject: CaseAtHand,
  verdict: Verdict,
  flags: readonly { flag: { earlyLookWith?: string[] | undefined }; truth: Truth }[],
  homeRules: Judged,
  stations: readonly StationScreening[],
  policy: ScreeningPolicy,
): boolean {
  const { condition } = subject
  if (!policy.earlyLookAllowed || !condition.earlyLook || verdict.disposition !== 'urgent_in_person') return false
  if (condition.inPerson === undefined) return false
  return (
    flags.every(
      ({ flag, truth }) => truth === 'no' || (truth === 'yes' && flag.earlyLookWith?.includes(condition.id)),
    ) &&
    homeRules.every(({ truth }) => truth === 'no') &&
    stations.every(({ importance, can }) => importance !== 'essential' || can === 'yes')
  )
}

const HOURS = { hours: 1, days: 24, working_days: (24 * 7) / 5 } as const

/**
 * The tightest of several time limits. A working day counts as 7/5 of a day here;
 * whoever turns limits into instants takes the earliest of all of them.
 */
export function tightest(limits: readonly (SeeBy | null)[]): SeeBy | null {
  let best: SeeBy | null = null
  for (const limit of limits)
    if (limit !== null && (best === null || limit.within * HOURS[limit.unit] < best.within * HOURS[best.unit]))
      best = limit
  return best
}
