/** What do the patient and their helper still have to do before this visit? The same items, judged the same, as on the board. */

import type { Db } from '#db/client.ts'
import { findVisitToShow } from '#db/queries/board.ts'
import { getClinic } from '#db/queries/clinics.ts'
import { getProtocol } from '#db/queries/protocols.ts'
import { listMarks } from '#db/queries/readiness.ts'
import { toBoardVisit } from '#lib/domain/readiness/board-visit.ts'
import type { ReadinessItem } from '#lib/domain/readiness/items.ts'
import type { Ctx } from '../context.ts'

/** In the fixed order of the items; nothing that only the clinic can do. */
export async function missingFor(tx: Db, ctx: Ctx, visitId: string): Promise<ReadinessItem[]> {
  const { clinicId } = ctx.actor
  const stored = await findVisitToShow(tx, clinicId, visitId)
  if (!stored) return []
  const { policy } = await getClinic(tx, clinicId)
  const protocol = await getProtocol(tx, clinicId, stored.protocolId, stored.protocolVersion)
  const marks = (await listMarks(tx, clinicId, [visitId])).get(visitId) ?? []
  return toBoardVisit(stored, marks, protocol, policy.readiness, ctx.now())
    .items.filter(({ state, actor }) => (state === 'waiting' || state === 'late') && actor !== 'coordinator')
    .map(({ item }) => item)
}
