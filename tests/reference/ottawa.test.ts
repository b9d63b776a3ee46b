/**
 * Refined Ottawa ankle and foot rules: Stiell IG et al. JAMA 1993;269:1127-32, for adults; summarised with the 6 cm
 * and four-step wording at physio-pedia.com/Ottawa_Ankle_Rules. Weight counts as borne even with a limp. Under 18,
 * with reduced feeling or where pressing can't be relied on, the rule must not clear (common practice).
 *
 * Here the rule only ever raises: it was never validated with patients who press on themselves over video.
 */
import { describe, expect, test } from 'vitest'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import type { Facts } from '#lib/domain/protocol/need.ts'
import { flagsRaised } from '#lib/domain/screening/home-check.ts'
import { screen } from '#lib/domain/screening/screen.ts'
import { BEST_HOME, without } from '#tests/domain/screening/foot-and-ankle-homes.ts'

const INJURED: Facts = { ...BEST_HOME, acute_injury: true }
const ANKLE: Facts = { ...INJURED, pain_ankle_bumps: true }
const MIDFOOT: Facts = { ...INJURED, pain_midfoot: true }
const CANT_WALK = { four_steps_then: false, four_steps_now: false }

const raised = (facts: Facts) => flagsRaised(footAndAnkle, facts).map(({ id }) => id)
const disposition = (facts: Facts) =>
  screen({
    protocol: footAndAnkle,
    conditionId: 'ankle_sprain',
    side: 'right',
    facts,
    policy: { gapsAllowed: true, earlyLookAllowed: true },
  }).disposition

describe('ankle series', () => {
  test.each<[string, Facts, string[]]>([
    ['pain in the zone, none of the criteria', ANKLE, []],
    ['lateral malleolus tender', { ...ANKLE, tender_outer_ankle: true }, ['ottawa_ankle']],
    ['medial malleolus tender', { ...ANKLE, tender_inner_ankle: true }, ['ottawa_ankle']],
    ['no four steps, then and now', { ...ANKLE, ...CANT_WALK }, ['ottawa_ankle']],
    ['no four steps then, but now', { ...ANKLE, four_steps_then: false }, []],
    ['four steps then, but not now', { ...ANKLE, four_steps_now: false }, []],
    ['malleolus tender without pain in the zone', { ...INJURED, tender_outer_ankle: true }, []],
    ['no four steps without pain in either zone', { ...INJURED, ...CANT_WALK }, []],
    ['a foot criterion does not count for the ankle', { ...ANKLE, tender_outer_foot: true }, []],
    ['an old injury is outside the rule', { ...ANKLE, acute_injury: false, tender_outer_ankle: true }, []],
  ])('%s', (_, facts, flags) => {
    expect(raised(facts)).toEqual(flags)
  })
})

describe('foot series', () => {
  test.each<[string, Facts, string[]]>([
    ['pain in the zone, none of the criteria', MIDFOOT, []],
    ['base of the fifth metatarsal tender', { ...MIDFOOT, tender_outer_foot: true }, ['ottawa_foot']],
    ['navicular tender', { ...MIDFOOT, tender_inner_foot: true }, ['ottawa_foot']],
    ['no four steps, then and now', { ...MIDFOOT, ...CANT_WALK }, ['ottawa_foot']],
    ['no four steps then, but now', { ...MIDFOOT, four_steps_then: false }, []],
    ['an ankle criterion does not count for the foot', { ...MIDFOOT, tender_outer_ankle: true }, []],
    [
      'both zones and no four steps',
      { ...ANKLE, ...MIDFOOT, ...CANT_WALK, pain_ankle_bumps: true },
      ['ottawa_ankle', 'ottawa_foot'],
    ],
  ])('%s', (_, facts, flags) => {
    expect(raised(facts)).toEqual(flags)
  })
})

describe('never clearing', () => {
  test.each<[string, Facts]>([
    ['17 years old', { ...ANKLE, age_years: 17 }],
    ['lost feeling in the feet', { ...ANKLE, lost_feeling: true }],
    ['pressing not reliable', { ...ANKLE, press_not_sure: true }],
  ])('%s: in person, whatever else was answered', (_, facts) => {
    expect(raised(facts)).toContain('ottawa_cannot_clear')
    expect(disposition(facts)).toBe('in_person')
  })

  test('18 years old and above are inside the rule; "over 55" is no criterion of the refined one', () => {
    expect(raised({ ...ANKLE, age_years: 18 })).toEqual([])
    expect(raised({ ...ANKLE, age_years: 56 })).toEqual([])
  })

  test.each<[string, Facts]>([
    ['age_years', ANKLE],
    ['acute_injury', { ...ANKLE, tender_outer_ankle: true }],
    ['pain_ankle_bumps', { ...ANKLE, tender_outer_ankle: true }],
    ['pain_midfoot', { ...MIDFOOT, tender_inner_foot: true }],
    ['tender_outer_ankle', ANKLE],
    ['tender_inner_ankle', ANKLE],
    ['tender_outer_foot', MIDFOOT],
    ['tender_inner_foot', MIDFOOT],
    ['press_not_sure', ANKLE],
    ['lost_feeling', ANKLE],
  ])('a missing answer to %s is asked again, not taken as good', (id, facts) => {
    expect(disposition(without(facts, id))).toBe('ask_again')
  })

  test('both walking answers missing are asked again; one "could" settles them', () => {
    expect(disposition(without(ANKLE, 'four_steps_then', 'four_steps_now'))).toBe('ask_again')
    expect(disposition(without(ANKLE, 'four_steps_then'))).not.toBe('in_person')
  })

  test('a raised flag goes in person even where the clinic allows gaps', () => {
    expect(disposition({ ...ANKLE, tender_outer_ankle: true })).toBe('in_person')
  })
})
