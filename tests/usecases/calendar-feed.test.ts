/**
 * The feed as a calendar program gets it, from the database to the text, read back by ical.js. RFC 5545: lines end in CRLF
 * and are folded at 75 octets (3.1), a TZID that is used is defined (3.6.5), DTSTAMP without a METHOD is when the visit
 * was last changed (3.8.7.2), SEQUENCE rises (3.8.7.4); RFC 7986 5.7: REFRESH-INTERVAL.
 */
import { eq } from 'drizzle-orm'
import ICAL from 'ical.js'
import { beforeEach, expect, test } from 'vitest'
import type { Db } from '#db/client.ts'
import { auditEvents, calendarFeeds, clinicians, clinics, commands, visits } from '#db/schema/index.ts'
import { feedPort } from '#lib/adapters/calendar-feed.ts'
import type { StaffActor } from '#lib/domain/access/actor.ts'
import { DEFAULT_POLICY } from '#lib/domain/policy/clinic-policy.ts'
import { bookVisit } from '#lib/usecases/book-visit.ts'
import { cancelVisit } from '#lib/usecases/cancel-visit.ts'
import { endFeed } from '#lib/usecases/end-feed.ts'
import { holdStart } from '#lib/usecases/hold-start.ts'
import { moveVisit } from '#lib/usecases/move-visit.ts'
import { readCalendars } from '#lib/usecases/read-calendars.ts'
import { readFeed } from '#lib/usecases/read-feed.ts'
import { renewFeed } from '#lib/usecases/renew-feed.ts'
import { addReferral, addSmallClinic, CLINIC, contextFor, coordinator } from '#tests/support/clinic.ts'
import { emptyDb } from '#tests/support/db.ts'
import { asking, askingInPerson } from '#tests/support/starts.ts'

let db: Db

beforeEach(async () => {
  db = (await emptyDb()).db
  await addSmallClinic(db)
  await addReferral(db, { id: 'ref_1' })
  await addReferral(db, { id: 'ref_2' })
})

const ames: StaffActor = { ...coordinator, id: 'stf_ames', role: 'clinician', clinicianId: 'cli_ames' }
const port = feedPort({ baseUrl: 'https://visits.example.org' })

const make = async (key: string, change: { clinicianId?: string; actor?: StaffActor } = {}): Promise<string> => {
  const { clinicianId = 'cli_ames', actor = ames } = change
  const made = await renewFeed(contextFor(db, { actor, ids: key }), { key, clinicianId })
  return (made.ok && made.value.path?.match(/^\/feeds\/hudson\/(.+)\.ics$/)?.[1]) || ''
}
const read = (token: string, now?: string, slug = 'hudson') =>
  readFeed(contextFor(db, now ? { now } : {}), port, { slug, token, from: '203.0.113.9' })
const contentOf = async (token: string, now?: string): Promise<string> => {
  const feed = await read(token, now)
  if (!feed.ok) throw new Error(feed.error.code)
  return feed.value.content
}
const eventsOf = (content: string) => {
  const calendar = new ICAL.Component(ICAL.parse(content))
  for (const zone of calendar.getAllSubcomponents('vtimezone')) ICAL.TimezoneService.register(zone)
  // Parsed again: the zones are known now.
  const events = new ICAL.Component(ICAL.parse(content)).getAllSubcomponents('vevent')
  return events.map((event) => {
    const value = (name: string) => event.getFirstPropertyValue(name)
    const at = (name: string) => new Date((value(name) as ICAL.Time).toUnixTime() * 1000).toISOString()
    return {
      uid: value('uid'),
      sequence: value('sequence'),
      status: value('status'),
      startsAt: at('dtstart'),
      endsAt: at('dtend'),
      stamp: at('dtstamp'),
      modified: at('last-modified'),
      summary: value('summary'),
      location: value('location'),
      zone: event.getFirstProperty('dtstart')?.getParameter('tzid'),
    }
  })
}
const book = async (referralId: string, start = asking('2026-03-03T14:00:00Z')) => {
  const ctx = contextFor(db, { ids: `_${referralId}` })
  const booked = await bookVisit(ctx, { key: `book ${referralId}`, referralId, heldVisitId: null, start })
  if (!booked.ok) throw new Error(booked.error.code)
  return booked.value.visitId
}

test('a visit keeps its entry over booking, move and cancelling, and it is the entry of the patient’s invite', async () => {
  const token = await make('make it')
  const visitId = await book('ref_1')
  const [row] = await db.select({ uid: visits.calendarUid }).from(visits)
  const first = eventsOf(await contentOf(token))
  expect(first).toEqual([
    {
      uid: row?.uid,
      sequence: 0,
      status: 'CONFIRMED',
      startsAt: '2026-03-03T14:00:00.000Z',
      endsAt: '2026-03-03T14:45:00.000Z',
      stamp: '2026-03-02T13:00:00.000Z',
      modified: '2026-03-02T13:00:00.000Z',
      summary: 'Video visit',
      location: 'By video',
      zone: 'America/New_York',
    },
  ])

  // After the clocks change: 09:00 on the wall is 13:00 in UTC.
  const later = contextFor(db, { now: '2026-03-02T14:00:00Z', ids: 'm' })
  const move = { key: 'move it', visitId, version: 1, start: asking('2026-03-10T13:00:00Z') }
  expect((await moveVisit(later, move)).ok).toBe(true)
  expect(eventsOf(await contentOf(token))).toMatchObject([
    { uid: row?.uid, sequence: 1, startsAt: '2026-03-10T13:00:00.000Z', stamp: '2026-03-02T14:00:00.000Z' },
  ])

  const last = contextFor(db, { now: '2026-03-02T15:00:00Z', ids: 'c' })
  expect((await cancelVisit(last, { key: 'cancel it', visitId, version: 2, because: 'No longer needed' })).ok).toBe(
    true,
  )
  expect(eventsOf(await contentOf(token))).toMatchObject([{ uid: row?.uid, sequence: 2, status: 'CANCELLED' }])
})

test('it is written as the standard asks, with the standard’s own words for its name and pace', async () => {
  const token = await make('make it')
  await book('ref_1', askingInPerson('2026-03-05T18:00:00Z'))
  await db
    .update(clinicians)
    .set({ name: `Alex ${'Ñandú 足, '.repeat(20)}` })
    .where(eq(clinicians.id, 'cli_ames'))
  const content = await contentOf(token)
  expect(content.replaceAll('\r\n', '')).not.toMatch(/[\r\n]/)
  expect(content.endsWith('END:VCALENDAR\r\n')).toBe(true)
  for (const line of content.split('\r\n')) {
    expect(Buffer.byteLength(line)).toBeLessThanOrEqual(75)
    expect(line).not.toMatch(/^X-/)
  }
  // RFC 5545 3.6: the calendar's own lines stand before its first component.
  expect(content.indexOf('REFRESH-INTERVAL')).toBeLessThan(content.indexOf('BEGIN:VTIMEZONE'))
  const calendar = new ICAL.Component(ICAL.parse(content))
  expect(calendar.getFirstPropertyValue('version')).toBe('2.0')
  expect(calendar.getFirstPropertyValue('method')).toBeNull()
  // NAME is TEXT (RFC 7986 5.1), so its commas are escaped; this reader knows no NAME and hands it on as it stands.
  expect(calendar.getFirstPropertyValue('name')).toContain('Ñandú 足\\, ')
  expect(String(calendar.getFirstPropertyValue('refresh-interval'))).toBe('PT30M')
  const zones = calendar.getAllSubcomponents('vtimezone').map((zone) => zone.getFirstPropertyValue('tzid'))
  expect(zones).toEqual(['America/New_York'])
  expect(eventsOf(content)).toMatchObject([
    { summary: 'Visit at the clinic', location: 'Hudson Street, Room 1, 1 Hudson Street' },
  ])
})

// Safety and privacy: calendars are copied to other companies.
test('it never says who comes or why, unless the clinic decided that it says who', async () => {
  const token = await make('make it')
  await book('ref_1')
  const plain = await contentOf(token)
  for (const word of ['Pat ', 'Of ref_1', 'flat', 'foot that', '555']) expect(plain).not.toContain(word)
  await db
    .update(clinics)
    .set({ policy: { ...DEFAULT_POLICY, feeds: { patientNames: true, source: 'clinic policy' } } })
  expect(eventsOf(await contentOf(token))).toMatchObject([{ summary: 'Video visit: Pat Of ref_1' }])
})

test('it holds this clinician’s visits alone, no hold, and nothing older than 30 days', async () => {
  const token = await make('make it')
  const others = await make('for boyd', { clinicianId: 'cli_boyd', actor: coordinator })
  await holdStart(contextFor(db), { key: 'hold it', referralId: 'ref_2', start: asking('2026-03-03T15:00:00Z') })
  expect(eventsOf(await contentOf(token))).toEqual([])
  await book('ref_1')
  expect(eventsOf(await contentOf(token))).toHaveLength(1)
  expect(eventsOf(await contentOf(others))).toEqual([])
  expect(eventsOf(await contentOf(token, '2026-04-02T12:00:00Z'))).toHaveLength(1)
  expect(eventsOf(await contentOf(token, '2026-04-03T12:00:00Z'))).toEqual([])
})

test('the same visits give the same content and the same time of change; another visit gives another', async () => {
  const token = await make('make it')
  await book('ref_1')
  const first = await read(token, '2026-03-02T14:00:00Z')
  const again = await read(token, '2026-03-02T14:20:00Z')
  expect(again).toEqual(first)
  expect(first).toMatchObject({ value: { changedAt: '2026-03-02T14:00:00Z' } })
  // Somebody else takes it over: the entry is gone, though none of the visits left here was changed.
  await db.update(visits).set({ clinicianId: 'cli_boyd' })
  const gone = await read(token, '2026-03-02T14:40:00Z')
  expect(gone).toMatchObject({ value: { changedAt: '2026-03-02T14:40:00Z' } })
  expect(gone.ok && first.ok && gone.value.contentHash !== first.value.contentHash).toBe(true)
})

test('a new address ends the old one, taking it back ends both, and all dead addresses look the same', async () => {
  const old = await make('make it')
  const token = await make('make a new one')
  const unknown = { ok: false, error: { code: 'feed_unknown' } }
  expect(await read(old)).toEqual(unknown)
  expect((await read(token)).ok).toBe(true)
  expect(await read(token, undefined, 'another')).toEqual(unknown)
  expect(await read('nothing')).toEqual(unknown)
  expect(
    (await endFeed(contextFor(db, { actor: ames, ids: 'e' }), { key: 'take it back', clinicianId: 'cli_ames' })).ok,
  ).toBe(true)
  expect(await read(token)).toEqual(unknown)
  const lines = await db.select({ action: auditEvents.action }).from(auditEvents)
  expect(lines.map(({ action }) => action).filter((action) => action.startsWith('feed.'))).toEqual([
    'feed.made',
    'feed.renewed',
    'feed.ended',
  ])
})

test('a clinician who no longer works here has no feed', async () => {
  const token = await make('make it')
  await db.update(clinicians).set({ isActive: false }).where(eq(clinicians.id, 'cli_ames'))
  expect((await read(token)).ok).toBe(false)
})

test('the secret is told once and kept nowhere', async () => {
  const ctx = contextFor(db, { actor: ames })
  const first = await renewFeed(ctx, { key: 'make it', clinicianId: 'cli_ames' })
  const path = (first.ok && first.value.path) || ''
  const token = path.split('/').at(-1)?.replace('.ics', '') ?? ''
  expect(Buffer.from(token, 'base64url')).toHaveLength(32)
  const twice = await renewFeed(ctx, { key: 'make it', clinicianId: 'cli_ames' })
  expect(twice).toMatchObject({ ok: true, value: { path: null } })
  expect(await db.select().from(calendarFeeds)).toHaveLength(1)
  const kept = JSON.stringify([
    await db.select().from(calendarFeeds),
    await db.select().from(commands),
    await db.select().from(auditEvents),
  ])
  expect(kept).not.toContain(token)
})

test('a clinician has only their own calendar, whoever arranges has all, and a patient none', async () => {
  const mine = await readCalendars(contextFor(db, { actor: ames }))
  expect(mine.ok && mine.value.calendars.map(({ clinicianId }) => clinicianId)).toEqual(['cli_ames'])
  const all = await readCalendars(contextFor(db))
  expect(all.ok && all.value.calendars.map(({ clinicianId }) => clinicianId)).toEqual(['cli_ames', 'cli_boyd'])
  expect(await make('not mine', { clinicianId: 'cli_boyd' })).toBe('')
  const patient = { kind: 'patient', clinicId: CLINIC, id: 'pat_of_ref_1', referralId: 'ref_1' } as const
  expect((await readCalendars(contextFor(db, { actor: patient }))).ok).toBe(false)
})

test('too many readings of one address in a quarter of an hour are put off, and so are many wrong ones', async () => {
  const token = await make('make it')
  for (let n = 0; n < 60; n += 1) expect((await read(token)).ok).toBe(true)
  expect(await read(token)).toMatchObject({ error: { code: 'too_often' } })
  expect((await read(token, '2026-03-02T13:16:00Z')).ok).toBe(true)
  for (let n = 0; n < 30; n += 1) expect(await read(`wrong ${n}`)).toMatchObject({ error: { code: 'feed_unknown' } })
  expect(await read('wrong')).toMatchObject({ error: { code: 'too_often' } })
})
