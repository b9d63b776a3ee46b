/** What a home is like, as answers to the protocol's own questions, so that a journey only says what is different in its. */
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import type { Fact, Locale } from '#lib/domain/protocol/schema.ts'

/** By fact id. */
export type Home = Readonly<Record<string, boolean | number | 'not_sure'>>

/** Things that are good when they are so, though no household can change them. */
const FINE_WHEN_YES = ['accepts_video', 'reach_foot']

/** The answer to one question: as wished, or as in a home where everything is there and nothing is wrong. */
export function answerOf(fact: Fact, home: Home): boolean | number | 'not_sure' {
  if (fact.measures !== undefined) return home[fact.id] ?? 'not_sure'
  return home[fact.id] ?? fact.change?.to ?? FINE_WHEN_YES.includes(fact.id)
}

/** The fact that a patient is asked about in these words. */
export function factAsked(question: string, locale: Locale = 'en'): Fact {
  const fact = footAndAnkle.facts.find(({ ask }) => ask[locale] === question)
  if (!fact) throw new Error(`The protocol does not ask “${question}”`)
  return fact
}

/** How the question of this fact is put to a patient. */
export function questionOf(factId: string): string {
  const fact = footAndAnkle.facts.find(({ id }) => id === factId)
  if (!fact) throw new Error(`The protocol has no fact ${factId}`)
  return fact.ask.en
}

/** What staff call a station. */
export function stationTitle(stationId: string): string {
  const station = footAndAnkle.stations.find(({ id }) => id === stationId)
  if (!station) throw new Error(`The protocol has no station ${stationId}`)
  return station.title
}

/** What a patient reads for a station. */
export function plainTitle(stationId: string): string {
  return footAndAnkle.stations.find(({ id }) => id === stationId)?.plain.en ?? ''
}
