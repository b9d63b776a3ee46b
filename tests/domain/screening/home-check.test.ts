import { describe, expect, test } from 'vitest'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import { type Answers, knownFacts } from '#lib/domain/protocol/need.ts'
import { AREAS } from '#lib/domain/protocol/schema.ts'
import { flagsRaised, nextQuestion, questionsFor } from '#lib/domain/screening/home-check.ts'
import { screen } from '#lib/domain/screening/screen.ts'
import { BEST_HOME } from './foot-and-ankle-homes.ts'

const ids = (answers: Answers, conditionId?: string) =>
  questionsFor(footAndAnkle, answers, conditionId).map(({ id }) => id)

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
