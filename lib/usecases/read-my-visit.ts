/** The patient's own visit: when, with whom, and what they can say about being ready. */
import { findVisitOfReferral } from '#db/queries/board.ts'
import { getClinic } from '#db/queries/clinics.ts'
import { findNewestPacket } from '#db/queries/packets.ts'
import { getProtocol } from '#db/queries/protocols.ts'
import { listMarks } from '#db/queries/readiness.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { Text } from '#lib/domain/protocol/schema.ts'
import { toBoardVisit } from '#lib/domain/readiness/board-visit.ts'
import type { ItemState } from '#lib/domain/readiness/items.ts'
import type { Ctx } from './context.ts'

export type MyVisit = {
  visitId: string
  mode: 'video' | 'in_person'
  startsAt: string
  minutes: number
  timeZone: string
  clinicianName: string
  siteName: string | null
  /** The thing, or the stand-ins they said they have. */
  things: Text[]
  equipment: ItemState
  helper: ItemState
  helperWindow: { from: string; to: string } | null
  hasPacket: boolean
}
export type ReadMyVisitError = { code: 'referral_not_found' }

/** Null while nothing is booked. */
export async function readMyVisit(
  ctx: Ctx,
  { referralId }: { referralId: string },
): Promise<Result<MyVisit | null, ReadMyVisitError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  if (!may(ctx.actor, 'visit.read', { clinicId, referralId })) return err({ code: 'referral_not_found' })
  const stored = await findVisitOfReferral(ctx.db, clinicId, referralId)
  if (!stored) return ok(null)
  const { policy } = await getClinic(ctx.db, clinicId)
  const protocol = await getProtocol(ctx.db, clinicId, stored.protocolId, stored.protocolVersion)
  const marks = (await listMarks(ctx.db, clinicId, [stored.visitId])).get(stored.visitId) ?? []
  const visit = toBoardVisit(stored, marks, protocol, policy.readiness, now)
  const packet = await findNewestPacket(ctx.db, clinicId, stored.visitId)
  const stateOf = (item: string) => visit.items.find((each) => each.item === item)?.state ?? 'not_needed'
  return ok({
    visitId: visit.visitId,
    mode: visit.mode,
    startsAt: visit.startsAt,
    minutes: Math.round(stored.startsAt.until(stored.endsAt).total('minutes')),
    timeZone: visit.patientTimeZone,
    clinicianName: visit.clinicianName,
    siteName: visit.siteName,
    things: (packet?.content.fetch ?? []).flatMap(({ title, instead }) => (instead.length > 0 ? instead : [title])),
    equipment: stateOf('equipment'),
    helper: marks.some((mark) => mark.item === 'helper' && mark.state === 'withdrawn') ? 'cannot' : stateOf('helper'),
    helperWindow: visit.helperWindow,
    hasPacket: packet !== null,
  })
}
