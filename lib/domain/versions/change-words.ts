/**
 * A change of a protocol as one would tell it: under the thing it belongs to, what it is about, what was and what is.
 * Texts for patients bring their reading level along.
 */
import type { Need } from '../protocol/need.ts'
import { LOCALES, type Locale, type Protocol, type Reference } from '../protocol/schema.ts'
import { type Change, ORDER } from './diff.ts'
import { wayWords } from './fields.ts'
import { needWords } from './need-words.ts'
import { capital, PARTS, type Part, partOf, titleOf } from './parts.ts'
import { type ReadingLevel, readingLevel } from './reading-level.ts'

export type ToldChange = {
  /** As it stands in the document, with ids. */
  path: string
  about: string
  was: string | null
  is: string | null
  /** Of two lists: what only the first has, and what only the second. */
  out: string[]
  new: string[]
}
export type ChangeGroup = {
  /** What takes all of it back: the first names of its paths. */
  key: string
  heading: string
  part: Part | null
  /** The thing, where it is still there. */
  id: string | null
  changes: ToldChange[]
}

/** All changes, grouped by the thing they belong to. */
export function tellChanges(changes: readonly Change[], before: Protocol, after: Protocol): ChangeGroup[] {
  const groups = Map.groupBy(changes, groupKeyOf)
  return [...groups].map(([key, own]) => {
    const [list = '', id = ''] = key.split('/')
    const part = partOf(list)
    const isThere = part !== null && after[PARTS[part].list].some((each) => each.id === id)
    const title = part && id ? titleOf(isThere ? after : before, PARTS[part].list, id) : ''
    return {
      key,
      heading:
        part && id ? `${PARTS[part].one}: ${title}` : part ? PARTS[part].heading : (WORDS[list] ?? capital(list)),
      part,
      id: isThere ? id : null,
      changes: own.map((change) => tell(change, part && id ? 2 : 1, before, after)),
    }
  })
}

/** Changes with the same key belong to the same thing. */
export function groupKeyOf({ path: [list = '', id] }: Change): string {
  return partOf(list) && id !== undefined && id !== ORDER ? `${list}/${id}` : list
}

function tell({ path, ...change }: Change, depth: number, before: Protocol, after: Protocol): ToldChange {
  const inside = path.slice(depth)
  const was = 'before' in change ? valueWords(change.before, inside, before) : null
  const is = 'after' in change ? valueWords(change.after, inside, after) : null
  const lists = inside.at(-1) !== ORDER && namesIn(change.before) && namesIn(change.after)
  const only = (one: unknown, other: unknown, terms: Protocol) =>
    (namesIn(one) ?? []).filter((id) => !namesIn(other)?.includes(id)).map((id) => titleIn(id, terms))
  return {
    path: path.join('.'),
    about: aboutOf(inside, path),
    was,
    is,
    out: lists ? only(change.before, change.after, before) : [],
    new: lists ? only(change.after, change.before, after) : [],
  }
}

function aboutOf(inside: readonly string[], path: readonly string[]): string {
  if (inside.length === 0) return path.length > 1 ? 'The whole of it' : (WORDS[path[0] ?? ''] ?? path[0] ?? '')
  const [first = '', ...rest] = inside
  if (first === 'measures' && rest[0] && rest[0] !== ORDER)
    return [`Measured “${wayWords(rest[0])}”`, ...rest.slice(1).map(word)].join(', ')
  if (first === 'ways' && rest[0] && rest[0] !== ORDER)
    return [`Way “${wayWords(rest[0])}”`, ...rest.slice(1).map(word)].join(', ')
  return capital(inside.map(word).join(', '))
}

function word(name: string): string {
  return WORDS[name] ?? name.replaceAll('_', ' ')
}

const NEEDS = ['needs', 'safety', 'when', 'askWhen']

function valueWords(value: unknown, inside: readonly string[], terms: Protocol): string {
  const name = inside.at(-1) ?? ''
  if (name === ORDER) return (value as string[]).map((id) => titleIn(id, terms)).join('; ')
  if (NEEDS.includes(name)) return capital(needWords(value as Need, terms))
  if (typeof value === 'boolean') return value ? 'Yes' : 'No'
  if (typeof value === 'number') return String(value)
  if (typeof value === 'string') return WORDS[value] ?? value
  const names = namesIn(value)
  if (names) return names.length === 0 ? 'None' : names.map((id) => titleIn(id, terms)).join('; ')
  if (name === 'references') return referenceList(value as Reference[]) || 'None'
  const { title, label, en, within, unit } = (value ?? {}) as Record<string, unknown>
  if (typeof en === 'string') return en
  if (within !== undefined) return `${within} ${word(String(unit)).replace(/s$/, within === 1 ? '' : 's')}`
  if (typeof title === 'string' || typeof label === 'string') return capital(String(title ?? label))
  if (title) return (title as { en: string }).en
  if (inside.length === 0 || 'id' in ((value ?? {}) as object)) return 'There'
  if (typeof value !== 'object' || value === null) return 'Nothing'
  // What has no words of its own is told part by part.
  return Array.isArray(value)
    ? value.map((item) => valueWords(item, inside, terms)).join('; ')
    : Object.entries(value)
        .map(([key, part]) => `${capital(word(key))}: ${valueWords(part, [...inside, key], terms)}`)
        .join('; ')
}

function namesIn(value: unknown): string[] | null {
  return Array.isArray(value) && value.every((item) => typeof item === 'string') ? value : null
}

/** "adults: 0 to 20 (the source); …" */
export function referenceList(references: readonly Reference[]): string {
  const range = ({ from, to }: Reference) =>
    from === undefined ? `up to ${to}` : to === undefined ? `from ${from}` : `${from} to ${to}`
  return references.map((one) => `${one.who}: ${range(one)} (${one.source})`).join('; ')
}

function titleIn(id: string, terms: Protocol): string {
  return terms.stations.find((each) => each.id === id)?.title ?? id
}

/** Names of the document that are no words yet. */
const WORDS: Record<string, string> = {
  [ORDER]: 'order',
  en: 'English',
  es: 'Spanish',
  references: 'what is published',
  min: 'least',
  max: 'most',
  plain: 'title for the patient',
  looksFor: 'what the clinician looks for',
  unsafeBecause: 'said when it is not safe',
  setUp: 'set-up',
  value: 'information value',
  misses: 'what it misses',
  instructions: 'what the patient is told',
  helperInstructions: 'what the helper is told',
  fetch: 'what to fetch',
  when: 'when it holds',
  askWhen: 'when it is asked',
  ask: 'question',
  why: 'why it is asked',
  say: 'how it is said',
  seeBy: 'see-by time',
  inPerson: 'seen in person',
  because: 'why, for the patient',
  earlyLook: 'early look',
  imageFirst: 'image first',
  icd10: 'ICD-10-CM codes',
  forbids: 'never at home',
  anyOf: 'what serves',
  heightCm: 'height (cm)',
  mustSeeUpToCm: 'must see up to (cm)',
  costs: 'Costs of going from one station to the next',
  weights: 'Weights in the coverage',
  precedence: 'What comes before what',
  moveCameraSec: 'move the camera (seconds)',
  changePositionSec: 'change position (seconds)',
  callHelperSec: 'call the helper in (seconds)',
  releaseHelperSec: 'let the helper go (seconds)',
  demonstration: 'Notice that it is a demonstration',
  working_days: 'working days',
  within: 'within',
  unit: 'counted in',
}

export type ReadText = { path: string; about: string; text: string; level: ReadingLevel }

/** Every text for patients that differs, with how hard it is to read. Titles are no running text and have no level. */
export function changedTexts(changes: readonly Change[], before: Protocol, after: Protocol): ReadText[] {
  return changes.flatMap((change) => {
    const [group] = tellChanges([change], before, after)
    return 'after' in change
      ? textsIn(change.after, change.path).flatMap(({ path, text, locale }) => {
          const level = readingLevel(text, locale)
          return level ? [{ path: path.join('.'), about: group?.heading ?? '', text, level }] : []
        })
      : []
  })
}

const TITLES = ['title', 'plain']

function textsIn(value: unknown, path: readonly string[]): { path: readonly string[]; text: string; locale: Locale }[] {
  const locale = LOCALES.find((each) => each === path.at(-1))
  if (typeof value === 'string')
    return locale && !TITLES.includes(path.at(-2) ?? '') ? [{ path, text: value, locale }] : []
  if (typeof value !== 'object' || value === null) return []
  return Object.entries(value).flatMap(([key, part]) => textsIn(part, [...path, key]))
}
