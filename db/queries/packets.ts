/** Revisions of a visit's packet, and what one is built from. Written by `revisePacket` alone, never changed. */
import { and, desc, eq } from 'drizzle-orm'
import type { Temporal } from '#lib/base/time.ts'
import { type Packet, type PacketChange, packetChangesSchema, packetSchema } from '#lib/domain/packet/packet.ts'
import type { ExamPlan } from '#lib/domain/plan/exam-plan.ts'
import type { Screening } from '#lib/domain/screening/screening.ts'
import type { Db } from '../client.ts'
import { assessments, clinicians, packets, visits } from '../schema/index.ts'

export type PacketRevision = { revision: number; at: Temporal.Instant; content: Packet; changes: PacketChange[] }

export async function findNewestPacket(db: Db, clinicId: string, visitId: string): Promise<PacketRevision | null> {
  const [row] = await db
    .select({ revision: packets.revision, at: packets.at, content: packets.content, changes: packets.changes })
    .from(packets)
    .where(and(eq(packets.clinicId, clinicId), eq(packets.visitId, visitId)))
    .orderBy(desc(packets.revision))
    .limit(1)
  if (!row) return null
  return { ...row, content: packetSchema.parse(row.content), changes: packetChangesSchema.parse(row.changes) }
}

export async function insertPacket(tx: Db, row: PacketRevision & { clinicId: string; visitId: string }): Promise<void> {
  await tx.insert(packets).values(row)
}

/** A visit as its packet is built from it, locked: two revisions of one packet wait for each other. */
export async function findVisitToPrepare(tx: Db, clinicId: string, visitId: string) {
  const [row] = await tx
    .select({
      referralId: visits.referralId,
      mode: visits.mode,
      startsAt: visits.startsAt,
      endsAt: visits.endsAt,
      timeZone: visits.patientTimeZone,
      clinicianName: clinicians.name,
      interpreterId: visits.interpreterId,
      plan: visits.plan,
      screening: assessments.screening,
    })
    .from(visits)
    .innerJoin(clinicians, and(eq(clinicians.clinicId, visits.clinicId), eq(clinicians.id, visits.clinicianId)))
    .leftJoin(assessments, and(eq(assessments.clinicId, visits.clinicId), eq(assessments.id, visits.assessmentId)))
    .where(and(eq(visits.clinicId, clinicId), eq(visits.id, visitId)))
    .for('update', { of: visits })
  if (!row) return null
  return { ...row, plan: row.plan as ExamPlan | null, screening: row.screening as Screening | null }
}
