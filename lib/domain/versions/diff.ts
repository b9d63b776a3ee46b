/**
 * What is different between two versions of a protocol?
 *
 * Things are told apart by what they are called, not by where they stand in a list, so that a station taken out of the
 * middle is one change and not forty. Needs and time limits are compared whole: half of one says nothing by itself.
 * Carrying all changes out on the first version gives the second, exactly.
 */
import { copyOf, saysTheSame } from './json.ts'

/** `path` names things by id. `before` or `after` absent: it was not there, or is not any more. */
export type Change = { path: readonly string[]; before?: unknown; after?: unknown }

/** Stands last in a path: the order of a list, as the ids in it. */
export const ORDER = '#order'

type Json = Record<string, unknown>

/** Every difference, in the order of the document. */
export function diffOf(before: unknown, after: unknown, path: readonly string[] = []): Change[] {
  if (saysTheSame(before, after)) return []
  const lists = keyedPair(before, after)
  if (lists) return diffOfLists(lists.before, lists.after, path)
  if (isPlain(before) && isPlain(after) && !isWhole(before) && !isWhole(after))
    return [...new Set([...Object.keys(before), ...Object.keys(after)])].flatMap((key) => {
      const here = [...path, key]
      if (!(key in before)) return [{ path: here, after: after[key] }]
      if (!(key in after)) return [{ path: here, before: before[key] }]
      return diffOf(before[key], after[key], here)
    })
  return [{ path, before, after }]
}

function diffOfLists(before: Map<string, unknown>, after: Map<string, unknown>, path: readonly string[]): Change[] {
  const kept = [...before.keys()].filter((key) => after.has(key))
  const added = [...after.keys()].filter((key) => !before.has(key))
  // Where what is new goes to the end, the order needs no word.
  const order = [...kept, ...added].join('\n') === [...after.keys()].join('\n')
  return [
    ...[...before].flatMap(([key, value]) => {
      const here = [...path, key]
      return after.has(key) ? diffOf(value, after.get(key), here) : [{ path: here, before: value }]
    }),
    ...added.map((key) => ({ path: [...path, key], after: after.get(key) })),
    ...(order ? [] : [{ path: [...path, ORDER], before: [...before.keys()], after: [...after.keys()] }]),
  ]
}

/** The document with changes carried out; it is not changed itself. Those of `diffOf(a, b)` make b of a. */
export function applyChanges<T>(document: T, changes: readonly Change[]): T {
  const [whole] = changes.filter(({ path }) => path.length === 0)
  const copy = copyOf(whole ? whole.after : document)
  for (const { path, ...change } of changes) if (path.length > 0) carryOut(copy, path, copyOf(change))
  return copy as T
}

/** The same changes the other way round. */
export function undoing(changes: readonly Change[]): Change[] {
  return changes.map(({ path, ...change }) => ({
    path,
    ...('after' in change && { before: change.after }),
    ...('before' in change && { after: change.before }),
  }))
}

function carryOut(value: unknown, [key = '', ...rest]: readonly string[], change: Omit<Change, 'path'>): void {
  if (Array.isArray(value)) {
    if (key === ORDER) {
      const place = (item: unknown) => (change.after as string[]).indexOf(keyOf(item) ?? '')
      value.sort((a, b) => place(a) - place(b))
      return
    }
    const at = value.findIndex((item) => keyOf(item) === key)
    if (rest.length > 0) carryOut(value[at], rest, change)
    else if (!('after' in change)) value.splice(at, 1)
    else if (at === -1) value.push(change.after)
    else value[at] = change.after
    return
  }
  const object = value as Json
  if (rest.length > 0) carryOut(object[key], rest, change)
  else if ('after' in change) object[key] = change.after
  else delete object[key]
}

/** What a thing in a list is known by: its id, the pair it puts in order, or the fact that a stand-in is. */
export function keyOf(item: unknown): string | null {
  if (!isPlain(item)) return null
  const { id, first, second, fact, title } = item
  if (typeof id === 'string') return id
  if (typeof first === 'string' && typeof second === 'string') return `${first} before ${second}`
  return typeof fact === 'string' && title !== undefined ? fact : null
}

function keyedPair(before: unknown, after: unknown) {
  const lists = { before: keyed(before), after: keyed(after) }
  return lists.before && lists.after ? { before: lists.before, after: lists.after } : null
}

/** Null unless every thing in the list is known by something, each by something else. */
function keyed(value: unknown): Map<string, unknown> | null {
  if (!Array.isArray(value)) return null
  const map = new Map<string, unknown>()
  for (const item of value) {
    const key = keyOf(item)
    if (key === null || key === ORDER || map.has(key)) return null
    map.set(key, item)
  }
  return map
}

const NEED_KEYS = ['all', 'any', 'not', 'of', 'fact', 'equipment']

function isWhole(value: Json): boolean {
  const isNeed = keyOf(value) === null && NEED_KEYS.some((key) => key in value)
  return isNeed || ('within' in value && 'unit' in value)
}

function isPlain(value: unknown): value is Json {
  return typeof value === 'object' && value !== null && !Array.isArray(value)
}
