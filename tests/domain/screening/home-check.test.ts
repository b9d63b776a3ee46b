import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { expand, factsRead } from '#lib/domain/protocol/expand.ts'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import { type Answers, type Facts, knownFacts } from '#lib/domain/protocol/need.ts'
import { AREAS, type Fact } from '#lib/domain/protocol/schema.ts'
import { flagsRaised, nextQuestion, questionsFor } from '#lib/domain/screening/home-check.ts'
import { screen } from '#lib/domain/screening/screen.ts'
import { factsStillOpen } from '#lib/domain/screening/still-open.ts'
import { BEST_HOME } from './foot-and-ankle-homes.ts'

const ids = (answers: Answers, conditionId?: string) =>
  questionsFor(footAndAnkle, answers, conditionId).map(({ id }) => id)

const redFlagsRead = new Set(footAndAnkle.redFlags.flatMap(({ when }) => [...factsRead(expand(when, footAndAnkle))]))

describe('the questions of a home check', () => {
  test('come area by area, what could be dangerous first', () => {
    const places = questionsFor(footAndAnkle, {}).map(({ area }) => AREAS.indexOf(area))
    expect(places).toEqual([...places].sort((a, b) => a - b))
    expect(places[0]).toBe(0)
  })

  test('are never those for staff', () => {
    expect(ids({})).not.toContain('age_years')
  })

  test('skip what surely does not apply, and only that', () => {
    expect(ids({})).toContain('helper_strong')
    expect(ids({ helper: 'not_sure' })).toContain('helper_strong')
    expect(ids({ helper: true })).toContain('helper_strong')
    expect(ids({ helper: false })).not.toContain('helper_strong')
    expect(ids({ acute_injury: false }).filter((id) => id.startsWith('tender_'))).toEqual([])
  })

  test('a stand-in is asked about only while the thing itself is missing', () => {
    expect(ids({ strap: true })).not.toContain('towel')
    expect(ids({ strap: false })).toContain('towel')
  })

  test('with a condition, leave out what that condition never needs, but no red flag', () => {
    const forToe = ids({}, 'big_toe_arthritis')
    expect(forToe).not.toContain('couch')
    expect(forToe).not.toContain('block')
    const flags = questionsFor(footAndAnkle, {})
      .filter(({ area }) => area === 'red_flags')
      .map(({ id }) => id)
    expect(forToe).toEqual(expect.arrayContaining(flags))
  })

  test.each(footAndAnkle.conditions.map(({ id }) => id))(
    'for %s, leaving questions out never leaves the answer open',
    (conditionId) => {
      let answers: Answers = {}
      for (let asked = 0; asked < 100; asked += 1) {
        const next = nextQuestion(footAndAnkle, answers, conditionId)
        if (next === null) break
        answers = { ...answers, [next.id]: BEST_HOME[next.id] ?? 'not_sure' }
      }
      const screening = screen({
        protocol: footAndAnkle,
        conditionId,
        side: 'right',
        facts: { age_years: 50, ...knownFacts(answers) },
        policy: { gapsAllowed: false, earlyLookAllowed: false },
      })
      expect(screening.ask).toEqual([])
      const condition = footAndAnkle.conditions.find(({ id }) => id === conditionId)
      expect(screening.disposition).toBe(condition?.inPerson === undefined ? 'video' : 'urgent_in_person')
    },
  )

  test('who wants no visit by video is asked about nothing at home any more, but about every red flag', () => {
    const asked = questionsFor(footAndAnkle, { accepts_video: false }, 'flat_foot')
    expect(new Set(asked.map(({ area }) => area))).toEqual(new Set(['red_flags', 'safety']))
    expect(asked.map(({ id }) => id).filter((id) => id !== 'accepts_video')).toEqual(
      questionsFor(footAndAnkle, {}, 'flat_foot')
        .filter(({ area, id }) => area === 'red_flags' || redFlagsRead.has(id))
        .map(({ id }) => id),
    )
  })

  test('what a station is closed by for good is not asked further; what could be arranged is', () => {
    expect(ids({}, 'flat_foot')).toContain('lane_m')
    expect(ids({ not_weight_bearing: true }, 'flat_foot')).not.toContain('lane_m')
    // A helper could still come, and would then push against the foot with a strap at hand.
    expect(ids({ helper: false }, 'flat_foot')).toEqual(ids({}, 'flat_foot').filter((id) => id !== 'helper_strong'))
  })

  // The law behind both: nothing that is left out could have changed the decision or a station.
  test('whatever is answered to a question left out, the decision is the same', () => {
    // Mostly a good home: where a flag is raised, nothing else decides.
    const answer = (fact: Fact) => {
      const any =
        fact.kind === 'yes_no' ? fc.boolean() : fc.double({ min: fact.min ?? 0, max: fact.max ?? 200, noNaN: true })
      const good = BEST_HOME[fact.id]
      return good === undefined
        ? any
        : fc.oneof({ weight: 7, arbitrary: fc.constant(good) }, { weight: 1, arbitrary: any })
    }
    const everything = fc.record(Object.fromEntries(footAndAnkle.facts.map((fact) => [fact.id, answer(fact)])))
    fc.assert(
      fc.property(
        everything,
        everything,
        fc.constantFrom(...footAndAnkle.conditions.map(({ id }) => id)),
        fc.array(fc.boolean(), { minLength: footAndAnkle.facts.length, maxLength: footAndAnkle.facts.length }),
        (one, other, conditionId, isKnown) => {
          const known = Object.fromEntries(Object.entries(one).filter((_, index) => isKnown[index]))
          const open = factsStillOpen(footAndAnkle, conditionId, known)
          const filled = (by: typeof one) =>
            Object.fromEntries(
              Object.entries(one).map(([id, value]) => [id, id in known || open.has(id) ? value : by[id]]),
            ) as Facts
          const judge = (facts: Facts) => {
            const { disposition, rule, raised, stations, openers } = screen({
              protocol: footAndAnkle,
              conditionId,
              side: 'left',
              facts,
              policy: { gapsAllowed: true, earlyLookAllowed: true },
            })
            // Who is not examined at home has no stations to compare.
            const isAtHome = disposition === 'video' || disposition === 'video_with_gaps'
            return {
              disposition,
              rule,
              raised,
              openers,
              ...(isAtHome && { can: stations.map(({ can, way }) => [can, way]) }),
            }
          }
          expect(judge(filled(other))).toEqual(judge(filled(one)))
        },
      ),
    )
  })

  test('"not sure" counts as asked but not as known', () => {
    const first = nextQuestion(footAndAnkle, {})
    expect(first?.id).toBe('cold_foot')
    expect(nextQuestion(footAndAnkle, { cold_foot: 'not_sure' })?.id).toBe('chest_or_breath')
    expect(knownFacts({ cold_foot: 'not_sure' })).toEqual({})
  })
})

describe('stopping at once', () => {
  test('a single answer raises its flag while all others are missing', () => {
    expect(flagsRaised(footAndAnkle, { cold_foot: true }).map(({ id }) => id)).toEqual(['sudden_cold_limb'])
  })

  test('the gravest flag comes first', () => {
    const raised = flagsRaised(footAndAnkle, { diabetes: true, foot_ulcer: true, calf_swollen: true, fever: true })
    expect(raised.map(({ level }) => level)).toEqual(['emergency', 'same_day', 'urgent'])
  })

  test('nothing known raises nothing', () => {
    expect(flagsRaised(footAndAnkle, {})).toEqual([])
  })
})
