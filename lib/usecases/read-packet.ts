/** The newest packet of a referral's booked video visit. */

import { findVisitOfReferral } from '#db/queries/board.ts'
import { findNewestPacket } from '#db/queries/packets.ts'
import { findPatientOfReferral } from '#db/queries/patients.ts'
import { listMarks } from '#db/queries/readiness.ts'
import { fullName } from '#lib/base/plain-text.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { Temporal } from '#lib/base/time.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { Packet, PacketChange } from '#lib/domain/packet/packet.ts'
import type { Locale } from '#lib/domain/protocol/schema.ts'
import type { Ctx } from './context.ts'

export type ReadPacket = {
  visitId: string
  revision: number
  /** ISO. */
  at: string
  content: Packet
  changes: PacketChange[]
  /** Nobody has opened this revision yet. */
  isUnread: boolean
  /** Whom it was made for. */
  reader: { name: string; phone: string | null; language: Locale }
}
export type ReadPacketError = { code: 'referral_not_found' }

/** Null when no video visit is booked: there is nothing to get ready at home. */
export async function readPacket(
  ctx: Ctx,
  { referralId }: { referralId: string },
): Promise<Result<ReadPacket | null, ReadPacketError>> {
  const { clinicId } = ctx.actor
  if (!may(ctx.actor, 'packet.read', { clinicId, referralId })) return err({ code: 'referral_not_found' })
  const visit = await findVisitOfReferral(ctx.db, clinicId, referralId)
  if (visit?.mode !== 'video') return ok(null)
  const packet = await findNewestPacket(ctx.db, clinicId, visit.visitId)
  const owner = await findPatientOfReferral(ctx.db, clinicId, referralId)
  if (!packet || !owner) return ok(null)
  const { givenName, familyName, phone, language } = owner.patient
  const marks = (await listMarks(ctx.db, clinicId, [visit.visitId])).get(visit.visitId) ?? []
  const opened = marks.find(({ item, state }) => item === 'packet_opened' && state === 'confirmed')
  return ok({
    visitId: visit.visitId,
    revision: packet.revision,
    at: packet.at.toString(),
    content: packet.content,
    changes: packet.changes,
    isUnread: !opened || Temporal.Instant.compare(opened.at, packet.at) < 0,
    reader: { name: fullName({ givenName, familyName }), phone, language: language === 'es' ? 'es' : 'en' },
  })
}
