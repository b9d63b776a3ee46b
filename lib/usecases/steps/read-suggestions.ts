/** Ways of the protocols in force that are done less often than the clinic expects, with what the lead said of them. */
import type { Db } from '#db/client.ts'
import type { Clinic } from '#db/queries/clinics.ts'
import { countTries, type LearningScope, listWayReviews } from '#db/queries/learning.ts'
import { listCurrentProtocols } from '#db/queries/protocols.ts'
import { type Suggestion, suggestReviews } from '#lib/domain/learning/suggestions.ts'
import { waysOf } from '#lib/domain/learning/tries.ts'
import { wayNames } from './way-names.ts'

export type NamedSuggestion = Suggestion & { station: string; way: string }

export async function readSuggestions(
  db: Db,
  { id: clinicId, policy }: Clinic,
  scope: LearningScope,
): Promise<NamedSuggestion[]> {
  const [protocols, tries, reviews] = await Promise.all([
    listCurrentProtocols(db, clinicId),
    countTries(db, scope),
    listWayReviews(db, clinicId),
  ])
  const inForce = waysOf(tries).filter(({ protocolId, protocolVersion }) =>
    protocols.some(({ id, version }) => id === protocolId && version === protocolVersion),
  )
  const names = wayNames(protocols)
  return suggestReviews(inForce, reviews, policy.learning).map((suggestion) => ({
    ...suggestion,
    ...names(suggestion),
  }))
}
