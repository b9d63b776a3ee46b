/**
 * What exactly happens in the visit, minute by minute?
 *
 * Takes the stations that screening found possible, each in its best way, puts
 * them in the best order and adds the clinic's minutes for history and talk. The
 * helper's window comes out of it, so that nobody waits beside a patient all day.
 */
import { invariant } from '#lib/base/invariant.ts'
import type { Protocol, Side, Station } from '../protocol/schema.ts'
import { setUpOf } from '../protocol/set-up-of.ts'
import type { Screening } from '../screening/screening.ts'
import type { ExamPlan, PlanStep } from './exam-plan.ts'
import { orderCost, orderSteps, transitionSec } from './order-steps.ts'

/** Minutes that the clinic adds, and the grain that visits are booked in. */
export type PlanPolicy = { historyMin: number; talkMin: number; grainMin: number }

export type BuildPlanInput = { protocol: Protocol; screening: Screening; side: Side; policy: PlanPolicy }

/** The exam plan of one screened case. */
export function buildPlan({ protocol, screening, side, policy }: BuildPlanInput): ExamPlan {
  const chosen = chosenStations(protocol, screening)
  const order = orderSteps(
    chosen.map(({ toPlace }) => toPlace),
    protocol.precedence,
    protocol.costs,
  )
  const byId = new Map(chosen.map((each) => [each.station.id, each]))

  const steps: PlanStep[] = []
  let clockSec = policy.historyMin * 60
  let helperFromSec: number | null = null
  let helperToSec = 0
  order.forEach((toPlace, index) => {
    const found = byId.get(toPlace.id)
    invariant(found, 'every placed step was chosen')
    const { station, way, setUp } = found
    const sides = sidesOf(station, side)
    const minutes = station.minutes * (station.sides === 'together' ? 1 : sides.length)
    const transition = transitionSec(order[index - 1] ?? null, toPlace, protocol.costs)
    // The helper is on the way in while the step is being set up.
    if (toPlace.helper) helperFromSec ??= clockSec
    clockSec += transition
    steps.push({
      stationId: station.id,
      wayId: way.id,
      setUpId: setUp.id,
      sides,
      helper: toPlace.helper,
      minutes,
      transitionSec: transition,
      atMin: Math.floor(clockSec / 60),
    })
    clockSec += minutes * 60
    if (toPlace.helper) helperToSec = clockSec
  })

  const { helperCalls, transitionSec: totalTransitionSec } = orderCost(order, protocol.costs)
  const examMin = Math.ceil(roundSec(clockSec - policy.historyMin * 60) / 60)
  const visitMin = Math.ceil((policy.historyMin + examMin + policy.talkMin) / policy.grainMin) * policy.grainMin
  return {
    steps,
    helperCalls,
    transitionSec: totalTransitionSec,
    examMin,
    visitMin,
    helperWindow:
      helperFromSec === null
        ? null
        : { fromMin: Math.floor(helperFromSec / 60), toMin: Math.ceil(roundSec(helperToSec) / 60) },
  }
}

/** Sides in the order they are done: the other side first, so that the sore one is compared with it. */
export function sidesOf(station: Station, side: Side): Side[] {
  switch (station.sides) {
    case 'together':
      return ['both']
    case 'affected':
      return side === 'both' ? ['left', 'right'] : [side]
    case 'compare':
      return side === 'left' ? ['right', 'left'] : ['left', 'right']
  }
}

function chosenStations(protocol: Protocol, screening: Screening) {
  const screenedOf = new Map(screening.stations.map((station) => [station.stationId, station]))
  return protocol.stations.flatMap((station) => {
    const screened = screenedOf.get(station.id)
    if (screened === undefined || screened.can !== 'yes' || screened.way === null) return []
    const way = station.ways.find(({ id }) => id === screened.way?.id)
    invariant(way, 'a screening names a way of its own protocol')
    const setUp = setUpOf(protocol, station, way)
    const toPlace = { id: station.id, placement: setUp.camera.placement, position: setUp.position, helper: way.helper }
    return [{ station, way, setUp, toPlace }]
  })
}

/** Sums of fractional minutes carry binary dust that must not cost a whole minute. */
function roundSec(sec: number): number {
  return Math.round(sec * 1000) / 1000
}
