/**
 * The life of a visit as the patient's calendar sees it: booked, moved, moved again, cancelled, through the use cases and
 * the mails themselves. RFC 5546 3.2.2 and 3.2.5 (what a REQUEST and a CANCEL hold), 2.1.4 and 3.8.7.4 of RFC 5545
 * (SEQUENCE rises over the life of a UID), RFC 6047 2.4 (the method stands in the content type too). The mails are read
 * back by mailparser, the entries by ical.js.
 */
import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { asc, eq } from 'drizzle-orm'
import ICAL from 'ical.js'
import { simpleParser } from 'mailparser'
import { afterEach, beforeEach, expect, test } from 'vitest'
import type { Db } from '#db/client.ts'
import { messages } from '#db/schema/index.ts'
import { deliveryPorts } from '#lib/adapters/delivery-ports.ts'
import { bookVisit } from '#lib/usecases/book-visit.ts'
import { cancelVisit } from '#lib/usecases/cancel-visit.ts'
import { deliverMessages } from '#lib/usecases/deliver-messages.ts'
import { moveVisit } from '#lib/usecases/move-visit.ts'
import { addReferral, addSmallClinic, CLINIC, contextFor } from '#tests/support/clinic.ts'
import { emptyDb } from '#tests/support/db.ts'
import { asking } from '#tests/support/starts.ts'

let db: Db
let dataDir: string

beforeEach(async () => {
  db = (await emptyDb()).db
  await addSmallClinic(db)
  await addReferral(db, { id: 'ref_1', timeZone: 'America/Denver' })
  dataDir = mkdtempSync(join(tmpdir(), 'farstep-invites-'))
})
afterEach(() => rmSync(dataDir, { recursive: true, force: true }))

const idsOf = (now: string) => `_${now.replace(/\D/g, '')}`

/** Sends what is due and reads the calendar entry of each mail. */
async function entriesSent(now: string) {
  const ports = deliveryPorts({
    smtpUrl: null,
    dataDir,
    mailFrom: 'Farstep <visits@example.org>',
    baseUrl: 'https://visits.example.org',
  })
  const ctx = contextFor(db, { actor: { kind: 'system', clinicId: CLINIC, id: 'system' }, now, ids: idsOf(now) })
  const waiting = await db.select().from(messages).where(eq(messages.status, 'queued')).orderBy(asc(messages.dueAt))
  const entries: Awaited<ReturnType<typeof entryOf>>[] = []
  for (const { id, dueAt } of waiting) {
    if (dueAt.epochMilliseconds > Date.parse(now)) continue
    const sent = (await deliverMessages(ctx, ports, { messageIds: [id] })).get(id)
    if (sent?.outcome === 'sent') entries.push(await entryOf(id))
  }
  ports.mail.close()
  return entries
}

async function entryOf(messageId: string) {
  const mail = await simpleParser(readFileSync(join(dataDir, 'tray', `${messageId}.eml`)))
  const part = mail.attachments.find(({ contentType }) => contentType === 'text/calendar')
  if (!part) throw new Error('a mail about a visit without its entry')
  const content = part.content.toString('utf8')
  const calendar = new ICAL.Component(ICAL.parse(content))
  const events = calendar.getAllSubcomponents('vevent')
  const [event] = events
  if (!event || events.length !== 1) throw new Error('one visit is one event')
  const value = (name: string) => event.getFirstPropertyValue(name)
  const header = part.headers.get('content-type') as unknown as { params: Record<string, string> }
  return {
    method: calendar.getFirstPropertyValue('method'),
    methodInHeader: header.params.method,
    charset: header.params.charset,
    uid: value('uid'),
    sequence: value('sequence'),
    status: value('status'),
    start: String(value('dtstart')),
    end: String(value('dtend')),
    // A scheme may be written either way (RFC 3986 3.1).
    organizer: String(value('organizer')).toLowerCase(),
    attendee: String(value('attendee')).toLowerCase(),
    stamped: value('dtstamp') !== null,
    zones: calendar.getAllSubcomponents('vtimezone').map((zone) => zone.getFirstPropertyValue('tzid')),
    isFolded: content.split('\r\n').every((line) => Buffer.byteLength(line) <= 75),
  }
}

test('one entry lives through booking, two moves and the end, each time with a higher sequence', async () => {
  // From nine in the morning in Denver, so that no mail waits for the end of the quiet hours.
  const at = (now: string) => contextFor(db, { now, ids: idsOf(now) })
  const start = asking('2026-03-03T14:00:00Z')
  const booked = await bookVisit(at('2026-03-02T16:00:00Z'), {
    key: 'book it',
    referralId: 'ref_1',
    heldVisitId: null,
    start,
  })
  const visitId = booked.ok ? booked.value.visitId : ''
  const entries = await entriesSent('2026-03-02T16:00:00Z')
  for (const [n, to] of ['2026-03-10T13:00:00Z', '2026-03-17T14:00:00Z'].entries()) {
    const now = `2026-03-02T17:0${n}:00Z`
    const move = { key: `move ${n}`, visitId, version: n + 1, start: asking(to) }
    expect((await moveVisit(at(now), move)).ok).toBe(true)
    entries.push(...(await entriesSent(now)))
  }
  const end = { key: 'end it', visitId, version: 3, because: 'No longer needed' }
  expect((await cancelVisit(at('2026-03-02T18:00:00Z'), end)).ok).toBe(true)
  entries.push(...(await entriesSent('2026-03-02T18:00:00Z')))

  const common = {
    uid: entries[0]?.uid,
    charset: 'utf-8',
    organizer: 'mailto:visits@example.org',
    attendee: 'mailto:ref_1@example.org',
    stamped: true,
    zones: ['America/Denver'],
    isFolded: true,
  }
  const request = { ...common, method: 'REQUEST', methodInHeader: 'REQUEST', status: 'CONFIRMED' }
  // In the patient's zone: an hour or two behind New York's clock, across the change of 8 March as well.
  expect(entries).toEqual([
    { ...request, sequence: 0, start: '2026-03-03T07:00:00', end: '2026-03-03T07:45:00' },
    { ...request, sequence: 1, start: '2026-03-10T07:00:00', end: '2026-03-10T07:45:00' },
    { ...request, sequence: 2, start: '2026-03-17T08:00:00', end: '2026-03-17T08:45:00' },
    {
      ...common,
      method: 'CANCEL',
      methodInHeader: 'CANCEL',
      status: 'CANCELLED',
      sequence: 3,
      start: '2026-03-17T08:00:00',
      end: '2026-03-17T08:45:00',
    },
  ])
})

test('a move that is decided before the first mail left is told by the entry as it stands now', async () => {
  const ctx = contextFor(db)
  const start = asking('2026-03-03T14:00:00Z')
  const booked = await bookVisit(ctx, { key: 'book it', referralId: 'ref_1', heldVisitId: null, start })
  const visitId = booked.ok ? booked.value.visitId : ''
  await moveVisit(ctx, { key: 'move it', visitId, version: 1, start: asking('2026-03-10T13:00:00Z') })
  const entries = await entriesSent('2026-03-02T16:00:00Z')
  expect(entries.length).toBeGreaterThan(0)
  for (const entry of entries) expect(entry).toMatchObject({ sequence: 1, start: '2026-03-10T07:00:00' })
})
