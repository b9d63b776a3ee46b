/** Two people change the clinic at once, or one changes it while another books: nobody meets unseen, no visit is stranded unseen. */
import { eq, isNull } from 'drizzle-orm'
import { beforeEach, expect, test } from 'vitest'
import type { Db } from '#db/client.ts'
import { clinicSessions, tasks, visits } from '#db/schema/index.ts'
import { Temporal } from '#lib/base/time.ts'
import type { RawSession } from '#lib/domain/calendar/session-draft.ts'
import { bookVisit } from '#lib/usecases/book-visit.ts'
import { changeSessionDate } from '#lib/usecases/change-session-date.ts'
import { saveSession } from '#lib/usecases/save-session.ts'
import { addReferral, addSmallClinic, contextFor } from '#tests/support/clinic.ts'
import { emptyDb } from '#tests/support/db.ts'
import { asking } from '#tests/support/starts.ts'

let db: Db

beforeEach(async () => {
  db = (await emptyDb()).db
  await addSmallClinic(db)
})

const fridays: RawSession = {
  mode: 'video',
  siteId: '',
  roomId: '',
  timeZone: 'America/New_York',
  startsOn: '2026-03-06',
  opensAt: '09:00',
  closesAt: '11:00',
  repeat: 'weekly',
  every: '1',
  weekdays: ['5'],
  nth: '',
  weekday: '',
  monthDay: '',
  rule: '',
  validTo: '',
  grainMin: '15',
  bufferBeforeMin: '0',
  bufferAfterMin: '0',
  noticeMin: '0',
  urgentMin: '0',
  urgentReleaseHours: '0',
}

test('of sessions that would meet, added at once, one is kept', async () => {
  const hours = ['09:00', '09:30', '10:00', '10:30']
  const results = await Promise.all(
    hours.map((opensAt, index) =>
      saveSession(contextFor(db, { ids: `_${index}` }), {
        key: `at once ${index}`,
        sessionId: null,
        version: null,
        owner: { kind: 'clinician', id: 'cli_ames' },
        raw: { ...fridays, opensAt, closesAt: '12:00' },
        isDryRun: false,
        confirmed: [],
      }),
    ),
  )
  expect(results.filter(({ ok }) => ok)).toHaveLength(1)
  for (const result of results) if (!result.ok) expect(result.error.code).toBe('overlaps')
  expect(await db.select().from(clinicSessions).where(eq(clinicSessions.startsOn, '2026-03-06'))).toHaveLength(1)
})

test('a visit booked while its date is being closed is refused, or is seen before the date closes', async () => {
  const outcomes = new Set<string>()
  for (let round = 0; round < 12; round += 1) {
    const date = Temporal.PlainDate.from('2026-03-03').add({ weeks: round % 4 })
    const onDate = date.toString()
    const referralId = `ref_${round}`
    await addReferral(db, { id: referralId })
    const ten = date.toZonedDateTime({ timeZone: 'America/New_York', plainTime: Temporal.PlainTime.from('10:00') })
    const start = asking(ten.toInstant().toString())
    const [row] = await db.select().from(clinicSessions).where(eq(clinicSessions.id, 'ses_ames_video'))
    const close = (kind: 'closed' | null, version: number) =>
      changeSessionDate(contextFor(db, { ids: `_close_${round}_${version}` }), {
        key: `close ${round} ${version}`,
        sessionId: 'ses_ames_video',
        version,
        raw: { onDate, kind, toDate: '', opensAt: '', closesAt: '' },
        isDryRun: false,
        confirmed: [],
      })
    const version = row?.version ?? 0
    const [booked, closed] = await Promise.all([
      bookVisit(contextFor(db, { ids: `_book_${round}` }), {
        key: `book ${round}`,
        referralId,
        heldVisitId: null,
        start,
      }),
      close('closed', version),
    ])
    outcomes.add(`${booked.ok ? 'booked' : 'refused'} ${closed.ok ? 'closed' : closed.error.code}`)
    // Never both: a visit that nobody saw in a date that is closed.
    expect(booked.ok && closed.ok).toBe(false)
    if (closed.ok) expect((await close(null, version + 1)).ok).toBe(true)
    if (booked.ok) await db.update(visits).set({ status: 'cancelled' }).where(eq(visits.referralId, referralId))
  }
  expect([...outcomes].every((one) => ['booked not_confirmed', 'refused closed'].includes(one))).toBe(true)
  expect(await db.select().from(tasks).where(isNull(tasks.doneAt))).toEqual([])
})
