/**
 * What did the person mean? One answer as it was typed or chosen, turned into a
 * value the engine can read, or the one thing that is wrong with it.
 *
 * Lengths may be given in metres or feet, centimetres or inches; they are kept
 * in the protocol's unit, rounded down to a centimetre so that a conversion never
 * makes a room longer than it is. 1 ft = 0.3048 m, 1 in = 2.54 cm exactly
 * (international yard and pound agreement, 1959). A line to walk may also be paced, or laid out in shoes, heel to toe.
 * Both are counted short: a step as 0.5 m, because a sore or careful foot falls short of the mean step of women (0.66 m,
 * Murray 1970), by how much is common practice; a shoe as 0.24 m, the bare foot of somebody 160 cm tall (0.152 of stature:
 * Drillis and Contini 1966).
 */
import { err, ok, type Result } from '#lib/base/result.ts'
import type { Answer, Unit } from '../protocol/need.ts'
import type { Fact } from '../protocol/schema.ts'

export type AnswerFault =
  | { code: 'answer_missing' }
  | { code: 'answer_not_offered' }
  | { code: 'not_a_number' }
  | { code: 'out_of_range'; min: number; max: number; unit: Unit }

/** How many of the protocol's unit one of the other is. */
const FACTORS: Partial<Record<Unit, Readonly<Record<string, number>>>> = {
  m: { m: 1, ft: 0.3048, cm: 0.01, in: 0.0254, steps: 0.5, shoes: 0.24 },
  cm: { cm: 1, in: 2.54, m: 100, ft: 30.48 },
}

/** What a number may be said in: the protocol's units, and those of a household. */
export type AskedUnit = Unit | 'ft' | 'in' | 'ft_in' | 'steps' | 'shoes'

/** What of a question its answer is read by. */
export type AskedFact = Pick<Fact, 'kind' | 'unit' | 'min' | 'max'>

/** The units a person may answer a number in, the household's first. People know their own height in feet and inches. */
export function unitsFor(fact: Pick<Fact, 'unit' | 'measures'>): AskedUnit[] {
  if (fact.measures === 'stature') return ['ft_in', 'cm']
  if (fact.unit === 'm') return ['ft', 'm', 'steps', 'shoes']
  if (fact.unit === 'cm') return ['in', 'cm']
  return fact.unit ? [fact.unit] : []
}

export function parseAnswer(fact: AskedFact, raw: string, unit?: string): Result<Answer, AnswerFault> {
  const typed = raw.trim()
  if (typed === '') return err({ code: 'answer_missing' })
  if (typed === 'not_sure') return ok('not_sure')
  if (fact.kind === 'yes_no') {
    if (typed === 'yes') return ok(true)
    if (typed === 'no') return ok(false)
    return err({ code: 'answer_not_offered' })
  }
  const amount = unit === 'ft_in' ? inchesIn(typed) : numberIn(typed)
  if (amount === null) return err({ code: 'not_a_number' })
  const own = fact.unit
  if (own === undefined) return err({ code: 'answer_not_offered' })
  const factors = FACTORS[own] ?? { [own]: 1 }
  const said = unit === 'ft_in' ? 'in' : unit
  // A unit comes from a form: what every object inherits, such as "constructor", is none.
  const factor = said === undefined ? 1 : Object.hasOwn(factors, said) ? factors[said] : undefined
  if (factor === undefined) return err({ code: 'answer_not_offered' })
  const grain = own === 'm' ? 100 : 1
  // The small addend undoes binary noise such as 3 / 0.01 = 299.99…, never a real centimetre.
  const value = factor === 1 ? amount : Math.floor(amount * factor * grain + 1e-6) / grain
  const { min = Number.NEGATIVE_INFINITY, max = Number.POSITIVE_INFINITY } = fact
  if (value < min || value > max) return err({ code: 'out_of_range', min, max, unit: own })
  return ok(value)
}

/** A decimal comma is a decimal point; anything else beside digits is not guessed at. */
function numberIn(typed: string): number | null {
  return /^\d{1,4}([.,]\d{1,3})?$/.test(typed) ? Number(typed.replace(',', '.')) : null
}

const FEET_AND_INCHES =
  /^(\d)\s*(?:(?:['’′]|-|\s|ft\.?|foot|feet|pies?)\s*(?:(\d{1,2})\s*(?:["”″]|in\.?|inch|inches|pulgadas?)?)?)?$/i

/** "5 ft 7 in", "5'7", "5 7", "5 feet". "5.7" is not guessed at: it may be meant as a decimal or as inches. */
function inchesIn(typed: string): number | null {
  const [, feet, inches = '0'] = FEET_AND_INCHES.exec(typed) ?? []
  return feet === undefined || Number(inches) > 11 ? null : 12 * Number(feet) + Number(inches)
}

/** "5 ft 7 in", from whole inches. */
export function feetAndInches(inches: number): string {
  return `${Math.floor(inches / 12)} ft ${inches % 12} in`
}

/** The least and the most that is accepted, to a tenth of the unit a person answers in; never wider than the range itself. */
export function rangeIn(
  fault: Extract<AnswerFault, { code: 'out_of_range' }>,
  unit: AskedUnit,
): { min: number; max: number } {
  const factor = FACTORS[fault.unit]?.[unit] ?? 1
  return { min: Math.ceil((fault.min / factor) * 10) / 10, max: Math.floor((fault.max / factor) * 10) / 10 }
}

/** An answer as a form holds it: what to type or choose to give it again. */
export type TypedAnswer = { raw: string; unit: AskedUnit | undefined }

/**
 * The way back, for a form that shows what was answered. A length is shown in the unit people here use where that means
 * exactly the same again (3.65 m is 12 ft), else as it is kept: opening and saving a page never changes an answer.
 */
export function asTyped(fact: Fact, answer: Answer | undefined): TypedAnswer {
  if (answer === undefined) return { raw: '', unit: undefined }
  if (answer === 'not_sure') return { raw: 'not_sure', unit: undefined }
  if (typeof answer === 'boolean') return { raw: answer ? 'yes' : 'no', unit: undefined }
  const own = fact.unit
  if (own === undefined) return { raw: String(answer), unit: undefined }
  for (const unit of unitsFor(fact)) {
    const exact = answer / (FACTORS[own]?.[unit === 'ft_in' ? 'in' : unit] ?? 1)
    // What was typed was rounded down when it was kept, so a whole number lies above it.
    const whole = Math.ceil(exact - 1e-6)
    const ways = unit === 'ft_in' ? [feetAndInches(whole)] : [String(whole), String(Math.round(exact * 10) / 10)]
    for (const raw of ways) {
      const again = parseAnswer(fact, raw, unit)
      if (again.ok && again.value === answer) return { raw, unit }
    }
  }
  return { raw: String(answer), unit: own }
}
