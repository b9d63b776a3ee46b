/** People of the clinic in words. */

import { US_STATES } from '#lib/domain/intake/us-states.ts'
import type { LicenceDraft } from '#lib/domain/staffing/licence-draft.ts'
import { plainDate } from '#lib/words/session-words.ts'

const LANGUAGES = new Intl.DisplayNames(['en-US'], { type: 'language' })

/** "English, Spanish" */
export function languageNames(tags: readonly string[]): string {
  return tags.map((tag) => LANGUAGES.of(tag) ?? tag).join(', ')
}

export function stateName(code: string): string {
  return US_STATES.find((state) => state.code === code)?.name ?? code
}

/** "Oregon", "Idaho until June 30, 2027", "Utah from January 1, 2027": what is past or to come is said. */
export function licenceLine({ state, validFrom, validTo }: LicenceDraft, today: string): string {
  const from = validFrom > today ? ` from ${plainDate(validFrom)}` : ''
  const until = validTo === null ? '' : ` until ${plainDate(validTo)}`
  return `${stateName(state)}${from}${until}`
}
