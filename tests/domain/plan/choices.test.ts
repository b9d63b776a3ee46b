/** A clinician's choices: never against safety, kept while they hold, and the engine's own answer everywhere else. */
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { buildPlan } from '#lib/domain/plan/build-plan.ts'
import { type Choices, refuseChoices, stationOptions, tidyChoices, withChoices } from '#lib/domain/plan/choices.ts'
import { changesAnything, consequencesOf } from '#lib/domain/plan/consequences.ts'
import { DEFAULT_POLICY } from '#lib/domain/policy/clinic-policy.ts'
import { footAndAnkle as protocol } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import type { Facts } from '#lib/domain/protocol/need.ts'
import { caseAtHand } from '#lib/domain/screening/case-at-hand.ts'
import { evaluate } from '#lib/domain/screening/evaluate.ts'
import { screen } from '#lib/domain/screening/screen.ts'

const facts: fc.Arbitrary<Facts> = fc
  .tuple(
    ...protocol.facts.map((fact) =>
      fact.kind === 'yes_no' ? fc.constantFrom(true, false, null) : fc.constantFrom(0, 1, 4, 50, null),
    ),
  )
  // What was not answered is not there.
  .map((values) =>
    Object.fromEntries(
      protocol.facts.flatMap(({ id }, n): [string, boolean | number][] => {
        const value = values[n]
        return value == null ? [] : [[id, value]]
      }),
    ),
  )
const conditionId = fc.constantFrom(...protocol.conditions.map(({ id }) => id))
const choices: fc.Arbitrary<Choices> = fc.dictionary(
  fc.constantFrom(...protocol.stations.map(({ id }) => id), 'no_such_station'),
  fc.constantFrom(null, ...protocol.stations.flatMap(({ ways }) => ways.map(({ id }) => id))),
  { maxKeys: 6 },
)
const screened = (conditionOf: string, factsOf: Facts) =>
  screen({ protocol, conditionId: conditionOf, side: 'left', facts: factsOf, policy: DEFAULT_POLICY.screening })
const planOf = (screening: ReturnType<typeof screened>) =>
  buildPlan({ protocol, screening, side: 'left', policy: DEFAULT_POLICY.visit })

describe('whatever is chosen, by whatever answers', () => {
  // Safety guarantee: "a later safety closure still closes", and what is not known counts as closed.
  test('no station is ever planned that is not surely safe, or in a way that is not surely possible', () => {
    fc.assert(
      fc.property(conditionId, facts, choices, (condition, factsOf, chosen) => {
        const { forbids } = caseAtHand(protocol, condition).condition
        for (const { stationId, wayId } of planOf(withChoices(protocol, screened(condition, factsOf), chosen)).steps) {
          const station = protocol.stations.find(({ id }) => id === stationId)
          const way = station?.ways.find(({ id }) => id === wayId)
          expect(forbids).not.toContain(stationId)
          expect(station && evaluate(station.safety, factsOf, protocol).truth).toBe('yes')
          expect(way && evaluate(way.needs, factsOf, protocol).truth).toBe('yes')
        }
      }),
      { numRuns: 300 },
    )
  })

  test('what was left out stays out, and what nobody chose is as the engine says', () => {
    fc.assert(
      fc.property(conditionId, facts, choices, (condition, factsOf, chosen) => {
        const screening = screened(condition, factsOf)
        const engine = new Map(planOf(screening).steps.map(({ stationId, wayId }) => [stationId, wayId]))
        const done = new Map(
          planOf(withChoices(protocol, screening, chosen)).steps.map(({ stationId, wayId }) => [stationId, wayId]),
        )
        for (const [stationId, wayId] of Object.entries(chosen))
          if (wayId === null) expect(done.has(stationId)).toBe(false)
        for (const { id } of protocol.stations) if (!(id in chosen)) expect(done.get(id)).toBe(engine.get(id))
      }),
      { numRuns: 300 },
    )
  })

  test('a choice that is not refused is carried out to the letter', () => {
    fc.assert(
      fc.property(conditionId, facts, choices, (condition, factsOf, chosen) => {
        const refused = refuseChoices(chosen, stationOptions(protocol, condition, factsOf)).map(
          ({ stationId }) => stationId,
        )
        const { steps } = planOf(withChoices(protocol, screened(condition, factsOf), chosen))
        for (const [stationId, wayId] of Object.entries(chosen)) {
          if (refused.includes(stationId)) continue
          expect(steps.find((step) => step.stationId === stationId)?.wayId ?? null).toBe(wayId)
        }
      }),
      { numRuns: 300 },
    )
  })

  test('the engine’s part of every option is what the engine does', () => {
    fc.assert(
      fc.property(conditionId, facts, (condition, factsOf) => {
        const steps = planOf(screened(condition, factsOf)).steps
        const engine = stationOptions(protocol, condition, factsOf).filter((option) => option.engine !== null)
        expect(Object.fromEntries(engine.map((option) => [option.stationId, option.engine]))).toEqual(
          Object.fromEntries(steps.map(({ stationId, wayId }) => [stationId, wayId])),
        )
      }),
    )
  })

  test('tidied choices mean the same', () => {
    fc.assert(
      fc.property(conditionId, facts, choices, (condition, factsOf, chosen) => {
        const screening = screened(condition, factsOf)
        const options = stationOptions(protocol, condition, factsOf)
        const allowed = Object.fromEntries(
          Object.entries(chosen).filter(([id, way]) => refuseChoices({ [id]: way }, options).length === 0),
        )
        const tidy = tidyChoices(allowed, options)
        expect(planOf(withChoices(protocol, screening, tidy))).toEqual(
          planOf(withChoices(protocol, screening, allowed)),
        )
        expect(tidyChoices(tidy, options)).toEqual(tidy)
      }),
    )
  })
})

test('the consequences name what is added, left out and done otherwise, each station once', () => {
  fc.assert(
    fc.property(conditionId, facts, choices, (condition, factsOf, chosen) => {
      const screening = screened(condition, factsOf)
      const before = planOf(screening)
      const after = planOf(withChoices(protocol, screening, chosen))
      const { added, leftOut, changedWay, ...rest } = consequencesOf(before, after, 45, [])
      const ids = (plan: typeof before) => plan.steps.map(({ stationId }) => stationId)
      expect(new Set(ids(after))).toEqual(new Set([...ids(before).filter((id) => !leftOut.includes(id)), ...added]))
      expect(new Set([...added, ...leftOut, ...changedWay]).size).toBe(
        added.length + leftOut.length + changedWay.length,
      )
      const same = changesAnything({ added, leftOut, changedWay, ...rest }) === false
      if (same)
        expect(new Set(after.steps.map(({ stationId, wayId }) => `${stationId} ${wayId}`))).toEqual(
          new Set(before.steps.map(({ stationId, wayId }) => `${stationId} ${wayId}`)),
        )
    }),
  )
})
