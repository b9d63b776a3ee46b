/**
 * Which side is the referral about? A wrong side plans the wrong exam, so a side
 * is read only from places that name a body part or a condition, and only when
 * they agree. Anything else is null: the coordinator is asked.
 */
import type { Condition, Side } from '../protocol/schema.ts'

const WORDS: Readonly<Record<Side, RegExp>> = {
  left: /(?<!\p{L})(left|lt|izquierd[oa]s?)(?!\p{L})/iu,
  right: /(?<!\p{L})(right|rt|derech[oa]s?)(?!\p{L})/iu,
  both: /(?<!\p{L})(both|bilateral(ly|es)?|ambos|ambas)(?!\p{L})/iu,
}

/** Reads the name of a body part or of a condition. Two sides named apart are not taken for both. */
export function sideFromText(text: string): Side | null {
  const [side, other] = (Object.keys(WORDS) as Side[]).filter((one) => WORDS[one].test(text))
  return side !== undefined && other === undefined ? side : null
}

/**
 * Reads ICD-10-CM codes by the conditions' own lists. The last digit has no
 * fixed meaning for the side (M25.373 is "unspecified", M25.374 the right foot),
 * so nothing is worked out from the code itself.
 */
export function sideFromCodes(codes: readonly string[], conditions: readonly Pick<Condition, 'icd10'>[]): Side | null {
  const listed = (side: Side): boolean =>
    conditions.some(({ icd10 }) =>
      icd10[side].some((code) => codes.some((one) => withoutSeventh(one) === withoutSeventh(code))),
    )
  return agreed((['left', 'right', 'both'] as const).map((side) => (listed(side) ? side : null)))
}

/** The one side on which all that speak agree. Left and right apart are asked about; beside "both" they only spell it out. */
export function agreed(sides: readonly (Side | null)[]): Side | null {
  const told = new Set(sides.filter((one) => one !== null))
  if (told.size === 3) return 'both'
  const [side] = told
  return told.size === 1 && side !== undefined ? side : null
}

/** The seventh character says which encounter it is (A, D, S), not where it hurts. */
function withoutSeventh(code: string): string {
  return code.replace('.', '').slice(0, 6)
}
