/**
 * How long does the server take for a board, beside a page of words in the same frame, and how soon do 200 open boards show
 * a change? Two processes of the built app over one PostgreSQL server with two million visits. Needs `npm run build` before.
 */
import { type ChildProcess, spawn } from 'node:child_process'
import { existsSync } from 'node:fs'
import { sql } from 'drizzle-orm'
import { encode } from 'next-auth/jwt'
import { buildId } from '#app/_server/build-id.ts'
import { type Db, openDatabase } from '#db/client.ts'
import { migrate } from '#db/migrate.ts'
import { insertStaffSession } from '#db/queries/staff.ts'
import { invariant } from '#lib/base/invariant.ts'
import { Temporal } from '#lib/base/time.ts'
import { addManyReferrals } from '../support/big-clinic.ts'
import { addSmallClinic, CLINIC, coordinator } from '../support/clinic.ts'
import { freePort, startPostgres } from '../support/postgres-server.ts'
import type { BenchOptions, BenchRow } from './bench-row.ts'
import { figures, percentile } from './timing.ts'

const SECRET = 'a secret that is only used by this bench'
/** In the frame of every staff page, with nothing but words on it. */
const BARE = '/not-allowed'
const DAYS = [
  { visits: 50, day: '2026-03-03' },
  { visits: 500, day: '2026-03-04' },
] as const
const PROCESSES = 2
const WARM = 20

/** Times whole answers, one at a time, each board beside the bare page in turn; then changes, as the open boards show them. */
export async function rows(options: BenchOptions = {}): Promise<BenchRow[]> {
  const { visits = 2_000_000, requests = 100, boards = 200, changes = 5 } = options
  invariant(existsSync('.next/BUILD_ID'), 'the app is built: run npm run build before')
  const server = await startPostgres()
  const databaseUrl = server.urlOf('postgres')
  const database = await openDatabase({ databaseUrl, dataDir: null })
  const apps: App[] = []
  try {
    await migrate(database)
    await fill(database.db, visits)
    const cookie = await signIn(database.db)
    for (let n = 0; n < PROCESSES; n += 1) apps.push(await startApp(databaseUrl))
    const found: BenchRow[] = []
    const change = (n: number) =>
      database.db.execute(
        sql`update patients set family_name = ${`Read ${n}`} where clinic_id = ${CLINIC} and id = 'pat_of_ref_0'`,
      )
    for (const { visits: ofDay, day } of DAYS) {
      const took = { bare: [] as number[], again: [] as number[], changed: [] as number[] }
      const board = async () => {
        const { ms, text } = await read(`${apps[0]?.base}/board?day=${day}`, { cookie })
        invariant(text.includes(`${ofDay} visits`), 'the board shows the visits of the day')
        return ms
      }
      for (let n = -WARM; n < requests; n += 1) {
        const bare = await read(apps[0]?.base + BARE, { cookie })
        await change(n)
        const changed = await board()
        const again = await board()
        if (n < 0) continue
        took.bare.push(bare.ms)
        took.again.push(again)
        took.changed.push(changed)
      }
      const rival = percentile(took.bare, 0.5)
      for (const [id, samples, when] of [
        [`board-${ofDay}`, took.again, 'nothing changed since it was read last'],
        [`board-${ofDay}-changed`, took.changed, 'something just changed'],
      ] as const)
        found.push({
          id,
          ...figures(samples),
          ratio: percentile(samples, 0.5) / rival,
          rival: `a bare page, ${rival.toFixed(1)} ms`,
          note: `ours ÷ rival, goal at most 3; ${ofDay} visits on the day, ${visits} in the table, ${when}`,
        })
    }
    const { heard, shown, failed } = await followChanges(database.db, apps, cookie, boards, changes)
    const worst = (samples: readonly number[]) => `worst ${Math.max(...samples).toFixed(0)} ms`
    found.push({
      id: 'board-live',
      ...figures(shown),
      note:
        `from before a change is written until it is read again, ${boards} open boards, ${PROCESSES} processes, ${changes} changes: ` +
        `${worst(shown)}, ${failed} of ${boards * changes} readings failed, goal at most 2000 ms; told after ${percentile(heard, 0.5).toFixed(0)} ms, ${worst(heard)}`,
    })
    return found
  } finally {
    await Promise.all(apps.map(({ stop }) => stop()))
    await database.close()
    await server.stop()
  }
}

/** Two days that are looked at, of visits like one that was really planned, after as many others as a clinic has in years. */
async function fill(db: Db, count: number): Promise<void> {
  const shown = DAYS.reduce((sum, { visits }) => sum + visits, 0)
  await addSmallClinic(db)
  await addManyReferrals(db, shown)
  await db.execute(sql`update referrals set stage = 'booked' where clinic_id = ${CLINIC}`)
  await db.execute(sql`insert into clinicians (clinic_id, id, name, credentials, languages, time_zone)
    select ${CLINIC}, 'cli_' || n, 'Clinician ' || n, 'DPM', array['en'], 'America/New_York' from generate_series(0, 59) n`)
  await db.transaction(async (tx) => {
    // How they are made, nobody is in two places; to have it checked millions of times takes longer than all the rest.
    for (const who of ['clinician', 'patient', 'interpreter', 'room'])
      await tx.execute(sql.raw(`alter table visits drop constraint visits_${who}_no_overlap`))
    await tx.execute('set local session_replication_role = replica')
    await tx.execute('set local statement_timeout = 0')
    let first = 0
    for (const { visits, day } of DAYS) {
      await tx.execute(sql`
        insert into visits (clinic_id, id, referral_id, patient_id, clinician_id, session_id, mode, status, starts_at, ends_at,
          busy_from, busy_to, plan, assessment_id, patient_time_zone, calendar_uid, created_at, changed_at)
        select r.clinic_id, 'vis_' || r.id, r.id, r.patient_id, 'cli_' || n % 60, 'ses_ames_video', 'video', 'booked', s,
          s + interval '45 minutes', s, s + interval '45 minutes', a.plan, a.id, 'America/New_York', r.id, now(), now()
        from generate_series(${first}::int, ${first + visits - 1}::int) n
        join referrals r on r.clinic_id = ${CLINIC} and r.id = 'ref_' || n
        join assessments a on a.clinic_id = r.clinic_id and a.referral_id = r.id,
        lateral (select ${`${day}T14:00:00Z`}::timestamptz + n / 60 % 9 * interval '45 minutes' as s) t`)
      first += visits
    }
    await tx.execute(sql`
      insert into visits (clinic_id, id, referral_id, patient_id, clinician_id, session_id, mode, status, starts_at, ends_at,
        busy_from, busy_to, patient_time_zone, calendar_uid, created_at, changed_at)
      select ${CLINIC}, 'vis_' || n, 'ref_gone_' || n, 'pat_gone_' || n, 'cli_' || n % 60, 'ses_ames_video', 'video', 'done', s,
        s + interval '45 minutes', s, s + interval '45 minutes', 'America/New_York', 'gone ' || n, s, s
      from generate_series(1, ${count - shown}::int) n,
      lateral (select '2026-02-27T14:00:00Z'::timestamptz - n / 500 * interval '1 day' + n / 60 % 9 * interval '45 minutes' as s) t`)
  })
  await db.execute('analyze')
}

/** A session as signing in makes it; the cookie names it and says nothing else. */
async function signIn(db: Db): Promise<string> {
  const now = Temporal.Now.instant()
  const { clinicId, id: staffId } = coordinator
  await insertStaffSession(db, { clinicId, id: 'ses_bench', staffId, createdAt: now, lastSeenAt: now, endedAt: null })
  return `farstep_staff=${await encode({ token: { sub: `${clinicId} ${staffId} ses_bench` }, secret: SECRET })}`
}

type App = { base: string; stop: () => Promise<unknown> }

/** One process of the app, which answers when this returns. */
async function startApp(databaseUrl: string): Promise<App> {
  const port = String(await freePort())
  const base = `http://localhost:${port}`
  const own = { DATABASE_URL: databaseUrl, PORT: port, BASE_URL: base, AUTH_SECRET: SECRET, WORKER: 'separate' }
  const app: ChildProcess = spawn(process.execPath, ['lib/scripts/run.mjs', 'start'], {
    env: { ...process.env, ...own },
    stdio: ['ignore', 'ignore', 'inherit'],
  })
  const ended = new Promise((resolve) => app.once('exit', resolve))
  const answers = () => fetch(`${base}/sign-in`).then((answer) => answer.ok)
  while (!(await answers().catch(() => false))) {
    invariant(app.exitCode === null, 'the app runs')
    await new Promise((resolve) => setTimeout(resolve, 100))
  }
  return {
    base,
    stop: () => {
      app.kill('SIGTERM')
      return ended
    },
  }
}

async function read(address: string, headers: Record<string, string>): Promise<{ ms: number; text: string }> {
  const before = performance.now()
  const answer = await fetch(address, { headers, redirect: 'manual' })
  const text = await answer.text()
  invariant(answer.status === 200, `${address} is answered with 200, not ${answer.status}`)
  return { ms: performance.now() - before, text }
}

/** Milliseconds from before each change was written until each board was told, and until it showed it. */
async function followChanges(db: Db, apps: readonly App[], cookie: string, boards: number, changes: number) {
  const { visits, day } = DAYS[0]
  const open = Array.from({ length: boards }, (_, n) => openBoard(apps[n % apps.length]?.base ?? '', day, cookie))
  await Promise.all(open.map((board) => board.next()))
  const heard: number[] = []
  const shown: number[] = []
  for (let n = 1; n <= changes; n += 1) {
    const name = `Changed ${n} times`
    const shows = open.map(async (board) => {
      for (let next = await board.next(); !next.done; next = await board.next()) {
        if (!next.value) continue
        const { toldAt, text } = next.value
        if (text.includes(name)) {
          heard.push(toldAt - changedAt)
          shown.push(performance.now() - changedAt)
          return
        }
        // An overloaded server answers with its sentence for a fault: that board shows nothing by itself any more.
        if (!text.includes(`"all":${visits}`)) return
      }
    })
    const changedAt = performance.now()
    await db.execute(sql`update patients set family_name = ${name} where clinic_id = ${CLINIC} and id = 'pat_of_ref_0'`)
    await Promise.all(shows)
  }
  await Promise.all(open.map((board) => board.return(undefined)))
  return { heard, shown, failed: boards * changes - shown.length }
}

/** A board as a browser keeps it: told of a change, it reads its words again, one reading at a time. The first word: it is open. */
async function* openBoard(
  base: string,
  day: string,
  cookie: string,
): AsyncGenerator<{ toldAt: number; text: string } | null, undefined> {
  const { body } = await fetch(`${base}/api/board-changes?day=${day}&since=${Date.now()}`, { headers: { cookie } })
  invariant(body, 'a stream has a body')
  for await (const said of body.pipeThrough(new TextDecoderStream())) {
    if (!said.includes('event: changed')) yield null
    else {
      const toldAt = performance.now()
      const answer = await fetch(`${base}/api/board?day=${day}`, { headers: { cookie, 'farstep-build': buildId() } })
      yield { toldAt, text: await answer.text() }
    }
  }
}
