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
        expect(effect).toMatchObject({ cases: cases.length, changed: 0, moves: [], stations: [], lessUrgent: 0 })
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
        const first: string[] = []
        const opened: Record<string, number> = {}
        const closed: Record<string, number> = {}
        for (const { before, after } of effects) {
          if (before?.disposition !== after?.disposition) moved += 1
          if (before?.disposition !== after?.disposition) first.push('disposition')
          else if (JSON.stringify(before?.seeBy) !== JSON.stringify(after?.seeBy)) first.push('see_by')
          else if (JSON.stringify(before?.open) !== JSON.stringify(after?.open)) first.push('stations')
          else if (JSON.stringify(before) !== JSON.stringify(after)) first.push('extent')
          for (const { id } of footAndAnkle.stations) {
            const [was, is] = [before?.open.includes(id) ?? false, after?.open.includes(id) ?? false]
            if (is && !was) opened[id] = (opened[id] ?? 0) + 1
            if (was && !is) closed[id] = (closed[id] ?? 0) + 1
          }
        }
        expect(effect.moves.reduce((sum, { count }) => sum + count, 0)).toBe(moved)
        for (const [difference, number] of Object.entries(effect.differ))
          expect(number, difference).toBe(first.filter((each) => each === difference).length)
        expect(effect.changed).toBe(first.length)
        for (const { id } of footAndAnkle.stations)
          expect(effect.stations.find(({ stationId }) => stationId === id) ?? { opened: 0, closed: 0 }).toMatchObject({
            opened: opened[id] ?? 0,
            closed: closed[id] ?? 0,
          })
        // A condition that is gone has no answer any more, and is said to be changed.
        for (const { before, after, differs } of effects) if (before && !after) expect(differs).toBe('disposition')
      }),
      { numRuns: 30 },
    )
  })

  // A calf that may be torn is seen within 24 hours by the demonstration protocol, and urgently.
  const tear: PastCase = { id: 'one', conditionId: 'achilles_rupture', side: 'left', facts: {} }
  const changed = (change: (condition: (typeof footAndAnkle.conditions)[number]) => void) => {
    const version = structuredClone(footAndAnkle)
    for (const condition of version.conditions) if (condition.id === tear.conditionId) change(condition)
    return version
  }
  const limit = (within: number, unit: 'hours' | 'working_days') =>
    changed(({ inPerson }) => {
      if (inPerson) inPerson.seeBy = { within, unit }
    })

  test.each([
    ['no limit at all', changed((condition) => delete condition.inPerson), true],
    ['a limit in another unit that is longer', limit(2, 'working_days'), true],
    ['a longer limit', limit(25, 'hours'), true],
    ['the same limit', limit(24, 'hours'), false],
    ['a shorter limit', limit(12, 'hours'), false],
  ])('%s: whether somebody would have waited longer is told', (_, version, isLessUrgent) => {
    const one = effectOn(tear, footAndAnkle, version, DEFAULT_POLICY)
    expect(one.isLessUrgent).toBe(isLessUrgent)
    expect(effectOf([one]).lessUrgent).toBe(isLessUrgent ? 1 : 0)
  })
})
