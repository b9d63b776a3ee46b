/**
 * What a station, a way or a rule asks of a home, written as data.
 *
 * A fact is yes, no or a number; a fact that is absent is not known. Needs are
 * combined with strong Kleene logic (see `screening/evaluate.ts`), so a missing
 * answer can never count as a good one. `atLeastPoints` is for published scores:
 * each item that holds gives its points (less than 0 = takes them away).
 */
import { z } from 'zod'

export const UNITS = ['m', 'cm', 'years', 'days', 'celsius'] as const
export type Unit = (typeof UNITS)[number]

const id = z.string().regex(/^[a-z][a-z0-9_]*$/, 'lower case letters, digits and _')

export type Need =
  | { fact: string; is: boolean }
  | { fact: string; atLeast: number; unit: Unit }
  | { equipment: string }
  | { all: Need[] }
  | { any: Need[] }
  | { not: Need }
  | { atLeastPoints: number; of: { points: number; when: Need }[] }

/** Half points at the finest, so that sums are exact; some published scores subtract. */
const points = z
  .number()
  .multipleOf(0.5)
  .refine((value) => value !== 0, 'not 0')

export const needSchema: z.ZodType<Need> = z.lazy(() =>
  z.union([
    z.strictObject({ fact: id, is: z.boolean() }),
    z.strictObject({ fact: id, atLeast: z.number(), unit: z.enum(UNITS) }),
    z.strictObject({ equipment: id }),
    z.strictObject({ all: z.array(needSchema) }),
    z.strictObject({ any: z.array(needSchema).min(1) }),
    z.strictObject({ not: needSchema }),
    z.strictObject({
      atLeastPoints: z.number().multipleOf(0.5),
      of: z.array(z.strictObject({ points, when: needSchema })).min(1),
    }),
  ]),
)

/** Always met: the empty conjunction. */
export const NOTHING: Need = { all: [] }

/** The parts that a need is made of, whatever joins them. */
export function partsOf<Part>(
  need: { all: Part[] } | { any: Part[] } | { not: Part } | { of: { when: Part }[] },
): readonly Part[] {
  if ('all' in need) return need.all
  if ('any' in need) return need.any
  return 'not' in need ? [need.not] : need.of.map(({ when }) => when)
}

/** What is known of one case. Absent = not known. */
export type Facts = Readonly<Record<string, boolean | number>>

/** What was answered. 'not_sure' was asked and stays not known. */
export type Answer = boolean | number | 'not_sure'
export type Answers = Readonly<Record<string, Answer>>

/** Keeps what is known; "not sure" counts as never answered. */
export function knownFacts(answers: Answers): Facts {
  return Object.fromEntries(
    Object.entries(answers).filter((entry): entry is [string, boolean | number] => entry[1] !== 'not_sure'),
  )
}
