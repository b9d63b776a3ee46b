import { isDeepStrictEqual } from 'node:util'
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { Temporal } from '#lib/base/time.ts'
import {
  buildPacket,
  type Packet,
  packetChanges,
  packetChangesSchema,
  packetSchema,
} from '#lib/domain/packet/packet.ts'
import { buildPlan } from '#lib/domain/plan/build-plan.ts'
import type { ExamPlan } from '#lib/domain/plan/exam-plan.ts'
import { DEFAULT_POLICY } from '#lib/domain/policy/clinic-policy.ts'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import { type Answers, knownFacts } from '#lib/domain/protocol/need.ts'
import { SIDES, type Side } from '#lib/domain/protocol/schema.ts'
import { screen } from '#lib/domain/screening/screen.ts'
import type { Screening } from '#lib/domain/screening/screening.ts'
import { goodHome } from '#tests/support/clinic.ts'

/** Tuesday 10 March 2026, 9:00 in New York (EDT). */
const startsAt = Temporal.Instant.from('2026-03-10T13:00:00Z')

type Case = { answers?: Answers; conditionId?: string; side?: Side; startsAt?: Temporal.Instant; joinAddress?: string }

function screened({ answers = goodHome(), conditionId = 'flat_foot', side = 'left' }: Case): Screening {
  return screen({
    protocol: footAndAnkle,
    conditionId,
    side,
    facts: knownFacts(answers),
    policy: DEFAULT_POLICY.screening,
  })
}

function planned(screening: Screening): ExamPlan {
  return buildPlan({ protocol: footAndAnkle, screening, side: screening.side, policy: DEFAULT_POLICY.visit })
}

function packetFor(about: Case = {}, plan?: ExamPlan): { packet: Packet; plan: ExamPlan; screening: Screening } {
  const screening = screened(about)
  const used = plan ?? planned(screening)
  const start = about.startsAt ?? startsAt
  const packet = buildPacket({
    protocol: footAndAnkle,
    plan: used,
    screening,
    answers: about.answers ?? goodHome(),
    visit: {
      startsAt: start,
      endsAt: start.add({ minutes: used.visitMin }),
      timeZone: 'America/New_York',
      clinicianName: 'Alex Ames',
      hasInterpreter: false,
    },
    clinic: {
      name: 'Hudson Foot and Ankle',
      phone: '(555) 555-0100',
      emergencyNumber: '911',
      timeZone: 'America/New_York',
      joinAddress: about.joinAddress ?? null,
    },
  })
  return { packet, plan: used, screening }
}

const stationsOf = ({ setUps }: Packet) => setUps.flatMap(({ stations }) => stations)

/**
 * Any home at all: each question answered yes, no, not sure or not at all, numbers anywhere in
 * their range. Most answers are those of a
 * home where everything is there, or hardly any station would ever open.
 */
const anyAnswers: fc.Arbitrary<Answers> = fc
  .tuple(
    ...footAndAnkle.facts.map(({ kind, min = 0, max = 0 }) =>
      fc.oneof(
        { weight: 8, arbitrary: fc.constant('as at a good home' as const) },
        {
          weight: 1,
          arbitrary:
            kind === 'yes_no'
              ? fc.constantFrom<boolean | 'not_sure' | undefined>(true, false, 'not_sure', undefined)
              : fc.constantFrom<number | 'not_sure' | undefined>(min, (3 * min + max) / 4, max, 'not_sure', undefined),
        },
      ),
    ),
  )
  .map((values) => {
    const good: Answers = goodHome()
    return Object.fromEntries(
      footAndAnkle.facts.flatMap(({ id }, index) => {
        const value = values[index] === 'as at a good home' ? good[id] : values[index]
        return value === undefined ? [] : [[id, value]]
      }),
    )
  })
const anyCase = fc.record({
  answers: anyAnswers,
  conditionId: fc.constantFrom(...footAndAnkle.conditions.map(({ id }) => id)),
  side: fc.constantFrom(...SIDES),
})

// Safety guarantee: whatever reached the plan, a patient is never asked to do what screening did not surely open.
test('a station that is unsafe, closed or not known never appears, even when a plan names it', () => {
  const everything: ExamPlan = {
    steps: footAndAnkle.stations.flatMap((station) =>
      station.ways.map((way) => ({
        stationId: station.id,
        wayId: way.id,
        setUpId: station.setUp,
        sides: ['left'],
        helper: way.helper,
        minutes: 1,
        transitionSec: 0,
        atMin: 1,
      })),
    ),
    helperCalls: 1,
    transitionSec: 0,
    examMin: 60,
    visitMin: 75,
    helperWindow: { fromMin: 0, toMin: 60 },
  }
  fc.assert(
    fc.property(anyCase, (about) => {
      const { packet, screening } = packetFor(about, everything)
      const open = new Map(
        screening.stations.filter(({ can }) => can === 'yes').map((each) => [each.stationId, each.way?.id]),
      )
      for (const { stationId, wayId } of stationsOf(packet)) expect(open.get(stationId)).toBe(wayId)
      for (const { stationId } of packet.cannot) expect(open.has(stationId)).toBe(false)
    }),
    { seed: 20260310, numRuns: 300 },
  )
})

test('the packet shows exactly the plan: the same stations, ways and minutes, in the same order', () => {
  fc.assert(
    fc.property(anyCase, (about) => {
      const { packet, plan, screening } = packetFor(about)
      expect(
        stationsOf(packet).map(({ stationId, wayId, atMin, sides }) => ({ stationId, wayId, atMin, sides })),
      ).toEqual(plan.steps.map(({ stationId, wayId, atMin, sides }) => ({ stationId, wayId, atMin, sides })))
      // Each station of the condition is either done or explained.
      expect(stationsOf(packet).length + packet.cannot.length).toBe(screening.stations.length)
      expect(packetSchema.parse(JSON.parse(JSON.stringify(packet)))).toEqual(packet)
    }),
    { seed: 20260310, numRuns: 200 },
  )
})

test('only things that a planned station uses are fetched', () => {
  fc.assert(
    fc.property(anyCase, (about) => {
      const { packet, plan } = packetFor(about)
      const used = new Set(
        plan.steps.flatMap(
          ({ stationId, wayId }) =>
            footAndAnkle.stations.find(({ id }) => id === stationId)?.ways.find(({ id }) => id === wayId)?.fetch ?? [],
        ),
      )
      expect(new Set(packet.fetch.map(({ equipmentId }) => equipmentId))).toEqual(used)
      for (const { equipmentId, instead } of packet.fetch) {
        const equipment = footAndAnkle.equipment.find(({ id }) => id === equipmentId)
        const offered =
          equipment?.anyOf.filter(({ fact }) => about.answers[fact] === true).map(({ title }) => title) ?? []
        for (const thing of instead) expect(offered).toContainEqual(thing)
      }
    }),
    { seed: 20260310, numRuns: 200 },
  )
})

describe('the helper', () => {
  test('is asked for between the very minutes of the plan, as instants of that day', () => {
    const { packet, plan } = packetFor()
    const { fromMin, toMin } = plan.helperWindow ?? { fromMin: -1, toMin: -1 }
    expect(packet.helper).toEqual({
      from: startsAt.add({ minutes: fromMin }).toString(),
      to: startsAt.add({ minutes: toMin }).toString(),
    })
  })

  test('is not asked for when no station of the packet uses one', () => {
    fc.assert(
      fc.property(anyCase, (about) => {
        const { packet } = packetFor(about)
        expect(packet.helper !== null).toBe(stationsOf(packet).some(({ helper }) => helper))
        for (const { helper, helperInstructions } of stationsOf(packet))
          if (!helper) expect(helperInstructions).toBeNull()
      }),
      { seed: 20260310, numRuns: 200 },
    )
  })
})

describe('what cannot be done', () => {
  test('is explained by the graver reason: unsafe comes before not at hand', () => {
    const closed = packetFor({ answers: {} }).packet.cannot
    expect(new Set(closed.map(({ because }) => because))).toEqual(new Set(['not_known']))
    const alone = packetFor({ answers: { ...goodHome(), [footAndAnkle.helperFact ?? 'helper']: false } }).packet
    expect(alone.helper).toBeNull()
    for (const { because, reason } of alone.cannot) expect(reason !== null).toBe(because === 'unsafe')
  })
})

test('each set-up carries its own measures, for the line and the side that were told', () => {
  const { packet } = packetFor({ answers: { ...goodHome(), lane_m: 4.1 }, side: 'right' })
  expect(packet.setUps.length).toBeGreaterThan(1)
  for (const { setUpId, geometry, orientation, handheld } of packet.setUps)
    expect(geometry).toMatchObject({ setUpId, nearSide: 'right', camera: { orientation, handheld } })
  const walk = packet.setUps.find(({ stations }) => stations.some(({ stationId }) => stationId === 'walk'))
  expect(walk?.geometry?.lane).toMatchObject({ haveCm: 410, fits: 'yes' })
})

describe('when not to wait', () => {
  test('names every emergency sign that a patient can see, and none that only staff can', () => {
    const { dontWait } = packetFor().packet
    const asked = new Set(footAndAnkle.facts.filter(({ askedOf }) => askedOf === 'patient').map(({ ask }) => ask.en))
    const said = dontWait.emergency.flat().map(({ ask }) => ask.en)
    for (const ask of said) expect(asked).toContain(ask)
    // Each emergency flag that is one plain question is there by its question.
    for (const { level, when } of footAndAnkle.redFlags) {
      if (level !== 'emergency' || !('fact' in when)) continue
      expect(said).toContain(footAndAnkle.facts.find(({ id }) => id === when.fact)?.ask.en)
    }
  })

  test('is said the same whatever the patient answered about themselves', () => {
    const quiet = packetFor().packet.dontWait
    fc.assert(
      fc.property(anyAnswers, (answers) => {
        const patientSaid = Object.fromEntries(
          Object.entries(answers).filter(
            ([id]) => footAndAnkle.facts.find((fact) => fact.id === id)?.askedOf === 'patient',
          ),
        )
        const { dontWait } = packetFor({ answers: { ...goodHome(), ...patientSaid } }).packet
        expect(dontWait.emergency).toEqual(quiet.emergency)
      }),
      { seed: 20260310, numRuns: 50 },
    )
  })
})

describe('what changed', () => {
  const codes = (before: Case, after: Case) =>
    packetChanges(packetFor(before).packet, packetFor(after).packet).map(({ code }) => code)
  const noHelper = { answers: { ...goodHome(), [footAndAnkle.helperFact ?? 'helper']: false } }

  test('nothing, when nothing did', () => {
    expect(codes({}, {})).toEqual([])
  })

  test('a moved visit says so once, though every time of it moved', () => {
    expect(codes({}, { startsAt: startsAt.add({ hours: 48 }) })).toEqual(['time'])
  })

  test('a helper who drops out, and what is left out with them', () => {
    const changed = codes({}, noHelper)
    expect(changed).toContain('helper_no_longer')
    expect(changed).toContain('station_no_longer')
    expect(codes(noHelper, {})).toContain('helper_needed')
  })

  test('another way in', () => {
    expect(codes({}, { joinAddress: 'https://video.example.org/room' })).toEqual(['joining'])
  })

  const undrawn = (packet: Packet): Packet =>
    packetSchema.parse({ ...packet, setUps: packet.setUps.map(({ geometry: _, ...setUp }) => setUp) })

  test('a packet from before there were drawings still reads, and the drawings alone are no news', () => {
    const { packet } = packetFor()
    expect(packetChanges(undrawn(packet), packet)).toEqual([])
    expect(packetChanges(packet, undrawn(packet))).toEqual([])
    const moved = packetFor({ startsAt: startsAt.add({ hours: 1 }) }).packet
    expect(packetChanges(undrawn(packet), moved).map(({ code }) => code)).toEqual(['time'])
  })

  test('a line measured anew, drawn with other steps, is a detail to read', () => {
    const short = (lane_m: number) => ({ answers: { ...goodHome(), lane_m } })
    expect(codes(short(2.6), short(3.9))).toEqual(['details'])
  })

  test('two packets that differ in anything have at least one change, and equal ones none', () => {
    fc.assert(
      fc.property(anyCase, anyCase, (one, other) => {
        const [before, after] = [packetFor(one).packet, packetFor(other).packet]
        const changes = packetChanges(before, after)
        expect(changes.length === 0).toBe(isDeepStrictEqual(before, after))
        expect(packetChangesSchema.parse(JSON.parse(JSON.stringify(changes)))).toEqual(changes)
        expect(packetChanges(before, packetSchema.parse(JSON.parse(JSON.stringify(before))))).toEqual([])
      }),
      { seed: 20260310, numRuns: 100 },
    )
  })
})
