import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { DEFAULT_POLICY } from '#lib/domain/policy/clinic-policy.ts'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import type { Facts } from '#lib/domain/protocol/need.ts'
import { retireStation } from '#lib/domain/versions/edit.ts'
import { effectOf, effectOn, type PastCase } from '#lib/domain/versions/effect.ts'
import '../screening/random-cases.ts'

const anyCase: fc.Arbitrary<PastCase> = fc.record({
  id: fc.string({ minLength: 1, maxLength: 4 }),
  conditionId: fc.constantFrom(...footAndAnkle.conditions.map(({ id }) => id)),
  side: fc.constantFrom('left', 'right', 'both'),
  facts: fc
    .tuple(
      ...footAndAnkle.facts.map(({ kind, min = 0, max = 1, change }) =>
        kind === 'number'
          ? fc.constantFrom(null, min, max, Number(change?.to ?? min))
          : fc.constantFrom(null, true, false, change ? change.to : false, change ? change.to : false),
      ),
    )
    .map(
      (values): Facts =>
        Object.fromEntries(
          values.flatMap((value, at) => (value === null ? [] : [[footAndAnkle.facts[at]?.id ?? '', value]])),
        ),
    ),
})

/** A sterner version: one station less, another lesser in value, a higher seat, one condition fewer. */
const sterner = retireStation(footAndAnkle, 'walk')
for (const station of sterner.stations) if (station.id === 'heel_raise_single') station.minutes = 8
for (const flag of sterner.redFlags) if (flag.level === 'same_day' && flag.seeBy) flag.seeBy.within = 4
sterner.conditions = sterner.conditions.filter(({ id }) => id !== 'flat_foot')

describe('what a version would have changed', () => {
  test('is nothing for the same version', () => {
    fc.assert(
      fc.property(fc.array(anyCase, { maxLength: 6 }), (cases) => {
        const effect = effectOf(cases.map((one) => effectOn(one, footAndAnkle, footAndAnkle, DEFAULT_POLICY)))
        expect(effect).toMatchObject({ cases: cases.length, changed: 0, moves: [], stations: [], seeByChanged: 0 })
        expect(effect.coverage?.before).toBe(effect.coverage?.after)
      }),
      { numRuns: 20 },
    )
  })

  // Counted again in the plainest way, case by case, from the two answers themselves.
  test('is counted as one would count it by hand', () => {
    fc.assert(
      fc.property(fc.array(anyCase, { minLength: 1, maxLength: 12 }), (cases) => {
        const effects = cases.map((one) => effectOn(one, footAndAnkle, sterner, DEFAULT_POLICY))
        const effect = effectOf(effects)
        let moved = 0
        let times = 0
        const opened: Record<string, number> = {}
        const closed: Record<string, number> = {}
        for (const { before, after } of effects) {
          if (before?.disposition !== after?.disposition) moved += 1
          if (before && after && JSON.stringify(before.seeBy) !== JSON.stringify(after.seeBy)) times += 1
          for (const { id } of footAndAnkle.stations) {
            const [was, is] = [before?.open.includes(id) ?? false, after?.open.includes(id) ?? false]
            if (is && !was) opened[id] = (opened[id] ?? 0) + 1
            if (was && !is) closed[id] = (closed[id] ?? 0) + 1
          }
        }
        expect(effect.moves.reduce((sum, { count }) => sum + count, 0)).toBe(moved)
        expect(effect.seeByChanged).toBe(times)
        for (const { id } of footAndAnkle.stations)
          expect(effect.stations.find(({ stationId }) => stationId === id) ?? { opened: 0, closed: 0 }).toMatchObject({
            opened: opened[id] ?? 0,
            closed: closed[id] ?? 0,
          })
        // A condition that is gone has no answer any more, and is said to be changed.
        for (const { before, after, isChanged } of effects) if (before && !after) expect(isChanged).toBe(true)
      }),
      { numRuns: 30 },
    )
  })
})
