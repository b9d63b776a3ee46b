import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import type { Protocol } from '#lib/domain/protocol/schema.ts'
import { changedTexts, tellChanges } from '#lib/domain/versions/change-words.ts'
import { applyChanges, diffOf, undoing } from '#lib/domain/versions/diff.ts'
import { retireStation } from '#lib/domain/versions/edit.ts'
import { copyOf } from '#lib/domain/versions/json.ts'
import '../screening/random-cases.ts'

/** Documents like a protocol's: things with ids in lists, texts, needs, plain lists, whatever stands where. */
const scalar = fc.oneof(fc.boolean(), fc.integer({ min: 0, max: 3 }), fc.constantFrom('a', 'b', ''), fc.constant(null))
const { document } = fc.letrec<{ value: unknown; thing: unknown; document: unknown }>((tie) => ({
  value: fc.oneof(
    { maxDepth: 4, depthIdentifier: 'value' },
    scalar,
    fc.uniqueArray(tie('thing'), { maxLength: 4, selector: (thing) => (thing as { id: string }).id }),
    fc.array(scalar, { maxLength: 3 }),
    fc.dictionary(fc.constantFrom('x', 'y', 'z'), tie('value'), { maxKeys: 3 }),
    fc.record({ fact: fc.constantFrom('a', 'b'), is: fc.boolean() }),
    fc.record({ all: fc.array(tie('value'), { maxLength: 2 }) }),
  ),
  thing: fc.record({ id: fc.constantFrom('p', 'q', 'r', 's'), v: tie('value') }),
  document: fc.dictionary(fc.constantFrom('x', 'y', 'z'), tie('value'), { maxKeys: 3 }),
}))

describe('the differences of two documents', () => {
  test('a document differs from itself in nothing', () => {
    fc.assert(
      fc.property(document, (a) => {
        expect(diffOf(a, structuredClone(a))).toEqual([])
      }),
    )
  })

  test('carried out on the first, they make the second, and leave the first as it was', () => {
    fc.assert(
      fc.property(document, document, (a, b) => {
        const kept = structuredClone(a)
        expect(applyChanges(a, diffOf(a, b))).toEqual(b)
        expect(a).toEqual(kept)
      }),
      { numRuns: 2000 },
    )
  })

  test('a document is only told to differ where it does', () => {
    fc.assert(
      fc.property(document, document, (a, b) => {
        for (const change of diffOf(a, b)) expect(change.before).not.toEqual(change.after)
      }),
    )
  })

  test('what was changed in a thing can be taken back without the rest', () => {
    const after = copyOf(footAndAnkle)
    for (const station of after.stations) if (['walk', 'calf_squeeze'].includes(station.id)) station.minutes = 9
    const walk = diffOf(footAndAnkle, after).filter(({ path }) => path[1] === 'walk')
    const back = applyChanges(after, undoing(walk))
    expect(diffOf(footAndAnkle, back).map(({ path }) => path.join('.'))).toEqual(['stations.calf_squeeze.minutes'])
  })
})

function changed(change: (copy: Protocol) => void): Protocol {
  const copy = copyOf(footAndAnkle)
  change(copy)
  return copy
}

function toldOf(after: Protocol) {
  return tellChanges(diffOf(footAndAnkle, after), footAndAnkle, after)
}

describe('what is told of them', () => {
  test('is grouped by the thing, with what was and what is', () => {
    const after = changed((copy) => {
      for (const station of copy.stations) {
        if (station.id !== 'strength_push') continue
        station.minutes = 2
        for (const way of station.ways) if (way.id === 'strap_resists') way.value = 0.4
      }
      copy.costs.moveCameraSec = 60
    })
    expect(toldOf(after)).toMatchObject([
      {
        heading: 'Station: Strength: push down',
        part: 'stations',
        id: 'strength_push',
        changes: [
          { path: 'stations.strength_push.minutes', about: 'Minutes', was: '0.5', is: '2' },
          { about: 'Way “strap resists”, information value', was: '0.5', is: '0.4' },
        ],
      },
      { changes: [{ about: 'Move the camera (seconds)', was: '40', is: '60' }] },
    ])
  })

  test('says a threshold with the whole need that it stands in', () => {
    const after = changed((copy) => {
      const flag = copy.setUps.find(({ id }) => id === 'stand_back')
      if (flag) flag.needs = { fact: 'lane_m', atLeast: 2, unit: 'm' }
    })
    expect(toldOf(after)[0]?.changes[0]?.is).toMatch(/2 m or more$/)
  })

  test('says of a retired station that it is gone, and from which conditions', () => {
    const told = toldOf(retireStation(footAndAnkle, 'tarsal_tap'))
    const station = told.find(({ key }) => key === 'stations/tarsal_tap')
    expect(station).toMatchObject({ id: null, changes: [{ about: 'The whole of it', is: null }] })
    expect(told.some(({ part }) => part === 'conditions')).toBe(true)
  })

  test('shows how hard a changed text is to read, and nothing of texts that stayed', () => {
    const after = changed((copy) => {
      const station = copy.stations[0]
      if (!station) return
      station.unsafeBecause.en = 'Ambulatory locomotion necessitates supervisory accompaniment.'
      station.unsafeBecause.es = 'No ande hoy. Le vemos en la clínica.'
    })
    const texts = changedTexts(diffOf(footAndAnkle, after), footAndAnkle, after)
    expect(texts.map(({ level }) => [level.locale, level.isEasy])).toEqual([
      ['en', false],
      ['es', true],
    ])
  })
})
