/**
 * Each published rule on and around its thresholds, with its source beside it. The tables say what must be raised, and
 * that nothing else is. A flag only ever sends somebody to be seen sooner: none of these rules was validated with answers
 * given from home, so "not raised" is no clearance.
 */
import { describe, expect, test } from 'vitest'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import type { Facts } from '#lib/domain/protocol/need.ts'
import type { FlagLevel, SeeBy } from '#lib/domain/protocol/schema.ts'
import { flagsRaised } from '#lib/domain/screening/home-check.ts'
import { screen } from '#lib/domain/screening/screen.ts'
import { BEST_HOME, without } from '#tests/domain/screening/foot-and-ankle-homes.ts'

type Case = [what: string, signs: Facts, raised: string[]]

const raised = (signs: Facts) => flagsRaised(footAndAnkle, { ...BEST_HOME, ...signs }).map(({ id }) => id)
const yes = (...ids: string[]): Facts => Object.fromEntries(ids.map((id) => [id, true]))

function table(title: string, cases: Case[]) {
  describe(title, () => {
    test.each(cases)('%s', (_, signs, flags) => {
      expect(raised(signs)).toEqual(flags)
    })
  })
}

// Wells PS et al. Lancet 1997;350:1795-8, NEJM 2003;349:1227-35; NICE NG158. The score holds an examiner's findings and
// takes 2 away for another diagnosis, so no answer from home may bring it below the line: one sign is enough here.
table('signs of a clot: seen today, with or without anything else', [
  ['no new calf pain or swelling', {}, []],
  ['new one-sided calf pain or swelling', yes('calf_swollen'), ['calf_pain_or_swelling']],
  ['the same within three months of surgery', yes('calf_swollen', 'surgery_recent'), ['calf_pain_or_swelling']],
  ['the same with a fresh injury as another cause', yes('calf_swollen', 'acute_injury'), ['calf_pain_or_swelling']],
  ['surgery alone', yes('surgery_recent'), []],
  [
    'with chest pain or short of breath',
    yes('calf_swollen', 'chest_or_breath'),
    ['chest_or_breath', 'calf_pain_or_swelling'],
  ],
  ['chest pain or short of breath alone', yes('chest_or_breath'), ['chest_or_breath']],
])

// Coakley G et al. Rheumatology 2006;45:1039-41: a hot, swollen joint is taken for an infected one even without fever.
table('a hot joint', [
  ['without fever', yes('hot_joint'), ['hot_joint']],
  ['with fever', yes('hot_joint', 'fever'), ['infection_with_fever', 'hot_joint']],
  ['fever alone', yes('fever'), []],
  // The guideline is for 16 and above; a child's hot joint is no less urgent (common practice), so no age narrows it.
  ['at 15', { hot_joint: true, age_years: 15 }, ['hot_joint']],
  ['at 16', { hot_joint: true, age_years: 16 }, ['hot_joint']],
])

// BOAST, July 2014 (pulses are normally there, so nobody is asked about them); RCEMLearning 2022.
table('muscle under pressure, and a limb without blood', [
  ['pain out of proportion, worse on moving the toes', yes('pain_out_of_control'), ['pain_out_of_proportion']],
  ['a tight cast with blue, cold or numb toes', yes('tight_cast'), ['cast_too_tight']],
  ['suddenly cold, white, blue or numb', yes('cold_foot'), ['sudden_cold_limb']],
  ['lost feeling of long standing alone', yes('lost_feeling'), []],
])

// BOAST, December 2017; Yedlinsky and Peebles, Am Fam Physician 2021;103(3):147-154.
table('an open fracture, or a foot out of shape', [
  ['bent out of shape, or bone seen', yes('bent_or_bone'), ['deformity_or_open_fracture']],
  ['a deep cut over a fresh injury', yes('acute_injury', 'injury_wound'), ['wound_over_injury']],
  ['a fresh injury without a cut', yes('acute_injury'), []],
])

// NICE NG19 (2015, updated): sore with fever, with poor blood flow, or deep infection, and dead skin: at once. Every other
// active problem, and a hot swollen foot without feeling even if painless: within one working day.
table('the foot in diabetes', [
  ['diabetes and nothing else', yes('diabetes'), []],
  ['a sore', yes('diabetes', 'foot_ulcer'), ['diabetic_foot']],
  ['a sore with fever', yes('diabetes', 'foot_ulcer', 'fever'), ['infection_with_fever', 'diabetic_foot']],
  [
    'a sore with pain at night that hanging down eases',
    yes('diabetes', 'foot_ulcer', 'night_pain'),
    ['sore_with_poor_flow', 'diabetic_foot', 'night_pain'],
  ],
  [
    'a deep or leaking sore',
    yes('diabetes', 'foot_ulcer', 'ulcer_deep'),
    ['deep_sore_without_feeling', 'deep_sore', 'diabetic_foot'],
  ],
  [
    'a deep or leaking sore, feeling lost, diabetes not known of',
    yes('lost_feeling', 'foot_ulcer', 'ulcer_deep'),
    ['deep_sore_without_feeling', 'deep_sore', 'diabetic_foot'],
  ],
  ['black skin, with no sore', yes('diabetes', 'black_skin'), ['black_skin']],
  ['pain at night that hanging down eases, with no sore', yes('diabetes', 'night_pain'), ['night_pain']],
  ['hot, red or swollen', yes('diabetes', 'foot_hot_swollen'), ['diabetic_foot']],
  ['hot, red or swollen, feeling lost, no diabetes', yes('lost_feeling', 'foot_hot_swollen'), ['diabetic_foot']],
  ['swollen with neither', yes('foot_hot_swollen'), []],
])

// Common practice: an open sore is dressed by hand, whoever has it.
table('an open sore without diabetes or lost feeling', [
  ['clean', yes('foot_ulcer'), ['open_sore']],
  ['deep or leaking', yes('foot_ulcer', 'ulcer_deep'), ['deep_sore', 'open_sore']],
  ['with fever', yes('foot_ulcer', 'fever'), ['infection_with_fever', 'open_sore']],
])

// From memory, common practice: fast spread, blisters, dark skin.
table('redness', [
  ['that spreads from day to day', yes('red_spreading'), ['red_spreading']],
  [
    'that spreads by the hour or blisters',
    yes('red_spreading', 'spreads_fast'),
    ['redness_spreads_fast', 'red_spreading'],
  ],
  ['that spreads, with fever', yes('red_spreading', 'fever'), ['infection_with_fever', 'red_spreading']],
])

// From memory, common practice; CDC NHSN follows a deep infection for 90 days.
table('after surgery', [
  ['nothing wrong', yes('surgery_recent'), []],
  ['wound open, leaking or more red', yes('surgery_recent', 'wound_open'), ['surgical_wound']],
  ['fever', yes('surgery_recent', 'fever'), ['fever_after_surgery']],
  [
    'wound and fever',
    yes('surgery_recent', 'wound_open', 'fever'),
    ['infection_with_fever', 'surgical_wound', 'fever_after_surgery'],
  ],
  ['a fall on the leg', yes('surgery_recent', 'fell_since_surgery'), ['fall_after_surgery']],
  ['pain that pills do not hold', yes('surgery_recent', 'pain_beats_pills'), ['pain_after_surgery']],
])

// GIRFT 2023 (from memory), BMJ Best Practice: to hospital at once. Asked only of those who have lost feeling in the feet.
table('back signs behind lost feeling', [
  ['numb between the legs, or trouble with urine', yes('lost_feeling', 'back_bladder'), ['numb_saddle_or_bladder']],
])

// Singh D. BMJ 2015;351:h4722; Boyd RPR et al. BJGP 2015;65:668-9: walking or tiptoeing does not rule it out.
table('a snap or kick at the back of the ankle', [
  ['and four steps can be taken', yes('heel_snap', 'four_steps_now'), ['heel_snap']],
  ['and they can not', { heel_snap: true, four_steps_now: false }, ['heel_snap']],
])

// Mayich DJ et al. Can Fam Physician 2012;58:1199: a bruise of the sole is the sign to ask for; X-ray while standing.
table('a bruise on the sole', [
  ['after a fresh injury', yes('acute_injury', 'sole_bruise'), ['bruised_sole']],
  ['though the Ottawa foot rule is not met', yes('acute_injury', 'pain_midfoot', 'sole_bruise'), ['bruised_sole']],
])

describe('by when', () => {
  const TODAY: SeeBy = { within: 24, unit: 'hours' }
  const NEXT: SeeBy = { within: 1, unit: 'working_days' }
  const TWO: SeeBy = { within: 2, unit: 'working_days' }
  test.each<[string, FlagLevel, SeeBy]>([
    ['calf_pain_or_swelling', 'same_day', TODAY], // NICE NG158: scan within 4 hours, at the latest within 24
    ['hot_joint', 'same_day', TODAY],
    ['heel_snap', 'same_day', TODAY], // a delay over 24 hours matters: BJGP 2015
    ['surgical_wound', 'same_day', TODAY],
    ['deep_sore', 'same_day', TODAY],
    ['diabetic_foot', 'urgent', NEXT], // NICE NG19
    ['night_pain', 'urgent', NEXT], // NICE NG19
    ['open_sore', 'in_person', TWO], // common practice
    ['bruised_sole', 'in_person', TWO], // common practice
    ['ottawa_ankle', 'in_person', TWO], // common practice
  ])('%s', (id, level, seeBy) => {
    expect(footAndAnkle.redFlags.find((flag) => flag.id === id)).toMatchObject({ level, seeBy })
  })
})

describe('never clearing', () => {
  // The questions of the Ottawa rules hang on each other: their own file has them.
  const parts: [string, string[]][] = footAndAnkle.facts.flatMap(({ id, area, askWhen, kind }) => {
    if (
      area !== 'red_flags' ||
      kind !== 'yes_no' ||
      askWhen === undefined ||
      /^(four_steps|pain_(ankle|midfoot))/.test(id)
    )
      return []
    return [[id, openingOf(JSON.stringify(askWhen))]]
  })

  function openingOf(askWhen: string): string[] {
    return [...askWhen.matchAll(/"fact":"(\w+)"/g)].flatMap((found) => found[1] ?? []).slice(0, 1)
  }

  test.each(parts)('a missing answer to "%s", once it is asked, keeps the visit from video', (id, opening) => {
    const { disposition } = screen({
      protocol: footAndAnkle,
      conditionId: 'heel_pain',
      side: 'left',
      facts: without({ ...BEST_HOME, ...yes('pain_ankle_bumps', 'pain_midfoot', ...opening) }, id),
      policy: { gapsAllowed: true, earlyLookAllowed: true },
    })
    expect(['video', 'video_with_gaps']).not.toContain(disposition)
  })

  test('no text for a patient names a diagnosis', () => {
    const texts = [
      ...footAndAnkle.redFlags.map(({ advice }) => advice),
      ...footAndAnkle.conditions.flatMap(({ plain, inPerson }) => (inPerson ? [plain, inPerson.because] : [plain])),
      ...footAndAnkle.facts.map(({ ask }) => ask),
    ].flatMap((text) => Object.values(text))
    for (const text of texts)
      expect(text).not.toMatch(
        /rupture|fracture|clot|thromb|infect|arthrit|ulcer|gangren|charcot|lisfranc|neuroma|tendin|cancer|rotura|fractura|trombo|coágulo|artritis|úlcera/i,
      )
  })

  test('every flag and every question of a flag says where it was taken from', () => {
    for (const { source } of [...footAndAnkle.redFlags, ...footAndAnkle.facts])
      expect(source.length).toBeGreaterThan(10)
  })
})
