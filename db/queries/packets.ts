/** Revisions of a visit's packet, and what one is built from. Written by `revisePacket` alone, never changed. */
import { and, desc, eq, sql } from 'drizzle-orm'
import type { Temporal } from '#lib/base/time.ts'
import { type Packet, type PacketChange, packetChangesSchema, packetSchema } from '#lib/domain/packet/packet.ts'
import type { ExamPlan } from '#lib/domain/plan/exam-plan.ts'
import type { Screening } from '#lib/domain/screening/screening.ts'
import type { Db } from '../client.ts'
import { prepared } from '../prepared.ts'
import { assessments, clinicians, packets, visits } from '../schema/index.ts'

const { placeholder } = sql

export type PacketRevision = { revision: number; at: Temporal.Instant; content: Packet; changes: PacketChange[] }

export async function findNewestPacket(db: Db, clinicId: string, visitId: string): Promise<PacketRevision | null> {
  const [row] = await selectNewest(db, { clinicId, visitId })
  if (!row) return null
  return { ...row, content: packetSchema.parse(row.content), changes: packetChangesSchema.parse(row.changes) }
}

const selectNewest = prepared('newest_packet', (db) =>
  db
    .select({ revision: packets.revision, at: packets.at, content: packets.content, changes: packets.changes })
    .from(packets)
    .where(and(eq(packets.clinicId, placeholder('clinicId')), eq(packets.visitId, placeholder('visitId'))))
    .orderBy(desc(packets.revision))
    .limit(1),
)

export async function insertPacket(tx: Db, row: PacketRevision & { clinicId: string; visitId: string }): Promise<void> {
  await insertRevision(tx, row)
}

const insertRevision = prepared('insert_packet', (db) =>
  db.insert(packets).values({
    clinicId: placeholder('clinicId'),
    visitId: placeholder('visitId'),
    revision: placeholder('revision'),
    at: placeholder('at'),
    content: placeholder('content'),
    changes: placeholder('changes'),
  }),
)

/** A visit as its packet is built from it, locked: two revisions of one packet wait for each other. */
export async function findVisitToPrepare(tx: Db, clinicId: string, visitId: string) {
  const [row] = await selectVisitToPrepare(tx, { clinicId, visitId })
  if (!row) return null
  return { ...row, plan: row.plan as ExamPlan | null, screening: row.screening as Screening | null }
}

const selectVisitToPrepare = prepared('visit_to_prepare', (db) =>
  db
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
    .where(and(eq(visits.clinicId, placeholder('clinicId')), eq(visits.id, placeholder('visitId'))))
    .for('update', { of: visits }),
)
