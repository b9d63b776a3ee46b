/**
 * Many processes try for few starts, over real connections. What must hold afterwards: no two live visits overlap, as many
 * have won as there is time for, every loser was told, and once holds run out their time is everybody's again.
 */
import { sql } from 'drizzle-orm'
import { type Database, openDatabase, rawRows } from '#db/client.ts'
import { holdStart } from '#lib/usecases/hold-start.ts'
import type { AskedStart } from '#lib/usecases/steps/claim-start.ts'
import { addBigClinic } from '#tests/support/big-clinic.ts'
import { contextFor } from '#tests/support/clinic.ts'
import { linesOf, startChild } from './child.ts'

export type CrowdSize = { processes: number; triesEach: number; starts: number; clinicians: number }
export type CrowdAnswer = {
  won: number
  lost: number
  /** Losers who were told nothing, or something else than that the start is taken. */
  untold: number
  /** Losers for whom the next best starts were found: all but those who came when everything was gone. */
  offered: number
}
export type CrowdFigures = CrowdAnswer & {
  live: number
  overlaps: number
  /** Holds that ran out and whose time could not be had. */
  leaked: number
  lapsed: number
}

/** Lets the crowd loose on an empty, migrated database. */
export async function crowd(
  url: string,
  { processes, triesEach, starts, clinicians }: CrowdSize,
): Promise<CrowdFigures> {
  const database = await openDatabase({ databaseUrl: url, dataDir: null })
  try {
    const tries = processes * triesEach
    const offered = await addBigClinic(database.db, starts, clinicians, tries + starts)
    await database.db.execute('analyze')
    const file = new URL('crowd-member.ts', import.meta.url).pathname
    const members = Array.from({ length: processes }, (_, member) =>
      startChild(file, [url, String(member * triesEach), String(triesEach), JSON.stringify(offered)]),
    )
    const heard = members.map(linesOf)
    await Promise.all(heard.map((lines) => lines.next()))
    for (const member of members) member.stdin?.end('go\n')
    const answers = await Promise.all(
      heard.map(async (lines) => JSON.parse((await lines.next()).value ?? '{}') as CrowdAnswer),
    )
    const sum = (field: keyof CrowdAnswer) => answers.reduce((total, answer) => total + answer[field], 0)
    const counts = await countLive(database)
    const holds = await takeOverHolds(database, offered, tries)
    return { won: sum('won'), lost: sum('lost'), untold: sum('untold'), offered: sum('offered'), ...counts, ...holds }
  } finally {
    await database.close()
  }
}

/** Asked of the rows themselves, not of the constraint. */
async function countLive({ db }: Database): Promise<{ live: number; overlaps: number }> {
  const [row] = await rawRows<{ live: number; overlaps: number }>(
    db,
    sql`select (select count(*)::int from visits where status in ('held', 'booked')) as live,
        (select count(*)::int from visits a join visits b on a.clinic_id = b.clinic_id and a.clinician_id = b.clinician_id
          and a.id < b.id and a.busy_from < b.busy_to and b.busy_from < a.busy_to
          where a.status in ('held', 'booked') and b.status in ('held', 'booked')) as overlaps`,
  )
  return row ?? { live: -1, overlaps: -1 }
}

/** An hour later every hold has run out: somebody new takes each of their starts. */
async function takeOverHolds({ db }: Database, offered: readonly AskedStart[], firstReferral: number) {
  const held = await rawRows<{ session_id: string; starts_at: string }>(
    db,
    sql`select session_id, to_char(starts_at at time zone 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS"Z"') as starts_at
        from visits where status = 'held'`,
  )
  let leaked = 0
  for (const [n, hold] of held.entries()) {
    const start = offered.find(
      ({ sessionId, startsAt }) => sessionId === hold.session_id && startsAt.toString() === hold.starts_at,
    )
    const ctx = contextFor(db, { now: '2026-03-02T14:00:00Z', ids: `_late_${n}` })
    const referralId = `ref_${firstReferral + n}`
    const result = start && (await holdStart(ctx, { key: `late hold ${n}`, referralId, start }))
    if (!result?.ok) leaked += 1
  }
  const [row] = await rawRows<{ lapsed: number }>(
    db,
    sql`select count(*)::int as lapsed from visits where status = 'lapsed'`,
  )
  return { leaked, lapsed: row?.lapsed ?? -1 }
}
