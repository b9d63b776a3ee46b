/**
 * How long does a whole search take, with the database in it: the referral and the clinic read, the supply read for what
 * could serve, the first 20 starts found? The clinic of the bench `slot-search` in a PostgreSQL server, or embedded.
 */
import { sql } from 'drizzle-orm'
import type { Db } from '#db/client.ts'
import { insertMany } from '#db/insert-many.ts'
import { migrate } from '#db/migrate.ts'
import { findBookingCase } from '#db/queries/booking-case.ts'
import { getClinic } from '#db/queries/clinics.ts'
import { clinicians, clinicSessions, interpreters, licences, rooms, sites, visits } from '#db/schema/index.ts'
import { invariant } from '#lib/base/invariant.ts'
import { Temporal } from '#lib/base/time.ts'
import type { Wishes } from '#lib/domain/booking/demand-of.ts'
import type { Supply } from '#lib/domain/calendar/supply.ts'
import { searchStarts } from '#lib/usecases/steps/search-starts.ts'
import { addManyReferrals } from '../support/big-clinic.ts'
import { addSmallClinic, CLINIC } from '../support/clinic.ts'
import type { BenchOptions, BenchRow } from './bench-row.ts'
import { openSomewhere } from './open-somewhere.ts'
import { clinic, demandOf, FROM, randomFrom } from './slot-search.ts'
import { figures } from './timing.ts'

const LIMIT = 20

/** Times whole requests for as many referrals, each with its own needs and wishes. */
export async function rows(options: BenchOptions = {}): Promise<BenchRow[]> {
  const { clinicians: people = 200, days = 90, visits: booked = 60_000, requests = 300, seed = 7 } = options
  const random = randomFrom(seed)
  const supply = clinic(people, days, booked, random)
  const { database, stop } = await openSomewhere()
  const { db } = database
  try {
    await migrate(database)
    await addSmallClinic(db)
    await fill(db, supply)
    const asked = await addReferrals(db, supply, requests, random)
    await db.execute('analyze')

    let empty = 0
    const took: number[] = []
    for (const [n, { referralId, now, wishes }] of [...asked.slice(0, 30), ...asked].entries()) {
      const before = performance.now()
      const [bookingCase, itself] = await Promise.all([
        findBookingCase(db, CLINIC, referralId, { lock: false }),
        getClinic(db, CLINIC),
      ])
      invariant(bookingCase, 'the referral was added')
      const { starts } = await searchStarts(db, bookingCase, wishes, itself, now)
      // The first thirty only warm up.
      if (n >= 30) took.push(performance.now() - before)
      if (n >= 30) empty += Number(starts.length === 0)
    }
    const [{ count }] = (await db.select({ count: sql<number>`count(*)::int` }).from(visits)) as [{ count: number }]
    return [
      {
        id: 'slot-search-request',
        ...figures(took),
        note:
          `${database.kind}, ${people} clinicians, ${days} days, ${count} visits, first ${LIMIT} starts, ${requests} requests ` +
          `(${empty} without a start, so with the search for a release), one at a time`,
      },
    ]
  } finally {
    await database.close()
    await stop()
  }
}

/** Writes the invented clinic beside the small one. What two visits of it both claim goes to the first. */
async function fill(db: Db, supply: Supply): Promise<void> {
  const mine = { clinicId: CLINIC }
  const timeZone = 'America/New_York'
  const at = (milliseconds: number) => Temporal.Instant.fromEpochMilliseconds(milliseconds)
  await insertMany(
    db,
    sites,
    supply.sites.map((site) => ({ ...mine, ...site, name: site.id, address: site.id, timeZone })),
  )
  await insertMany(
    db,
    rooms,
    supply.rooms.map((room) => ({ ...mine, ...room, name: room.id })),
  )
  const person = { ...mine, timeZone }
  await insertMany(
    db,
    clinicians,
    supply.clinicians.map(({ id, languages }) => ({
      ...person,
      id,
      name: id,
      credentials: 'DPM',
      languages: [...languages],
    })),
  )
  await insertMany(
    db,
    interpreters,
    supply.interpreters.map(({ id, languages }) => ({ ...person, id, name: id, languages: [...languages] })),
  )
  await insertMany(
    db,
    licences,
    supply.licences.map((licence, n) => ({ ...mine, ...licence, id: `lic_bench_${n}` })),
  )
  await insertMany(
    db,
    clinicSessions,
    supply.sessions.map(({ owner, exceptions: _, ...session }) => ({
      ...mine,
      ...session,
      siteId: session.siteId ?? (session.mode === 'video' ? null : (supply.sites[0]?.id ?? null)),
      clinicianId: owner.kind === 'clinician' ? owner.id : null,
      interpreterId: owner.kind === 'interpreter' ? owner.id : null,
      createdAt: at(FROM),
    })),
  )
  const rowsOf = (resource: 'clinician' | 'room') => supply.busy.filter((busy) => busy.resource === resource)
  const roomAt = new Map(rowsOf('room').map((busy) => [`${busy.id.split('_room_')[0]} ${busy.start}`, busy.id]))
  const sessionsOf = Map.groupBy(supply.sessions, ({ owner }) => owner.id)
  const taken = rowsOf('clinician').map((busy, n) => {
    const session = sessionsOf.get(busy.id)?.[0]
    const siteId = sessionsOf.get(busy.id)?.find((each) => each.siteId !== null)?.siteId
    const roomId = roomAt.get(`${siteId} ${busy.start}`) ?? null
    return [`bench_${n}`, busy.id, session?.id, roomId, busy.start, busy.end - 5 * 60_000, busy.end]
  })
  await db.transaction(async (tx) => {
    // Visits of patients who are nowhere: the search only asks when somebody is taken.
    await tx.execute('set local session_replication_role = replica')
    for (let n = 0; n < taken.length; n += 5000) {
      await tx.execute(sql`
        insert into visits (clinic_id, id, referral_id, patient_id, clinician_id, session_id, room_id, mode, status, starts_at,
          ends_at, busy_from, busy_to, patient_time_zone, calendar_uid, created_at, changed_at)
        select ${CLINIC}, v ->> 0, v ->> 0, v ->> 0, v ->> 1, v ->> 2, v ->> 3,
          (case when v ->> 3 is null then 'video' else 'in_person' end)::visit_mode, 'booked',
          to_timestamp((v ->> 4)::float8 / 1000), to_timestamp((v ->> 5)::float8 / 1000),
          to_timestamp((v ->> 4)::float8 / 1000), to_timestamp((v ->> 6)::float8 / 1000), ${timeZone}, v ->> 0, now(), now()
        from json_array_elements(${JSON.stringify(taken.slice(n, n + 5000))}::json) v
        on conflict do nothing`)
    }
  })
}

/** Copies of one screened referral, each with the needs of one demand of the bench `slot-search`. */
async function addReferrals(db: Db, supply: Supply, count: number, random: () => number) {
  await addManyReferrals(db, count, '2026-12-31T00:00:00Z')
  const asked: { referralId: string; now: Temporal.Instant; wishes: Wishes }[] = []
  for (let n = 0; n < count; n += 1) {
    const demand = demandOf(supply, random)
    const referralId = `ref_${n}`
    const seeBy = Temporal.Instant.fromEpochMilliseconds(demand.seeBy ?? Date.parse('2026-12-31T00:00:00Z')).toString()
    await db.execute(sql`
      with patient as (
        update patients set interpreter_language = ${demand.interpreterLanguage}::text,
          preferred_site_id = ${demand.siteIds[0] ?? null}::text, time_zone = ${demand.patientTimeZone}
        where clinic_id = ${CLINIC} and id = ${`pat_of_${referralId}`}),
      referral as (
        update referrals set see_by = ${seeBy}::timestamptz where clinic_id = ${CLINIC} and id = ${referralId})
      update home_checks set time_zone = ${demand.patientTimeZone}, place_state = ${demand.placeState ?? 'NY'},
        patient_windows = ${JSON.stringify(demand.patientWindows)}::jsonb,
        helper_windows = ${JSON.stringify(demand.helper ? demand.helperWindows : [])}::jsonb
      where clinic_id = ${CLINIC} and referral_id = ${referralId}`)
    const wish = demand.clinician
    asked.push({
      referralId,
      now: Temporal.Instant.fromEpochMilliseconds(demand.now),
      wishes: {
        askedBy: 'staff',
        mode: demand.mode,
        clinicianId: wish?.clinicianId ?? null,
        dayPart: demand.dayPart ? 'afternoon' : null,
        siteId: null,
        released: wish && !wish.only ? ['another_clinician', 'another_day_part'] : ['another_day_part'],
        fromDay: null,
        before: null,
        limit: LIMIT,
        perDay: null,
      },
    })
  }
  return asked
}
