import { describe, expect, test } from 'vitest'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import { loadProtocol } from '#lib/domain/protocol/load.ts'
import type { Protocol } from '#lib/domain/protocol/schema.ts'

/** A copy with something broken. */
function broken(change: (protocol: Protocol) => void): Protocol {
  const copy = structuredClone(footAndAnkle)
  change(copy)
  return copy
}

function faultsOf(document: unknown) {
  const result = loadProtocol(document)
  return result.ok ? [] : result.error
}

function at<T>(list: readonly T[], index: number): T {
  const found = list[index]
  if (found === undefined) throw new Error(`nothing at ${index}`)
  return found
}

const station = (protocol: Protocol, id: string) => {
  const index = protocol.stations.findIndex((each) => each.id === id)
  return { index, station: at(protocol.stations, index) }
}
const firstBooked = footAndAnkle.redFlags.findIndex(({ level }) => level !== 'emergency')
const factIndex = (id: string) => footAndAnkle.facts.findIndex((fact) => fact.id === id)
const setUpIndex = (id: string) => footAndAnkle.setUps.findIndex((each) => each.id === id)

describe('a protocol document', () => {
  test('that is whole is loaded as it is', () => {
    expect(loadProtocol(structuredClone(footAndAnkle))).toEqual({ ok: true, value: footAndAnkle })
  })

  // Clinics keep the versions they signed off; those from before stations were measured have to stay readable for their visits.
  test('without measures is whole: one that was signed off before there were any still runs its visits', () => {
    const older = broken((protocol) => {
      for (const station of protocol.stations) Reflect.deleteProperty(station, 'measures')
    })
    expect(loadProtocol(older)).toEqual({ ok: true, value: older })
  })

  test('survives being stored as JSON', () => {
    expect(loadProtocol(JSON.parse(JSON.stringify(footAndAnkle)))).toEqual({ ok: true, value: footAndAnkle })
  })

  test('of the wrong shape is refused with the path of every fault', () => {
    const document = broken((protocol) => {
      Reflect.deleteProperty(at(protocol.facts, 0).ask, 'es')
      Reflect.set(protocol, 'version', 0)
      Reflect.set(at(protocol.stations, 1), 'sides', 'left')
      Reflect.set(protocol, 'colour', 'red')
    })
    expect(
      faultsOf(document)
        .map(({ path }) => path)
        .sort(),
    ).toEqual(['', 'facts.0.ask.es', 'stations.1.sides', 'version'])
    expect(faultsOf('nonsense')).toHaveLength(1)
  })

  test('with many faults is told all of them at once', () => {
    const document = broken((protocol) => {
      at(protocol.stations, 0).setUp = 'nowhere'
      at(protocol.conditions, 0).stations.useful.push('no_such_station')
      protocol.redFlags.push({ ...at(protocol.redFlags, 0) })
      protocol.precedence.push({ first: 'heel_press', second: 'walk', why: 'x' })
    })
    expect(faultsOf(document).map(({ path }) => path)).toEqual(
      expect.arrayContaining([
        'stations.0.setUp',
        `conditions.0.stations.useful.${footAndAnkle.conditions[0]?.stations.useful.length}`,
        `redFlags.${footAndAnkle.redFlags.length}.id`,
        'precedence',
      ]),
    )
  })
})

describe('faults of meaning, each with its path', () => {
  test.each<[string, (protocol: Protocol) => void, string, RegExp]>([
    [
      'a score that its items can never reach',
      (p) => (at(p.derived, 0).when = { atLeastPoints: 3, of: [{ points: 2, when: { fact: 'fell', is: true } }] }),
      'derived.0.when.atLeastPoints',
      /give 2 points at the most/,
    ],
    [
      'a score that is always reached',
      (p) => (at(p.derived, 0).when = { atLeastPoints: -1, of: [{ points: -1, when: { fact: 'fell', is: true } }] }),
      'derived.0.when.atLeastPoints',
      /always reached/,
    ],
    [
      'an unknown fact within a score',
      (p) => (at(p.derived, 0).when = { atLeastPoints: 1, of: [{ points: 1, when: { fact: 'ghost', is: true } }] }),
      'derived.0.when.of.0.when',
      /no fact "ghost"/,
    ],
    [
      'a need of an unknown fact',
      (p) => (station(p, 'walk').station.safety = { fact: 'ghost', is: true }),
      'stations.0.safety',
      /no fact "ghost"/,
    ],
    [
      'a need of unknown equipment',
      (p) => (at(p.setUps, 0).needs = { equipment: 'ghost' }),
      'setUps.0.needs',
      /no equipment/,
    ],
    [
      'a number read as yes or no',
      (p) => (at(p.setUps, 0).needs = { fact: 'lane_m', is: true }),
      'setUps.0.needs',
      /is a number/,
    ],
    [
      'a yes or no read as a number',
      (p) => (at(p.setUps, 0).needs = { fact: 'helper', atLeast: 1, unit: 'm' }),
      'setUps.0.needs',
      /yes or no/,
    ],
    [
      'the wrong unit',
      (p) => (at(p.setUps, 0).needs = { fact: 'lane_m', atLeast: 1, unit: 'cm' }),
      'setUps.0.needs',
      /is in m, not cm/,
    ],
    [
      'a number that can never be reached',
      (p) => (at(p.setUps, 0).needs = { fact: 'lane_m', atLeast: 51, unit: 'm' }),
      'setUps.0.needs',
      /its max is 50/,
    ],
    [
      'a number without a unit',
      (p) => Reflect.deleteProperty(at(p.facts, factIndex('lane_m')), 'unit'),
      `facts.${factIndex('lane_m')}.unit`,
      /no unit/,
    ],
    [
      'a number without a minimum',
      (p) => Reflect.deleteProperty(at(p.facts, factIndex('lane_m')), 'min'),
      `facts.${factIndex('lane_m')}.min`,
      /no min/,
    ],
    [
      'a number without a maximum',
      (p) => Reflect.deleteProperty(at(p.facts, factIndex('lane_m')), 'max'),
      `facts.${factIndex('lane_m')}.max`,
      /no max/,
    ],
    [
      'a change to the wrong kind',
      (p) => Reflect.set(at(p.facts, factIndex('lane_m')).change ?? {}, 'to', true),
      `facts.${factIndex('lane_m')}.change.to`,
      /not a number/,
    ],
    [
      'a stature in metres',
      (p) => Reflect.set(at(p.facts, factIndex('lane_m')), 'measures', 'stature'),
      `facts.${factIndex('lane_m')}.unit`,
      /measured in cm/,
    ],
    [
      'a second question for the stature',
      (p) => p.facts.push({ ...at(p.facts, factIndex('stature_cm')), id: 'again' }),
      `facts.${footAndAnkle.facts.length}.measures`,
      /"stature_cm" measures stature already/,
    ],
    [
      'a bed of no height',
      (p) => Reflect.deleteProperty(at(p.setUps, setUpIndex('face_down')), 'support'),
      `setUps.${setUpIndex('face_down')}.support`,
      /how high the bed/,
    ],
    [
      'somebody standing on a seat',
      (p) => (at(p.setUps, setUpIndex('stand_back')).support = { heightCm: 40 }),
      `setUps.${setUpIndex('stand_back')}.support`,
      /nobody stands/,
    ],
    [
      'a height that is told in metres',
      (p) => (at(p.setUps, setUpIndex('face_down')).support = { heightCm: 50, answeredIn: 'lane_m' }),
      `setUps.${setUpIndex('face_down')}.support.answeredIn`,
      /no fact "lane_m" in cm/,
    ],
    [
      'a question that nothing reads',
      (p) => p.facts.push({ ...at(p.facts, 0), id: 'idle' }),
      `facts.${footAndAnkle.facts.length}`,
      /nothing reads/,
    ],
    [
      'a derived fact that nothing reads',
      (p) => p.derived.push({ ...at(p.derived, 0), id: 'idle' }),
      'derived.1',
      /nothing reads/,
    ],
    [
      'a derived fact with the name of a question',
      (p) => p.derived.push({ ...at(p.derived, 0), id: 'fell' }),
      'derived.1.id',
      /a fact already/,
    ],
    [
      'derived facts in a circle',
      (p) => (at(p.derived, 0).when = { fact: 'fall_risk', is: true }),
      'derived',
      /circle: fall_risk → fall_risk/,
    ],
    [
      'equipment that no way uses',
      (p) => p.equipment.push({ ...at(p.equipment, 0), id: 'idle' }),
      `equipment.${footAndAnkle.equipment.length}`,
      /no way uses/,
    ],
    [
      'a set-up that no station uses',
      (p) => p.setUps.push({ ...at(p.setUps, 0), id: 'idle' }),
      `setUps.${footAndAnkle.setUps.length}`,
      /no station uses/,
    ],
    ['a station that no condition uses', (p) => (at(p.stations, 0).id = 'idle'), 'stations.0', /no condition uses/],
    [
      'a thing to fetch that is unknown',
      (p) => at(station(p, 'walk').station.ways, 0).fetch.push('ghost'),
      'stations.0.ways.0.fetch.1',
      /no equipment/,
    ],
    [
      'a lesser way that hides what it misses',
      (p) => Reflect.deleteProperty(at(station(p, 'walk').station.ways, 2), 'misses'),
      'stations.0.ways.2.misses',
      /says what it misses/,
    ],
    [
      'a helper who is told nothing',
      (p) => Reflect.deleteProperty(at(station(p, 'walk').station.ways, 1), 'helperInstructions'),
      'stations.0.ways.1.helperInstructions',
      /what the helper does/,
    ],
    [
      'a condition that forbids what it needs',
      (p) => at(p.conditions, 0).forbids.push('walk'),
      'conditions.0.stations.essential.2',
      /forbidden/,
    ],
    [
      'a station named twice by a condition',
      (p) => at(p.conditions, 0).stations.optional.push('walk'),
      `conditions.0.stations.optional.${footAndAnkle.conditions[0]?.stations.optional.length}`,
      /twice/,
    ],
    [
      'an early look without an in-person start',
      (p) => (at(p.conditions, 0).earlyLook = true),
      'conditions.0.earlyLook',
      /inPerson/,
    ],
    [
      'a flag without a time limit',
      (p) => Reflect.deleteProperty(at(p.redFlags, firstBooked), 'seeBy'),
      `redFlags.${firstBooked}.seeBy`,
      /by when/,
    ],
    [
      'an emergency that is booked',
      (p) => (at(p.redFlags, 0).seeBy = { within: 1, unit: 'hours' }),
      'redFlags.0.seeBy',
      /not booked/,
    ],
    [
      'a flag that can never be raised',
      (p) =>
        (at(p.redFlags, 0).when = {
          all: [
            { fact: 'cold_foot', is: true },
            { fact: 'cold_foot', is: false },
          ],
        }),
      'redFlags.0.when',
      /never be raised/,
    ],
    [
      'a flag that a household could clear',
      (p) =>
        (at(p.redFlags, 0).when = {
          any: [
            { fact: 'cold_foot', is: true },
            { fact: 'helper', is: false },
          ],
        }),
      'redFlags.0.when',
      /could change to clear it/,
    ],
  ])('%s', (_, change, path, message) => {
    expect(faultsOf(broken(change))).toContainEqual({ path, message: expect.stringMatching(message) })
  })

  test('a way whose needs contradict each other can never be chosen', () => {
    const document = broken((protocol) => {
      at(station(protocol, 'walk').station.ways, 0).needs = {
        all: [
          { fact: 'helper', is: true },
          { fact: 'helper', is: false },
        ],
      }
    })
    expect(faultsOf(document)).toEqual([{ path: 'stations.0.ways.0', message: expect.stringMatching(/contradict/) }])
  })

  test('a way can never be chosen when a better one is possible wherever it is', () => {
    const document = broken((protocol) => {
      const walk = station(protocol, 'walk').station
      walk.ways.push({
        ...at(walk.ways, 2),
        id: 'strict',
        value: 0.4,
        needs: { all: [at(walk.ways, 2).needs, { fact: 'bright_light', is: true }] },
      })
    })
    expect(faultsOf(document)).toEqual([
      { path: 'stations.0.ways.4', message: expect.stringMatching(/"strict" can never be chosen: "alone_short"/) },
    ])
  })
})
