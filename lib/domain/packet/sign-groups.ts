/**
 * How are signs that count only together told without saying one of them over and over? Fever counts with a spreading
 * redness, with an open sore, with a hot joint: said once, "and also one of these". Nothing is left out or added: written
 * out again, the groups are the same sets of signs.
 */
import type { Sign } from './packet.ts'

/** The sign that opens the group; with it any of `also` is enough, each a set that must be there whole. Empty = alone. */
export type SignGroup = { sign: Sign; also: Sign[][] }

const keyOf = ({ ask, answer }: Sign) => JSON.stringify([ask.en, answer])

/** Sets of signs, each enough by itself, told by the sign that most of them share; in the order in which they came. */
export function groupSigns(sets: readonly (readonly Sign[])[]): SignGroup[] {
  const [head] = sets
  if (head === undefined) return []
  const opener = head.length > 1 ? mostShared(head, sets) : head[0]
  if (opener === undefined) return groupSigns(sets.slice(1))
  const key = keyOf(opener)
  // A sign that is enough alone is not told as one of a group.
  const isOfGroup = (set: readonly Sign[]) => set.length > 1 && set.some((sign) => keyOf(sign) === key)
  const group = head.length > 1 ? sets.filter(isOfGroup) : []
  const rest = sets.slice(1).filter((set) => !group.includes(set))
  const also = group.map((set) => set.filter((sign) => keyOf(sign) !== key))
  return [{ sign: opener, also }, ...groupSigns(rest)]
}

/** Of the signs of one set, the one that most sets of several signs share; the first of equals. */
function mostShared(of: readonly Sign[], sets: readonly (readonly Sign[])[]): Sign | undefined {
  const count = (sign: Sign) =>
    sets.filter((set) => set.length > 1 && set.some((each) => keyOf(each) === keyOf(sign))).length
  return of.reduce((best, sign) => (count(sign) > count(best) ? sign : best))
}
