/**
 * Years of visits that are over, of a clinic with sixty clinicians, written in the database itself: through the use cases, or
 * row by row with every check, it would take hours. What nobody counts (patients, screenings' texts, audit) is left out.
 */
import { sql } from 'drizzle-orm'
import type { Db } from '#db/client.ts'
import { addManyReferrals } from '../support/big-clinic.ts'
import { addSmallClinic, CLINIC } from '../support/clinic.ts'

/** The day after the last visit, 08:00 in New York. */
export const NOW = '2026-03-02T13:00:00Z'
const CLINICIANS = 60

/**
 * Visits `vis_1` … of as many referrals, the newest first, spread evenly over `years`. Nine in ten are by video; of all, about
 * 88 in a hundred took place, 7 were missed and 5 cancelled. Each video visit that took place is signed and has an entry for
 * every station and side of the plan that the engine made for one real referral; one in fifty was done in another way.
 */
export async function addYears(db: Db, visits: number, years: number): Promise<void> {
  await addSmallClinic(db)
  await addManyReferrals(db, 1)
  await db.transaction(async (tx) => {
    for (const who of ['clinician', 'patient', 'interpreter', 'room'])
      await tx.execute(sql.raw(`alter table visits drop constraint visits_${who}_no_overlap`))
    await tx.execute('set local session_replication_role = replica')
    await tx.execute('set local statement_timeout = 0')
    await tx.execute(sql`
      create temporary table made on commit drop as
      select n, 'vis_' || n as visit_id, 'ref_' || n as referral_id, 'cli_' || n % ${CLINICIANS} as clinician_id,
        timestamptz '2026-03-01T15:00:00Z' - n / per_day * interval '1 day' + n % 9 * interval '45 minutes' as starts_at,
        (array[0.4, 2, 5, 10, 20, 35])[1 + n % 6] * interval '1 day' as ahead,
        case when hash < 5 then 'cancelled' when hash < 12 then 'no_show' else 'done' end::visit_status as status,
        case when n % 10 = 0 then 'in_person' else 'video' end::visit_mode as mode, hash
      from (select n, ${Math.ceil(visits / (years * 365.25))}::int as per_day, abs(hashint4(n)) % 100 as hash
        from generate_series(1, ${visits}::int) n) t`)
    await tx.execute('create unique index on made (n)')
    await tx.execute('analyze made')
    await tx.execute(sql`insert into clinicians (clinic_id, id, name, credentials, languages, time_zone)
      select ${CLINIC}, 'cli_' || n, 'Clinician ' || n, 'DPM', array['en'], 'America/New_York'
      from generate_series(0, ${CLINICIANS - 1}::int) n`)
    await tx.execute(sql`
      insert into referrals select r.* from made m, referrals t,
        lateral jsonb_populate_record(t, jsonb_build_object('id', m.referral_id, 'patient_id', 'pat_' || n, 'fingerprint', m.n,
          'stage', 'closed', 'closed_because', 'It is over.', 'received_at', m.starts_at - m.ahead - interval '3 days',
          'condition_id', (array['flat_foot', 'heel_pain', 'big_toe_arthritis', 'ankle_sprain', 'cavovarus'])[1 + n % 5])) r
      where t.id = 'ref_0'`)
    await tx.execute(sql`
      insert into assessments (clinic_id, id, referral_id, at, disposition, screening)
      select ${CLINIC}, 'asm_' || n, referral_id, starts_at - ahead - interval '1 day',
        (array['video', 'video', 'video_with_gaps', 'in_person'])[1 + n % 4]::disposition, '{}' from made`)
    await tx.execute(sql`
      insert into visits (clinic_id, id, referral_id, patient_id, clinician_id, session_id, room_id, mode, status, starts_at,
        ends_at, busy_from, busy_to, plan, assessment_id, patient_time_zone, calendar_uid, created_at, changed_at)
      select ${CLINIC}, visit_id, made.referral_id, 'pat_' || n, clinician_id, 'ses_ames_video', 'roo_1', mode, status, starts_at, e,
        starts_at, e, case mode when 'video' then a.plan end, 'asm_' || n, 'America/New_York', n, starts_at - ahead, starts_at
      from made, assessments a, lateral (select starts_at + interval '45 minutes' as e) t where a.referral_id = 'ref_0'`)
    await tx.execute(sql`
      insert into visit_records (clinic_id, visit_id, began_at, ended_at, outcome, signed_by, signed_at)
      select ${CLINIC}, visit_id, case status when 'done' then starts_at end, starts_at + interval '40 minutes',
        case when status = 'no_show' then 'no_show' when hash < 16 then 'technical_failure' when hash < 18 then 'left_early'
          else 'completed' end::visit_outcome, 'stf_1', starts_at + interval '50 minutes'
      from made where mode = 'video' and status <> 'cancelled'`)
    await tx.execute(sql`
      insert into station_outcomes (clinic_id, visit_id, station_id, side, way_id, as_planned, result, reason, recorded_by,
        recorded_at)
      select ${CLINIC}, visit_id, station_id, side, case when p < 98 then way_id else 'another' end, p < 98,
        case when q < 80 then 'done' when q < 90 then 'done_with_difficulty' when q < 95 then 'not_possible' when q < 97 then 'stopped'
          else 'not_reached' end::station_result,
        case when q between 80 and 96 then (array['pain', 'camera', 'no_equipment', 'not_able', 'no_time'])[1 + q % 5] end::station_reason,
        'stf_1', starts_at
      from made, (select step->>'stationId' as station_id, step->>'wayId' as way_id, side::side, row_number() over () as k
          from assessments a, jsonb_array_elements(a.plan->'steps') step, jsonb_array_elements_text(step->'sides') side
          where a.referral_id = 'ref_0') s,
        lateral (select abs(hashint8(n * 64 + k)) % 100 as q, abs(hashint8(-n * 64 - k)) % 100 as p) t
      where mode = 'video' and status = 'done'`)
    await tx.execute(sql`
      insert into follow_ups (clinic_id, visit_id, kind, stations, see_by, referral_id, decided_by, decided_at)
      select ${CLINIC}, visit_id, 'in_person', '{}', starts_at + interval '14 days', 'ref_again_' || n, 'stf_1', starts_at
      from made where mode = 'video' and status = 'done' and hash < 20`)
    await tx.execute(sql`
      insert into readiness_kept (clinic_id, visit_id, for_starts_at, taken_at, worst, open_items)
      select ${CLINIC}, visit_id, starts_at, starts_at - interval '24 hours', case when n % 4 = 0 then 'late' else 'done' end::item_state,
        case when n % 8 = 0 then array['helper', 'equipment'] when n % 4 = 0 then array['equipment'] else '{}' end::readiness_item[]
      from made where mode = 'video' and ahead > interval '1 day'`)
    await tx.execute(sql`
      insert into messages (clinic_id, id, referral_id, visit_id, kind, dedupe_key, due_at, status, sent_at, created_at)
      select ${CLINIC}, kind || n, referral_id, visit_id, kind::message_kind, kind || n, due, 'sent', due, due
      from made, (values ('day_before', interval '1 day'), ('still_missing', interval '3 days')) k(kind, before),
      lateral (select starts_at - before as due) t where ahead > before`)
    await tx.execute(sql`
      insert into readiness_marks (clinic_id, id, visit_id, item, state, for_starts_at, by, by_kind, at)
      select ${CLINIC}, item || n, visit_id, item::readiness_item, 'confirmed', starts_at, 'pat_' || n, 'patient',
        starts_at - interval '90 hours' + n % 50 * interval '1 hour'
      from made, unnest(array['equipment', 'helper']) item where mode = 'video' and n % 8 <> 0`)
    await tx.execute(sql`
      insert into waits_kept (clinic_id, on_date, clinician_id, mode, taken_at, minutes, days, horizon_days)
      select ${CLINIC}, '2026-03-01'::date - ago, 'cli_' || c, mode, '2026-03-01T13:00:00Z'::timestamptz - ago * interval '1 day', 30,
        (ago + c) % 20, 90
      from generate_series(0, ${Math.round(years * 365.25)}::int) ago, generate_series(0, ${CLINICIANS - 1}::int) c,
        unnest(enum_range(null::visit_mode)) mode`)
  })
  await db.execute('vacuum analyze')
}
