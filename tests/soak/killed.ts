/**
 * A process is killed (SIGKILL) again and again while it books, and started again each time. After every death each visit
 * must be wholly there, with its audit line, packet, messages, their jobs, its command and the referral's stage, or wholly
 * absent; and at the end, everything having been sent again with the same keys, each is there once.
 */
import { once as onceEvent } from 'node:events'
import { sql } from 'drizzle-orm'
import { type Database, type DatabaseSettings, openDatabase, rawRows } from '#db/client.ts'
import { migrate } from '#db/migrate.ts'
import { openQueue } from '#lib/jobs/queue.ts'
import { randomFrom } from '#tests/domain/plan/random-plans.ts'
import { addBigClinic } from '#tests/support/big-clinic.ts'
import { linesOf, startChild } from './child.ts'

export type KilledSize = { bookings: number; kills: number; seed: number }

/** Longer than most bookings take. */
const BOOKING_MS = 60

export type KilledFigures = {
  booked: number
  /** Visits of which a part was missing, and parts without their visit, over all deaths. */
  torn: number
  /** How many visits stood there after each death: kills that came before or after all the work prove nothing. */
  afterKills: number[]
}

export async function killed(settings: DatabaseSettings, size: KilledSize): Promise<KilledFigures> {
  const { bookings, kills, seed } = size
  const random = randomFrom(seed)
  const starts = await within(settings, async (database) => {
    await migrate(database)
    const queue = await openQueue(database, { works: false })
    await queue.close()
    return addBigClinic(database.db, bookings, 8)
  })
  const file = new URL('killed-booker.ts', import.meta.url).pathname
  const figures: KilledFigures = { booked: 0, torn: 0, afterKills: [] }
  for (let kill = 0; kill <= kills; kill += 1) {
    const child = startChild(file, [JSON.stringify(settings), JSON.stringify(starts), String(kill)])
    const lines = linesOf(child)
    await lines.next()
    const exited = onceEvent(child, 'exit')
    if (kill < kills) {
      // Somewhere in its share of the work, which begins with what its forerunners have done, and at any point of a booking.
      const share = Math.floor(((kill + random()) * bookings) / (kills + 1))
      for (let n = 0; n <= share; n += 1) await lines.next()
      await new Promise((resolve) => setTimeout(resolve, random() * BOOKING_MS))
      child.kill('SIGKILL')
    }
    await exited
    const { booked, torn } = await within(settings, count)
    figures.torn += torn
    if (kill < kills) figures.afterKills.push(booked)
    else figures.booked = booked
  }
  return figures
}

async function within<T>(settings: DatabaseSettings, work: (database: Database) => Promise<T>): Promise<T> {
  const database = await openDatabase(settings)
  try {
    return await work(database)
  } finally {
    await database.close()
  }
}

async function count({ db }: Database): Promise<{ booked: number; torn: number }> {
  const [row] = await rawRows<{ booked: number; torn: number }>(
    db,
    sql`
      with whole as (
        select v.id,
          (select count(*) from audit_events a where a.subject = v.id and a.action = 'visit.booked') = 1
          and (select count(*) from packets p where p.visit_id = v.id) = 1
          and (select count(*) from messages m where m.visit_id = v.id and m.kind = 'packet') = 1
          and not exists (select from messages m where m.visit_id = v.id and not exists (
            select from pgboss.job j where j.data ->> 'messageId' = m.id))
          and (select count(*) from commands c where c.answer ->> 'visitId' = v.id) = 1
          and (select stage from referrals r where r.clinic_id = v.clinic_id and r.id = v.referral_id) = 'booked'
          as is_whole
        from visits v where v.status = 'booked')
      select (select count(*)::int from whole) as booked,
        ((select count(*) from whole where not is_whole)
          + (select count(*) from visits where status <> 'booked')
          + (select count(*) from audit_events a where a.action = 'visit.booked'
            and not exists (select from visits v where v.id = a.subject))
          + (select count(*) from commands c where not exists (select from visits v where v.id = c.answer ->> 'visitId'))
          + (select count(*) from pgboss.job j where j.data ->> 'messageId' is not null
            and not exists (select from messages m where m.id = j.data ->> 'messageId'))
          + (select count(*) from referrals r where r.stage = 'booked'
            and not exists (select from visits v where v.referral_id = r.id)))::int as torn`,
  )
  return row ?? { booked: -1, torn: -1 }
}
