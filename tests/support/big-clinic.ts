/**
 * The small clinic with many more clinicians like Ames and many referrals like one that was really screened: copied in the
 * database, because screening each would take longer than what is to be measured.
 */
import { sql } from 'drizzle-orm'
import type { Db } from '#db/client.ts'
import { clinicians, clinicSessions, licences } from '#db/schema/index.ts'
import { Temporal } from '#lib/base/time.ts'
import type { AskedStart } from '#lib/usecases/steps/claim-start.ts'
import { addReferral, addSmallClinic, CLINIC, NOW } from './clinic.ts'

const TIME_ZONE = 'America/New_York'
const VISIT_MIN = 45
const SESSION_MIN = 480

/** Writes it all; returns a start for each of `starts` referrals (`ref_0`, `ref_1`, …), no two of which overlap. */
export async function addBigClinic(db: Db, starts: number, people: number, referrals = starts): Promise<AskedStart[]> {
  await addSmallClinic(db)
  const ids = Array.from({ length: people }, (_, n) => `cli_${n}`)
  const mine = { clinicId: CLINIC }
  await db
    .insert(clinicians)
    .values(ids.map((id) => ({ ...mine, id, name: id, credentials: 'DPM', languages: ['en'], timeZone: TIME_ZONE })))
  await db
    .insert(licences)
    .values(ids.map((id) => ({ ...mine, id: `lic_${id}`, clinicianId: id, state: 'NY', validFrom: '2020-01-01' })))
  await db.insert(clinicSessions).values(
    ids.map((id) => ({
      ...mine,
      id: `ses_${id}`,
      clinicianId: id,
      mode: 'video' as const,
      timeZone: TIME_ZONE,
      startsOn: '2026-01-05',
      opensAt: '09:00',
      durationMin: SESSION_MIN,
      rule: 'FREQ=WEEKLY;BYDAY=MO,TU,WE,TH,FR',
      grainMin: 15,
      bufferBeforeMin: 0,
      bufferAfterMin: 0,
      noticeMin: 0,
      createdAt: Temporal.Instant.from(NOW),
    })),
  )
  await addManyReferrals(db, referrals)

  const perDay = Math.floor(SESSION_MIN / VISIT_MIN)
  const first = Temporal.PlainDate.from('2026-03-03')
  return Array.from({ length: starts }, (_, n) => {
    const clinicianId = ids[n % people] as string
    const nth = Math.floor(n / people)
    const date = first.add({ weeks: Math.floor(nth / perDay) })
    const opens = date.toZonedDateTime({ timeZone: TIME_ZONE, plainTime: '09:00' }).toInstant()
    return {
      sessionId: `ses_${clinicianId}`,
      clinicianId,
      startsAt: opens.add({ minutes: (nth % perDay) * VISIT_MIN }),
      mode: 'video' as const,
      roomId: null,
      interpreterId: null,
      released: ['after_see_by' as const],
      because: 'every start is asked for, however late',
    }
  })
}

/** `ref_0` as it was screened, and copies of it up to `ref_<count - 1>`, each with its own patient. */
export async function addManyReferrals(db: Db, count: number, seeBy?: string): Promise<void> {
  await addReferral(db, { id: 'ref_0', ...(seeBy !== undefined && { seeBy }) })
  const copies: [table: string, key: string, own: string][] = [
    ['patients', 'id', 'pat_of_ref_'],
    ['referrals', 'id', 'ref_'],
    ['home_checks', 'referral_id', 'ref_'],
    ['assessments', 'referral_id', 'ref_'],
    ['answers', 'referral_id', 'ref_'],
  ]
  for (const [table, key, own] of copies) {
    const name = sql.identifier(table)
    await db.execute(sql`
      insert into ${name} select r.* from ${name} t, generate_series(1, ${count - 1}::int) n,
        lateral jsonb_populate_record(t, jsonb_build_object(${key}::text, ${own}::text || n)
          || case ${table}::text
            when 'referrals' then jsonb_build_object('patient_id', 'pat_of_ref_' || n, 'fingerprint', 'fingerprint ' || n)
            when 'assessments' then jsonb_build_object('id', 'asm_' || n)
            else '{}'::jsonb end) r
      where t.${sql.identifier(key)} = ${`${own}0`}`)
    // Else a key that points here is still looked up as if it were one of a handful of rows: row by row, through all.
    await db.execute(sql`analyze ${name}`)
  }
}
