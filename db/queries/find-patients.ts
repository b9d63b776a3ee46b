/** Patients by what somebody on the phone says of themselves, with their referrals, open and closed. */
import { and, asc, desc, eq, inArray, type SQL, sql } from 'drizzle-orm'
import type { Quest } from '#lib/domain/desk/find-patient.ts'
import type { Db } from '../client.ts'
import { patients, referrals } from '../schema/index.ts'

/** At most `limit` patients by name, each with every referral of theirs, newest first. */
export async function findPatients(db: Db, clinicId: string, quest: Quest, limit: number) {
  const found = await db
    .select({
      id: patients.id,
      givenName: patients.givenName,
      familyName: patients.familyName,
      birthDate: patients.birthDate,
      phone: patients.phone,
    })
    .from(patients)
    .where(and(eq(patients.clinicId, clinicId), fits(quest)))
    .orderBy(asc(patients.familyName), asc(patients.givenName), asc(patients.id))
    .limit(limit)
  if (found.length === 0) return []
  const theirs = await db
    .select({
      id: referrals.id,
      patientId: referrals.patientId,
      stage: referrals.stage,
      side: referrals.side,
      protocolId: referrals.protocolId,
      conditionId: referrals.conditionId,
      conditionText: referrals.conditionText,
      receivedAt: referrals.receivedAt,
    })
    .from(referrals)
    .where(
      and(
        eq(referrals.clinicId, clinicId),
        inArray(
          referrals.patientId,
          found.map(({ id }) => id),
        ),
      ),
    )
    .orderBy(desc(referrals.receivedAt), asc(referrals.id))
  const of = Map.groupBy(theirs, ({ patientId }) => patientId)
  return found.map((patient) => ({ ...patient, referrals: of.get(patient.id) ?? [] }))
}

function fits(quest: Quest): SQL | undefined {
  switch (quest.kind) {
    case 'born':
      return eq(patients.birthDate, quest.on)
    case 'phone':
      return sql`right(regexp_replace(${patients.phone}, '\\D', '', 'g'), ${quest.digits.length}) = ${quest.digits}`
    case 'name': {
      // A blank before every name, so that the beginning of each of them is found and the middle of none.
      const names = sql`' ' || lower(${patients.givenName} || ' ' || ${patients.familyName})`
      return and(...quest.words.map((word) => sql`strpos(${names}, ${` ${word}`}) > 0`))
    }
  }
}
