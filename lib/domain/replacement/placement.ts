/**
 * A session is lost, and all of its visits look for another start at the same time. Which visit goes where, so that the
 * harm is least?
 *
 * Harm has an order, and nothing below makes up for anything above it: a visit that is not seen in time, a visit without
 * any start, another clinician, days moved, minutes away from the time of day it had. The best placement is the one
 * whose sums are least, read in that order.
 */
import type { Start } from '../calendar/demand.ts'
import type { ProgramAnswer, Row, WholeProgram } from './program.ts'

/** What one move costs the patient, gravest first. All whole numbers. */
export const LEVELS = ['missed', 'unplaced', 'otherClinician', 'days', 'minutes'] as const
export type Level = (typeof LEVELS)[number]
export type MoveCost = Readonly<Record<Level, number>>

/** A start as it was found: who and what it takes, and from when to when. */
export type FoundStart = Omit<Start, 'rank' | 'why'>
export type Option = { start: FoundStart; cost: MoveCost }

/** A visit that has to move, with every start it could have. */
export type VisitToPlace = {
  visitId: string
  patientId: string
  options: readonly Option[]
  /** What it costs to leave it without a start. */
  unplaced: MoveCost
}

/** One option a visit, in the order of the visits; null = none. */
export type Placement = readonly (Option | null)[]

/** Time of somebody or something that an option takes. */
type Taken = { key: string; start: number; end: number }

/** Everything an option takes. A clinician's time has its buffers in it. */
export function takenBy({ patientId }: Pick<VisitToPlace, 'patientId'>, { start: s }: Option): Taken[] {
  const visit = { start: s.start, end: s.end }
  return [
    { key: `clinician ${s.clinicianId}`, start: s.busyFrom, end: s.busyTo },
    { key: `patient ${patientId}`, ...visit },
    ...(s.roomId === null ? [] : [{ key: `room ${s.roomId}`, ...visit }]),
    ...(s.interpreterId === null ? [] : [{ key: `interpreter ${s.interpreterId}`, ...visit }]),
  ]
}

/** Whether two options of different visits can't both be had. */
export function collide(a: readonly Taken[], b: readonly Taken[]): boolean {
  return a.some((x) => b.some((y) => x.key === y.key && x.start < y.end && y.start < x.end))
}

/** The sums of a placement. */
export function totalCost(visits: readonly VisitToPlace[], placement: Placement): MoveCost {
  const costs = visits.map((visit, n) => placement[n]?.cost ?? visit.unplaced)
  const sum = (level: Level) => costs.reduce((all, cost) => all + cost[level], 0)
  return Object.fromEntries(LEVELS.map((level) => [level, sum(level)])) as MoveCost
}

/** Less harm first. */
export function compareCost(a: MoveCost, b: MoveCost): number {
  const level = LEVELS.find((each) => a[each] !== b[each])
  return level === undefined ? 0 : a[level] - b[level]
}

/** One choice of the program: a visit's option, or none. */
type Column = { visit: number; option: Option | null; cost: MoveCost }

/** The placement as a program: its columns, and the rows that keep two visits from the same time of anybody. */
export type PlacementProgram = {
  visits: readonly VisitToPlace[]
  columns: readonly Column[]
  rows: readonly Row[]
  /** Levels that are decided together, gravest first. */
  stages: readonly (readonly Level[])[]
  /** A placement to begin with. */
  startFrom: readonly number[]
}

/** Makes the program; `begin` is any placement that is possible. */
export function toProgram(visits: readonly VisitToPlace[], begin: Placement): PlacementProgram {
  const columns = visits.flatMap(({ options, unplaced }, visit): Column[] => [
    ...options.map((option) => ({ visit, option, cost: option.cost })),
    { visit, option: null, cost: unplaced },
  ])
  const byVisit = [...Map.groupBy(columns.keys(), (column) => (columns[column] as Column).visit).values()]
  const once = byVisit.map((own): Row => ({ columns: own, atLeast: 1, atMost: 1 }))
  const startFrom = [...columns.keys()].filter((n) => {
    const { visit, option } = columns[n] as Column
    return option === (begin[visit] ?? null)
  })
  return { visits, columns, rows: [...once, ...crowds(visits, columns)], stages: stagesOf(visits), startFrom }
}

/**
 * Of everything that takes somebody's time at one moment, one can be had. A row for each moment at which the most meet is
 * enough, and says more than a row for each pair: of a hundred starts around ten o'clock a solver sees at once that one
 * is the limit.
 */
function crowds(visits: readonly VisitToPlace[], columns: readonly Column[]): Row[] {
  const takers = columns.flatMap(({ visit, option }, column) =>
    option === null ? [] : takenBy(visits[visit] as VisitToPlace, option).map((taken) => ({ ...taken, column, visit })),
  )
  const rows: Row[] = []
  for (const ofOne of Map.groupBy(takers, ({ key }) => key).values()) {
    const byEnd = ofOne.toSorted((a, b) => a.end - b.end)
    const here = new Set<(typeof ofOne)[number]>()
    let hasGrown = false
    let over = 0
    const close = () => {
      const others = new Set([...here].map(({ visit }) => visit))
      if (hasGrown && others.size > 1)
        rows.push({ columns: [...here].map(({ column }) => column), atLeast: 0, atMost: 1 })
      hasGrown = false
    }
    for (const taker of ofOne.toSorted((a, b) => a.start - b.start)) {
      while ((byEnd[over]?.end ?? Number.POSITIVE_INFINITY) <= taker.start) {
        close()
        here.delete(byEnd[over] as (typeof ofOne)[number])
        over += 1
      }
      here.add(taker)
      hasGrown = true
    }
    close()
  }
  return rows
}

/** Sums up to here are told apart without doubt by a solver that counts in floating point. */
const SAFE_SUM = 1_000_000

/**
 * Levels are packed into one stage while their sums stay small: each weighs more than all that the ones after it can come
 * to. What is too large for that is decided in a stage of its own, with what was decided before as a limit.
 */
function stagesOf(visits: readonly VisitToPlace[]): Level[][] {
  const stages: Level[][] = []
  let room = 0
  for (const level of LEVELS) {
    const span = largestSum(visits, level) + 1
    if (span <= room) stages.at(-1)?.push(level)
    else stages.push([level])
    room = (span <= room ? room : SAFE_SUM) / span
  }
  return stages
}

function largestSum(visits: readonly VisitToPlace[], level: Level): number {
  const largest = ({ options, unplaced }: VisitToPlace) =>
    options.reduce((most, { cost }) => Math.max(most, cost[level]), unplaced[level])
  return visits.reduce((sum, visit) => sum + largest(visit), 0)
}

/** What each column costs in a stage. */
function costsIn({ visits, columns }: PlacementProgram, stage: readonly Level[]): number[] {
  const weights = new Map<Level, number>()
  let weight = 1
  for (const level of stage.toReversed()) {
    weights.set(level, weight)
    weight *= largestSum(visits, level) + 1
  }
  return columns.map(({ cost }) => stage.reduce((sum, level) => sum + cost[level] * (weights.get(level) ?? 0), 0))
}

/** The next stage to solve, given the answers of those before it; null when all are decided. */
export function nextStage(program: PlacementProgram, answers: readonly ProgramAnswer[]): WholeProgram | null {
  const stage = program.stages[answers.length]
  if (!stage) return null
  const kept = answers.map(({ taken }, n): Row => {
    const costs = costsIn(program, program.stages[n] ?? [])
    const columns = [...costs.keys()].filter((column) => costs[column] !== 0)
    return {
      columns,
      weights: columns.map((column) => costs[column] ?? 0),
      atLeast: 0,
      atMost: taken.reduce((sum, column) => sum + (costs[column] ?? 0), 0),
    }
  })
  return {
    costs: costsIn(program, stage),
    rows: [...program.rows, ...kept],
    startFrom: answers.at(-1)?.taken ?? program.startFrom,
  }
}

/** Reads an answer back. */
export function placementOf({ visits, columns }: PlacementProgram, { taken }: ProgramAnswer): Placement {
  const options = new Map(taken.map((column) => [columns[column]?.visit, columns[column]?.option]))
  return visits.map((_, visit) => options.get(visit) ?? null)
}
