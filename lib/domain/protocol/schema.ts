/**
 * The shape of an exam protocol: one body region's set-ups, stations, ways,
 * conditions, red flags and home questions, as a versioned document that the
 * clinic's licensed lead signs off. No clinical number lives in code: each rule
 * here carries the source it was taken from, or says "common practice".
 *
 * `load.ts` checks what a shape cannot: that ids meet, that nothing is unused.
 */
import { z } from 'zod'
import { needSchema, UNITS } from './need.ts'

const id = z.string().regex(/^[a-z][a-z0-9_]*$/, 'lower case letters, digits and _')
const source = z.string().min(3)

/** A text a patient may read, in every language we serve. */
export const textSchema = z.strictObject({ en: z.string().min(1), es: z.string().min(1) })
export type Text = z.output<typeof textSchema>
export type Locale = keyof Text
export const LOCALES = ['en', 'es'] as const satisfies readonly Locale[]

/** A time limit. Working days end at the clinic's closing time (policy). */
export const seeBySchema = z.strictObject({
  within: z.number().positive(),
  unit: z.enum(['hours', 'days', 'working_days']),
})
export type SeeBy = z.output<typeof seeBySchema>

/** Where a question belongs. One area is one stretch of the home check, in this order. */
export const AREAS = ['red_flags', 'safety', 'people', 'space', 'seat', 'equipment', 'camera'] as const
export type Area = (typeof AREAS)[number]

export const factSchema = z.strictObject({
  id,
  kind: z.enum(['yes_no', 'number']),
  unit: z.enum(UNITS).optional(),
  min: z.number().optional(),
  max: z.number().optional(),
  area: z.enum(AREAS),
  /** Who can answer: a patient at home, or only staff (from the referral). */
  askedOf: z.enum(['patient', 'staff']),
  /** What staff call it, so that both "helper" and "no helper" read well. */
  label: z.string().min(1),
  ask: textSchema,
  hint: textSchema.optional(),
  /** Shown when the person asks why. */
  why: textSchema,
  /** Asked only while this is not surely false. */
  askWhen: needSchema.optional(),
  /** What the drawings read it for: how tall the patient is. No need has to read such a fact, and it may stay unknown. */
  measures: z.literal('stature').optional(),
  /** Present when a household can change it: how much trouble that is (1 = fetch it, 5 = hard) and how to say it. */
  change: z
    .strictObject({ cost: z.number().int().min(1).max(5), to: z.union([z.boolean(), z.number()]), say: textSchema })
    .optional(),
  source,
})
export type Fact = z.output<typeof factSchema>

/** A thing an exam uses. Any of the facts will do; the first is the thing itself, the others are stand-ins. */
export const equipmentSchema = z.strictObject({
  id,
  title: textSchema,
  anyOf: z.array(z.strictObject({ fact: id, title: textSchema })).min(1),
  source,
})
export type Equipment = z.output<typeof equipmentSchema>

export const POSITIONS = ['standing', 'seated', 'lying'] as const

export const setUpSchema = z.strictObject({
  id,
  title: textSchema,
  position: z.enum(POSITIONS),
  camera: z.strictObject({
    /** Two set-ups with the same placement need no camera move between them. */
    placement: id,
    handheld: z.boolean(),
    orientation: z.enum(['portrait', 'landscape']),
    heightCm: z.number().nonnegative(),
    /** Seen from the floor (or seat) up to this height. */
    mustSeeUpToCm: z.number().positive(),
  }),
  /**
   * What the patient sits or lies on with the feet free, and how high it is: as it was answered, else this. Absent = on
   * their feet, or on a seat as high as the knee.
   */
  support: z.strictObject({ heightCm: z.number().positive(), answeredIn: id.optional() }).optional(),
  /** Which way the patient looks, where that does not change; left and right are drawn from it. */
  facing: z.enum(['to_camera', 'away', 'side']).optional(),
  instructions: textSchema,
  needs: needSchema,
  source,
})
export type SetUp = z.output<typeof setUpSchema>

export const waySchema = z.strictObject({
  id,
  /** When this way is done in another set-up than the station's. */
  setUp: id.optional(),
  needs: needSchema,
  helper: z.boolean(),
  /** 1 = as good as the reference manner. */
  value: z.number().gt(0).max(1),
  /** For the clinician: what this lesser way does not show. Required below 1. */
  misses: z.string().optional(),
  fetch: z.array(id),
  instructions: textSchema,
  helperInstructions: textSchema.optional(),
})
export type Way = z.output<typeof waySchema>

/** A published limit or range. Sources differ, so each stands with its own: for whom it holds, from and to, and whence. */
export const referenceSchema = z.strictObject({
  who: z.string().min(1),
  from: z.number().optional(),
  to: z.number().optional(),
  source,
})
export type Reference = z.output<typeof referenceSchema>

export const MEASURE_UNITS = ['deg', 's', 'count', 'cm'] as const
export type MeasureUnit = (typeof MEASURE_UNITS)[number]

/** Something that a clinician may measure or count at a station. */
export const measureSchema = z.strictObject({
  id,
  title: z.string().min(1),
  unit: z.enum(MEASURE_UNITS),
  /** What can be true of a person; beyond it a value is taken for a slip. */
  min: z.number(),
  max: z.number(),
  step: z.number().positive(),
  /** What it is taken with beside the picture. */
  tool: z.enum(['stopwatch', 'tally']).optional(),
  references: z.array(referenceSchema),
  source,
})
export type Measure = z.output<typeof measureSchema>

export const stationSchema = z.strictObject({
  id,
  title: z.string().min(1),
  plain: textSchema,
  looksFor: z.string().min(1),
  /** together: both at once; affected: the side of the referral; compare: one side after the other. */
  sides: z.enum(['together', 'affected', 'compare']),
  setUp: id,
  /** Minutes each time it is done (twice for two sides). */
  minutes: z.number().positive(),
  /** Must be surely met, or the station is closed. */
  safety: needSchema,
  /** Said when `safety` closes the station. */
  unsafeBecause: textSchema,
  ways: z.array(waySchema).min(1),
  /** What may be measured, in the order in which it is asked. */
  measures: z.array(measureSchema).optional(),
  source,
})
export type Station = z.output<typeof stationSchema>

export const IMPORTANCES = ['essential', 'useful', 'optional'] as const
export type Importance = (typeof IMPORTANCES)[number]

const icd10 = z.string().regex(/^[A-Z][0-9][0-9A-B](\.[0-9A-Z]{1,4})?$/)

export const conditionSchema = z.strictObject({
  id,
  title: z.string().min(1),
  plain: textSchema,
  icd10: z.strictObject({
    left: z.array(icd10),
    right: z.array(icd10),
    both: z.array(icd10),
    unspecified: z.array(icd10),
  }),
  stations: z.strictObject({ essential: z.array(id), useful: z.array(id), optional: z.array(id) }),
  /** Never done at home while this is suspected. */
  forbids: z.array(id),
  /** Goes to the clinic whatever the home allows. */
  inPerson: z.strictObject({ seeBy: seeBySchema, because: textSchema }).optional(),
  /** With `inPerson`: a sooner video look may be offered beside it (policy decides). */
  earlyLook: z.boolean(),
  imageFirst: z.boolean(),
  source,
})
export type Condition = z.output<typeof conditionSchema>

export const FLAG_LEVELS = ['emergency', 'same_day', 'urgent', 'in_person'] as const
export type FlagLevel = (typeof FLAG_LEVELS)[number]

export const redFlagSchema = z.strictObject({
  id,
  level: z.enum(FLAG_LEVELS),
  title: z.string().min(1),
  when: needSchema,
  /** Absent at emergency level: nothing is booked, help is called. */
  seeBy: seeBySchema.optional(),
  /** Plain advice. Never a diagnosis. */
  advice: textSchema,
  /** Conditions of which this flag is a part, so that it does not forbid their early look. */
  earlyLookWith: z.array(id).optional(),
  source,
})
export type RedFlag = z.output<typeof redFlagSchema>

/** A reason for which a home visit is not safe or not wanted: the patient is seen in person. */
export const homeRuleSchema = z.strictObject({
  id,
  title: z.string().min(1),
  when: needSchema,
  because: textSchema,
  source,
})
export type HomeRule = z.output<typeof homeRuleSchema>

/** A fact worked out from other facts, e.g. "at risk of falling". Needs read it like any other. */
export const derivedFactSchema = z.strictObject({
  id,
  title: z.string().min(1),
  plain: textSchema,
  when: needSchema,
  source,
})
export type DerivedFact = z.output<typeof derivedFactSchema>

export const costsSchema = z.strictObject({
  moveCameraSec: z.number().nonnegative(),
  changePositionSec: z.number().nonnegative(),
  callHelperSec: z.number().nonnegative(),
  releaseHelperSec: z.number().nonnegative(),
  source,
})
export type Costs = z.output<typeof costsSchema>

export const protocolSchema = z.strictObject({
  schemaVersion: z.literal(1),
  id,
  version: z.number().int().positive(),
  region: id,
  title: textSchema,
  /** True = shows the notice "demonstration, needs local clinical sign-off". */
  demonstration: z.boolean(),
  facts: z.array(factSchema),
  /** The fact "somebody is there to help": what a patient withdraws when their helper can't come. */
  helperFact: id,
  derived: z.array(derivedFactSchema),
  equipment: z.array(equipmentSchema),
  setUps: z.array(setUpSchema),
  /** In house order: the order in which the clinic likes to examine when nothing else decides. */
  stations: z.array(stationSchema).max(40),
  conditions: z.array(conditionSchema),
  redFlags: z.array(redFlagSchema),
  homeRules: z.array(homeRuleSchema),
  precedence: z.array(z.strictObject({ first: id, second: id, why: z.string().min(1) })),
  costs: costsSchema,
  /** Weight of a station in the coverage figure, by importance. */
  weights: z.strictObject({ essential: z.number(), useful: z.number(), optional: z.number(), source }),
})
export type Protocol = z.output<typeof protocolSchema>

export const SIDES = ['left', 'right', 'both'] as const
export type Side = (typeof SIDES)[number]
