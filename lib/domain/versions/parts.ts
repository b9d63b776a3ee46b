/** The parts that a protocol is read and edited in, and how each thing in them is named. */

import type { ProtocolFault } from '../protocol/load.ts'
import type { Protocol } from '../protocol/schema.ts'

/** The lists of a protocol, by the word in the address. */
export const PARTS = {
  stations: { list: 'stations', heading: 'Stations', one: 'Station' },
  'set-ups': { list: 'setUps', heading: 'Set-ups', one: 'Set-up' },
  conditions: { list: 'conditions', heading: 'Conditions', one: 'Condition' },
  'red-flags': { list: 'redFlags', heading: 'Red flags', one: 'Red flag' },
  safety: { list: 'homeRules', heading: 'Safety screens', one: 'Safety screen' },
  'worked-out': { list: 'derived', heading: 'Worked-out facts', one: 'Worked-out fact' },
  questions: { list: 'facts', heading: 'Questions', one: 'Question' },
  things: { list: 'equipment', heading: 'Things and stand-ins', one: 'Thing' },
} as const satisfies Record<string, { list: keyof Protocol; heading: string; one: string }>
export type Part = keyof typeof PARTS
export const PART_NAMES = Object.keys(PARTS) as [Part, ...Part[]]
export type PartList = (typeof PARTS)[Part]['list']

/** The part that a list of the document is edited in; null for what has no list of its own. */
export function partOf(list: string): Part | null {
  return PART_NAMES.find((part) => PARTS[part].list === list) ?? null
}

/** What staff call a thing of a protocol. */
export function titleOf(protocol: Protocol, list: PartList, id: string): string {
  const found = protocol[list].find((each) => each.id === id)
  if (!found) return id
  const title = 'label' in found ? found.label : found.title
  return capital(typeof title === 'string' ? title : title.en)
}

export function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1)
}

/** Where a fault is mended: the thing it lies in, if it lies in one. */
export function placeOf(protocol: Protocol, { path }: ProtocolFault): { part: Part; id: string; title: string } | null {
  const [list = '', index = ''] = path.split('.')
  const part = partOf(list)
  if (!part || !/^\d+$/.test(index)) return null
  const thing = protocol[PARTS[part].list][Number(index)]
  return thing ? { part, id: thing.id, title: titleOf(protocol, PARTS[part].list, thing.id) } : null
}

/** How a fault that a form can leave behind is mended. */
const MENDED_BY: readonly (readonly [RegExp, string])[] = [
  [/^no condition uses/, 'Make it part of a condition, or retire it.'],
  [/^nothing reads/, 'Nobody needs to be asked it any more: take the question out of the whole document.'],
  [/^no station uses/, 'Take the set-up out of the whole document, or let a station use it.'],
  [/can never be chosen/, 'Change its value, its needs or those of the way that is preferred.'],
  [/early look/, 'Say by when it is seen in person, or that no early look is offered.'],
  [/which a household could change/, 'A red flag may only read what nobody at home can change.'],
  [/points/, 'Change the points that are asked for.'],
]

/** What to do about a fault, in words. */
export function mendingOf({ message }: ProtocolFault): string {
  return MENDED_BY.find(([pattern]) => pattern.test(message))?.[1] ?? 'Mend it in the whole document.'
}
