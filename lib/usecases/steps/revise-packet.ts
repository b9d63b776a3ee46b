/**
 * Writes the next revision of a visit's packet, inside the transaction of whatever changed. Nothing different for the
 * patient means no new revision: they are never sent to read the same thing twice.
 */
import type { Db } from '#db/client.ts'
import { asAnswers, listAnswersOfVisit } from '#db/queries/answers.ts'
import type { Clinic } from '#db/queries/clinics.ts'
import { findNewestPacket, findVisitToPrepare, insertPacket } from '#db/queries/packets.ts'
import { getProtocol } from '#db/queries/protocols.ts'
import { invariant } from '#lib/base/invariant.ts'
import { buildPacket, type PacketChange, packetChanges } from '#lib/domain/packet/packet.ts'
import type { Ctx } from '../context.ts'

export type RevisedPacket = {
  revision: number
  /** False = the packet that was there still says it all. */
  isNew: boolean
  /** Since the revision before; empty on the first. */
  changes: PacketChange[]
}

/** Builds the packet from the visit's own plan and assessment. Null for a visit without one: in person, nothing is prepared. */
export async function revisePacket(tx: Db, ctx: Ctx, clinic: Clinic, visitId: string): Promise<RevisedPacket | null> {
  const { clinicId } = ctx.actor
  const [visit, given, before] = await Promise.all([
    findVisitToPrepare(tx, clinicId, visitId),
    listAnswersOfVisit(tx, clinicId, visitId),
    findNewestPacket(tx, clinicId, visitId),
  ])
  invariant(visit, 'the visit whose packet is revised is there')
  const { plan, screening } = visit
  if (visit.mode !== 'video' || plan === null || screening === null) return null

  const protocol = await getProtocol(tx, clinicId, screening.protocolId, screening.protocolVersion)
  const content = buildPacket({
    protocol,
    plan,
    screening,
    answers: asAnswers(given),
    visit: {
      startsAt: visit.startsAt,
      endsAt: visit.endsAt,
      timeZone: visit.timeZone,
      clinicianName: visit.clinicianName,
      hasInterpreter: visit.interpreterId !== null,
    },
    clinic: {
      name: clinic.name,
      phone: clinic.phone,
      emergencyNumber: clinic.emergencyNumber,
      timeZone: clinic.timeZone,
      joinAddress: clinic.policy.visit.joinAddress,
    },
  })
  const changes = before ? packetChanges(before.content, content) : []
  if (before && changes.length === 0) return { revision: before.revision, isNew: false, changes }
  const revision = (before?.revision ?? 0) + 1
  await insertPacket(tx, { clinicId, visitId, revision, at: ctx.now(), content, changes })
  return { revision, isNew: true, changes }
}
