/** A need as a lead reads it, with the thresholds in it: "helper, and seat height of 50 cm or more". */
import { type Need, partsOf } from '../protocol/need.ts'
import type { Protocol } from '../protocol/schema.ts'

type Terms = Pick<Protocol, 'facts' | 'derived' | 'equipment'>

/** Words for a whole need; an empty one asks for nothing. */
export function needWords(need: Need, terms: Terms): string {
  if ('fact' in need) {
    const label = factWords(need.fact, terms)
    if ('atLeast' in need) return `${label} of ${need.atLeast} ${need.unit === 'celsius' ? '°C' : need.unit} or more`
    return need.is ? label : `no to “${label}”`
  }
  if ('equipment' in need) {
    const found = terms.equipment.find(({ id }) => id === need.equipment)
    return found ? found.anyOf.map(({ title }) => lower(title.en)).join(' or ') : need.equipment
  }
  if ('all' in need) return need.all.length === 0 ? 'nothing' : joined(need, ', and ', terms)
  if ('any' in need) return joined(need, ', or ', terms)
  if ('not' in need) return `not (${needWords(need.not, terms)})`
  const items = need.of.map(({ points, when }) => `${needWords(when, terms)} (${points > 0 ? '+' : ''}${points})`)
  return `at least ${need.atLeastPoints} points of: ${items.join('; ')}`
}

/** What staff call a fact, asked or worked out. */
export function factWords(id: string, { facts, derived }: Terms): string {
  const title = derived.find((each) => each.id === id)?.title
  return facts.find((each) => each.id === id)?.label ?? (title === undefined ? id : lower(title))
}

/** Parts joined by another word than the whole stand in brackets. */
function joined(need: Need & ({ all: Need[] } | { any: Need[] }), between: string, terms: Terms): string {
  return partsOf(need)
    .map((part) => {
      const words = needWords(part, terms)
      const isOther = 'all' in need ? 'any' in part : 'all' in part
      return isOther && partsOf(part as { all: Need[] }).length > 1 && partsOf(need).length > 1 ? `(${words})` : words
    })
    .join(between)
}

function lower(text: string): string {
  return text.charAt(0).toLowerCase() + text.slice(1)
}

export type Threshold = { path: string; fact: string | null; value: number; words: string; unit: string }

/** Every number in a need that decides something, with its place in the document. */
export function thresholdsIn(need: Need, path: string, terms: Terms): Threshold[] {
  if ('atLeast' in need)
    return [
      {
        path: `${path}.atLeast`,
        fact: need.fact,
        value: need.atLeast,
        words: `${factWords(need.fact, terms)}, at least`,
        unit: need.unit === 'celsius' ? '°C' : need.unit,
      },
    ]
  if ('fact' in need || 'equipment' in need) return []
  const key = 'all' in need ? 'all' : 'any' in need ? 'any' : 'not' in need ? 'not' : 'of'
  const inside = partsOf(need).flatMap((part, index) =>
    thresholdsIn(part, key === 'not' ? `${path}.not` : `${path}.${key}.${index}${key === 'of' ? '.when' : ''}`, terms),
  )
  if (!('of' in need)) return inside
  const points = { path: `${path}.atLeastPoints`, fact: null, value: need.atLeastPoints }
  return [{ ...points, words: 'points of the score, at least', unit: 'points' }, ...inside]
}
