/**
 * What does this patient need for exactly this visit? Built from the exam plan and the patient's own answers, nothing
 * generic: a thing that no planned station uses isn't fetched, and a station that screening has not surely opened is
 * never shown, whatever the plan says. The document stands on its own, so what a patient was once told can be read again.
 */
import { z } from 'zod'
import { invariant } from '#lib/base/invariant.ts'
import { Temporal } from '#lib/base/time.ts'
import { geometriesOf, type SetUpGeometry, setUpGeometrySchema } from '../geometry/set-up-geometry.ts'
import type { ExamPlan, PlanStep } from '../plan/exam-plan.ts'
import { expand } from '../protocol/expand.ts'
import { type Answers, type Facts, UNITS } from '../protocol/need.ts'
import { POSITIONS, type Protocol, type RedFlag, SIDES, type Text, textSchema } from '../protocol/schema.ts'
import { cubes, type Literal, unanswered } from '../screening/evaluate.ts'
import type { Screening, StationScreening } from '../screening/screening.ts'

const instant = z.iso.datetime()
const minute = z.number().int().nonnegative()

const signSchema = z.strictObject({
  ask: textSchema,
  answer: z.union([z.enum(['yes', 'no']), z.strictObject({ atLeast: z.number(), unit: z.enum(UNITS) })]),
})
/** Signs that mean "do not wait for the visit" when all of them are there at once. */
export type Sign = z.output<typeof signSchema>

const stationSchema = z.strictObject({
  stationId: z.string(),
  wayId: z.string(),
  title: textSchema,
  /** In the order in which they are done. */
  sides: z.array(z.enum(SIDES)).min(1),
  minutes: z.number().positive(),
  atMin: minute,
  helper: z.boolean(),
  instructions: textSchema,
  helperInstructions: textSchema.nullable(),
})

export const packetSchema = z.strictObject({
  schemaVersion: z.literal(1),
  protocol: z.strictObject({
    id: z.string(),
    version: z.number().int(),
    /** Names the body part in words: "left foot". */
    region: z.string(),
    demonstration: z.boolean(),
  }),
  side: z.enum(SIDES),
  visit: z.strictObject({
    startsAt: instant,
    endsAt: instant,
    /** Zone in which the patient reads every time of the packet. */
    timeZone: z.string(),
    clinicianName: z.string(),
    hasInterpreter: z.boolean(),
  }),
  clinic: z.strictObject({
    name: z.string(),
    phone: z.string(),
    emergencyNumber: z.string(),
    timeZone: z.string(),
    /** Where patients go for the video call; null = the clinic calls them. */
    joinAddress: z.url().nullable(),
  }),
  /** What to have within reach; `instead` = the stand-ins that the patient has, where they lack the thing itself. */
  fetch: z.array(z.strictObject({ equipmentId: z.string(), title: textSchema, instead: z.array(textSchema) })),
  helper: z.strictObject({ from: instant, to: instant }).nullable(),
  setUps: z.array(
    z.strictObject({
      setUpId: z.string(),
      title: textSchema,
      position: z.enum(POSITIONS),
      instructions: textSchema,
      orientation: z.enum(['portrait', 'landscape']),
      handheld: z.boolean(),
      from: instant,
      /** What the drawings are drawn from; packets written before there were any have none. */
      geometry: setUpGeometrySchema.optional(),
      stations: z.array(stationSchema).min(1),
    }),
  ),
  cannot: z.array(
    z.strictObject({
      stationId: z.string(),
      title: textSchema,
      because: z.enum(['unsafe', 'not_at_home', 'missing', 'not_known']),
      /** Said where the protocol has words for it. */
      reason: textSchema.nullable(),
    }),
  ),
  /** Positions and hands that the planned stations ask for, each with its own safety note. */
  safety: z.array(z.enum(['standing', 'helper_holds', 'handheld_camera'])),
  dontWait: z.strictObject({
    emergency: z.array(z.array(signSchema).min(1)),
    clinic: z.array(z.array(signSchema).min(1)),
  }),
})
export type Packet = z.output<typeof packetSchema>

export type PacketInput = {
  protocol: Protocol
  plan: ExamPlan
  screening: Screening
  answers: Answers
  visit: {
    startsAt: Temporal.Instant
    endsAt: Temporal.Instant
    timeZone: string
    clinicianName: string
    hasInterpreter: boolean
  }
  clinic: Packet['clinic']
}

/** The packet of one video visit. */
export function buildPacket({ protocol, plan, screening, answers, visit, clinic }: PacketInput): Packet {
  const open = new Map(screening.stations.filter(({ can }) => can === 'yes').map((each) => [each.stationId, each]))
  const steps = plan.steps.filter((step) => open.get(step.stationId)?.way?.id === step.wayId)
  const at = (min: number): string => visit.startsAt.add({ minutes: min }).toString()
  const hasHelper = steps.some(({ helper }) => helper)
  const geometries = geometriesOf(
    protocol,
    steps.map(({ setUpId }) => setUpId),
    { facts: screening.facts, side: screening.side },
  )
  const setUps = groupBySetUp(steps).map((group) => setUpOf(group, protocol, geometries, at))
  return {
    schemaVersion: 1,
    protocol: {
      id: protocol.id,
      version: protocol.version,
      region: protocol.region,
      demonstration: protocol.demonstration,
    },
    side: screening.side,
    visit: { ...visit, startsAt: visit.startsAt.toString(), endsAt: visit.endsAt.toString() },
    clinic,
    fetch: thingsToFetch(steps, protocol, answers),
    helper:
      hasHelper && plan.helperWindow ? { from: at(plan.helperWindow.fromMin), to: at(plan.helperWindow.toMin) } : null,
    setUps,
    cannot: screening.stations.filter(({ can }) => can !== 'yes').map((screened) => cannotDo(screened, protocol)),
    safety: [
      ...(setUps.some(({ position }) => position === 'standing') ? (['standing'] as const) : []),
      ...(hasHelper ? (['helper_holds'] as const) : []),
      ...(setUps.some(({ handheld }) => handheld) ? (['handheld_camera'] as const) : []),
    ],
    dontWait: {
      emergency: signsOf(protocol, screening.facts, ['emergency']),
      clinic: signsOf(protocol, screening.facts, ['same_day', 'urgent']),
    },
  }
}

/** Consecutive steps that share a set-up: the phone is put up once for all of them. */
function groupBySetUp(steps: readonly PlanStep[]): PlanStep[][] {
  const groups: PlanStep[][] = []
  for (const step of steps) {
    const last = groups.at(-1)
    if (last?.[0]?.setUpId === step.setUpId) last.push(step)
    else groups.push([step])
  }
  return groups
}

function setUpOf(
  steps: readonly PlanStep[],
  protocol: Protocol,
  geometries: readonly SetUpGeometry[],
  at: (min: number) => string,
): Packet['setUps'][number] {
  const first = steps[0]
  invariant(first, 'a group of steps has a first one')
  const setUp = protocol.setUps.find(({ id }) => id === first.setUpId)
  const geometry = geometries.find(({ setUpId }) => setUpId === first.setUpId)
  invariant(setUp && geometry, `the plan's protocol has the set-up "${first.setUpId}"`)
  return {
    setUpId: setUp.id,
    title: setUp.title,
    position: setUp.position,
    instructions: setUp.instructions,
    // As it is drawn: a line too short for the phone as the protocol asks for it may do with the phone turned.
    orientation: geometry.camera.orientation,
    handheld: setUp.camera.handheld,
    from: at(first.atMin),
    geometry,
    stations: steps.map((step) => {
      const { station, way } = findWay(protocol, step)
      return {
        stationId: station.id,
        wayId: way.id,
        title: station.plain,
        sides: step.sides,
        minutes: step.minutes,
        atMin: step.atMin,
        helper: step.helper,
        instructions: way.instructions,
        helperInstructions: step.helper ? (way.helperInstructions ?? null) : null,
      }
    }),
  }
}

function findWay(protocol: Protocol, { stationId, wayId }: PlanStep) {
  const station = protocol.stations.find(({ id }) => id === stationId)
  const way = station?.ways.find(({ id }) => id === wayId)
  invariant(station && way, `the plan's protocol has the way "${wayId}" of "${stationId}"`)
  return { station, way }
}

function thingsToFetch(steps: readonly PlanStep[], protocol: Protocol, answers: Answers): Packet['fetch'] {
  const ids = new Set(steps.flatMap((step) => findWay(protocol, step).way.fetch))
  return protocol.equipment
    .filter(({ id }) => ids.has(id))
    .map(({ id, title, anyOf: [itself, ...standIns] }) => ({
      equipmentId: id,
      title,
      instead:
        itself && answers[itself.fact] === true
          ? []
          : standIns.filter(({ fact }) => answers[fact] === true).map((thing) => thing.title),
    }))
}

function cannotDo(screened: StationScreening, protocol: Protocol): Packet['cannot'][number] {
  const station = protocol.stations.find(({ id }) => id === screened.stationId)
  invariant(station, `the screening's protocol has the station "${screened.stationId}"`)
  const named = { stationId: station.id, title: station.plain }
  if (screened.can === 'not_known') return { ...named, because: 'not_known', reason: null }
  // The graver reason is the one that is told: what is unsafe isn't mended by fetching something.
  const kinds = screened.closedBy.map(({ kind }) => kind)
  if (kinds.includes('forbidden')) return { ...named, because: 'not_at_home', reason: null }
  if (kinds.includes('safety')) return { ...named, because: 'unsafe', reason: station.unsafeBecause }
  return { ...named, because: 'missing', reason: null }
}

/**
 * The protocol's own red flags, in the words in which the patient was asked about them. A sign that only staff can see is
 * left out unless the referral already says that it is there; a flag then asks for the rest of it alone.
 */
function signsOf(protocol: Protocol, facts: Facts, levels: readonly RedFlag['level'][]): Sign[][] {
  const byId = new Map(protocol.facts.map((fact) => [fact.id, fact]))
  const isAsked = (id: string) => byId.get(id)?.askedOf === 'patient'
  const given = Object.fromEntries(Object.entries(facts).filter(([id]) => !isAsked(id)))
  const seen = new Set<string>()
  return protocol.redFlags
    .filter(({ level }) => levels.includes(level))
    .flatMap((flag) => cubes(expand(flag.when, protocol), true, unanswered(given)))
    .filter((cube) => cube.size > 0 && [...cube.keys()].every(isAsked))
    .flatMap((cube) => {
      const key = JSON.stringify([...cube].sort())
      if (seen.has(key)) return []
      seen.add(key)
      return [[...cube].flatMap(([id, literal]) => signOf(byId.get(id), literal))]
    })
    .filter((signs) => signs.length > 0)
}

function signOf(fact: Protocol['facts'][number] | undefined, literal: Literal): Sign[] {
  invariant(fact, 'a red flag reads facts of its protocol')
  if ('is' in literal) return [{ ask: fact.ask, answer: literal.is ? 'yes' : 'no' }]
  // "Less than" is never a sign in a flag that speaks of a number the patient measures.
  if (!Number.isFinite(literal.from) || fact.unit === undefined) return []
  return [{ ask: fact.ask, answer: { atLeast: literal.from, unit: fact.unit } }]
}

const CODES = [
  'time',
  'length',
  'clinician',
  'helper_no_longer',
  'helper_needed',
  'helper_time',
  'order',
  'joining',
  'details',
] as const

/** What is different for the patient, as codes for the catalogue. */
export type PacketChange =
  | { code: (typeof CODES)[number] }
  | { code: 'fetch_too' | 'fetch_no_longer'; title: Text }
  | { code: 'station_too' | 'station_no_longer' | 'station_otherwise'; title: Text }

export const packetChangesSchema: z.ZodType<PacketChange[]> = z.array(
  z.union([
    z.strictObject({ code: z.enum(CODES) }),
    z.strictObject({ code: z.enum(['fetch_too', 'fetch_no_longer']), title: textSchema }),
    z.strictObject({ code: z.enum(['station_too', 'station_no_longer', 'station_otherwise']), title: textSchema }),
  ]),
)

/** What changed between two packets of a visit, most important first; nothing = the patient need not read it again. */
export function packetChanges(before: Packet, after: Packet): PacketChange[] {
  const changes: PacketChange[] = []
  const was = timesOf(before)
  const is = timesOf(after)
  if (was.startsAt !== is.startsAt) changes.push({ code: 'time' })
  if (was.lengthMin !== is.lengthMin) changes.push({ code: 'length' })
  if (before.visit.clinicianName !== after.visit.clinicianName) changes.push({ code: 'clinician' })
  if (before.helper && !after.helper) changes.push({ code: 'helper_no_longer' })
  else if (!before.helper && after.helper) changes.push({ code: 'helper_needed' })
  else if (was.helper !== is.helper) changes.push({ code: 'helper_time' })
  if (before.clinic.joinAddress !== after.clinic.joinAddress) changes.push({ code: 'joining' })

  const fetchKey = ({ equipmentId }: Packet['fetch'][number]) => equipmentId
  changes.push(
    ...missingIn(before.fetch, after.fetch, fetchKey).map(({ title }) => ({ code: 'fetch_too', title }) as const),
  )
  changes.push(
    ...missingIn(after.fetch, before.fetch, fetchKey).map(({ title }) => ({ code: 'fetch_no_longer', title }) as const),
  )

  const [old, now] = [stationsOf(before), stationsOf(after)]
  const stationKey = ({ stationId }: { stationId: string }) => stationId
  changes.push(...missingIn(old, now, stationKey).map(({ title }) => ({ code: 'station_too', title }) as const))
  changes.push(...missingIn(now, old, stationKey).map(({ title }) => ({ code: 'station_no_longer', title }) as const))
  const kept = now.filter((station) => old.some(({ stationId }) => stationId === station.stationId))
  for (const station of kept) {
    const earlier = old.find(({ stationId }) => stationId === station.stationId)
    const isAsBefore = earlier?.wayId === station.wayId && earlier.sides.join() === station.sides.join()
    if (!isAsBefore) changes.push({ code: 'station_otherwise', title: station.title })
  }
  const order = (list: readonly { stationId: string }[]) =>
    list
      .map(stationKey)
      .filter((id) => kept.some(({ stationId }) => stationId === id))
      .join()
  if (order(old) !== order(now)) changes.push({ code: 'order' })
  if (changes.length === 0 && !isSame(...comparable(before, after))) changes.push({ code: 'details' })
  return changes
}

/** A drawing that an earlier packet did not have yet is no news to the patient. */
function comparable(before: Packet, after: Packet): [Packet, Packet] {
  const areBothDrawn = [before, after].every(({ setUps }) => setUps.every(({ geometry }) => geometry !== undefined))
  if (areBothDrawn) return [before, after]
  const undrawn = (packet: Packet): Packet => ({
    ...packet,
    setUps: packet.setUps.map(({ geometry: _, ...setUp }) => setUp),
  })
  return [undrawn(before), undrawn(after)]
}

/** By value: one of the two comes out of the database, which keeps no order of keys. */
function isSame(one: unknown, other: unknown): boolean {
  if (typeof one !== 'object' || typeof other !== 'object' || one === null || other === null) return one === other
  const [a, b] = [Object.entries(one), new Map(Object.entries(other))]
  return a.length === b.size && a.every(([key, value]) => b.has(key) && isSame(value, b.get(key)))
}

function timesOf({ visit, helper }: Packet) {
  const since = (text: string) =>
    Temporal.Instant.from(text).since(Temporal.Instant.from(visit.startsAt)).total('minutes')
  return {
    startsAt: visit.startsAt,
    lengthMin: since(visit.endsAt),
    // Seen from the start: a moved visit moves its helper too, and says so once.
    helper: helper && `${since(helper.from)} ${since(helper.to)}`,
  }
}

function stationsOf({ setUps }: Packet) {
  return setUps.flatMap(({ stations }) => stations)
}

function missingIn<T>(had: readonly T[], has: readonly T[], key: (item: T) => string): T[] {
  const known = new Set(had.map(key))
  return has.filter((item) => !known.has(key(item)))
}
