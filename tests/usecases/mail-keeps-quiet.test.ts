/**
 * What a stranger who sees a patient's mail does not learn. Every kind of message is caused by the use cases, sent into the
 * tray and parsed back: without the patient's recorded consent none of them names a part of the body, a condition, a
 * station or anything that somebody wrote, and neither does its calendar entry.
 */
import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { eq } from 'drizzle-orm'
import { simpleParser } from 'mailparser'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import type { Db } from '#db/client.ts'
import { answers, homeChecks, messages, patients, referrals, visits } from '#db/schema/index.ts'
import { deliveryPorts } from '#lib/adapters/delivery-ports.ts'
import { Temporal } from '#lib/base/time.ts'
import { MESSAGE_KINDS } from '#lib/domain/messages/kinds.ts'
import { messagesForHelp } from '#lib/domain/messages/schedule.ts'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import { LOCALES } from '#lib/domain/protocol/schema.ts'
import { bookVisit } from '#lib/usecases/book-visit.ts'
import { cancelVisit } from '#lib/usecases/cancel-visit.ts'
import { deliverMessages } from '#lib/usecases/deliver-messages.ts'
import { inviteHomeCheck } from '#lib/usecases/invite-home-check.ts'
import { joinStandby } from '#lib/usecases/join-standby.ts'
import { moveVisit } from '#lib/usecases/move-visit.ts'
import { offerFreedTime } from '#lib/usecases/offer-freed-time.ts'
import type { AskedStart } from '#lib/usecases/steps/claim-start.ts'
import { queueMessages } from '#lib/usecases/steps/queue-messages.ts'
import { refitVisit } from '#lib/usecases/steps/refit-visit.ts'
import { demoClinic } from '#seed/demo-clinic.ts'
import { addReferral, addSmallClinic, CLINIC, contextFor, goodHome, NOW, screenAgain } from '#tests/support/clinic.ts'
import { emptyDb } from '#tests/support/db.ts'
import { asking, askingInPerson } from '#tests/support/starts.ts'

/** What people wrote about the patient; each word is its own proof. */
const WRITTEN = 'Zanzibar bunion for weeks'
/** Parts of the body, sides and complaints in both languages. */
const CLINICAL = new RegExp(
  ['foot', 'feet', 'ankle', 'heel', 'toe', 'calf', 'achilles', 'left', 'right', 'pain', 'surgery', 'fracture']
    .concat([
      'pie',
      'pies',
      'tobillo',
      'talón',
      'dedo',
      'pantorrilla',
      'aquiles',
      'izquierd',
      'derech',
      'dolor',
      'fractura',
    ])
    .map((word) => `(?<![\\p{L}])${word}`)
    .join('|'),
  'iu',
)
function wholeWords(name: string): RegExp {
  return new RegExp(`(?<![\\p{L}])${name.replace(/[.*+?^${}()|[\]\\]/g, '\\$&')}(?![\\p{L}])`, 'iu')
}
const NAMES = [
  ...footAndAnkle.stations.flatMap(({ title, plain }) => [title, plain.en, plain.es]),
  ...footAndAnkle.conditions.flatMap(({ title }) => [title]),
  ...footAndAnkle.setUps.flatMap(({ title }) => [title.en, title.es]),
].map((name) => wholeWords(name))

/**
 * A mail says which clinic it is from, and what a clinic calls itself is its own affair; a calendar entry does not. The
 * secret of a link is chance letters.
 */
const signed = (words: string) =>
  words
    .replace(/\s+/g, ' ')
    .replaceAll('Hudson Foot and Ankle', '')
    .replace(/https:\S+/g, '')

// It stands in every mail.
test('the invented clinic’s own name says nothing of what it treats', () => {
  expect(demoClinic(Temporal.Instant.from(NOW))).toHaveProperty('clinic.name', expect.not.stringMatching(CLINICAL))
})

type Sent = { kind: (typeof MESSAGE_KINDS)[number]; said: string; files: string[]; links: string[] }

describe.each(LOCALES)('to a patient who reads %s', (language) => {
  let db: Db
  let dataDir: string
  const sent: Sent[] = []

  beforeAll(async () => {
    db = (await emptyDb()).db
    dataDir = mkdtempSync(join(tmpdir(), 'farstep-quiet-'))
    await addSmallClinic(db)
    for (const id of ['ref_1', 'ref_2', 'ref_3', 'ref_4']) {
      const refuses = id === 'ref_2' ? { answers: { ...goodHome(), accepts_video: false } } : {}
      await addReferral(db, { id, ...refuses })
    }
    await db.update(patients).set({ language })
    await db.update(referrals).set({ reason: WRITTEN, conditionText: WRITTEN, referrerName: WRITTEN })
    await causeEverything()
  })
  afterAll(() => rmSync(dataDir, { recursive: true, force: true }))

  let ids = 0
  const ctx = () => contextFor(db, { ids: `_${ids++}` })
  const system = { kind: 'system', clinicId: CLINIC, id: 'system' } as const

  /** Sends all that is queued, due or not, so that each message speaks of the world that it was planned for. */
  async function send(): Promise<void> {
    const ports = deliveryPorts({
      smtpUrl: null,
      dataDir,
      mailFrom: 'Farstep <visits@example.org>',
      baseUrl: 'https://visits.example.org',
    })
    const waiting = await db.select().from(messages).where(eq(messages.status, 'queued'))
    const worker = contextFor(db, { actor: system, ids: `_${ids++}` })
    const deliveries = await deliverMessages(worker, ports, { messageIds: waiting.map(({ id }) => id) })
    for (const { id, kind } of waiting) {
      if (deliveries.get(id)?.outcome !== 'sent') continue
      const mail = await simpleParser(readFileSync(join(dataDir, 'tray', `${id}.eml`)))
      const html = mail.html || ''
      const entries = mail.attachments.map(({ content }) => content.toString('utf8').replace(/\r\n[ \t]/g, ''))
      sent.push({
        kind,
        said: `${signed(`${mail.subject} ${mail.text} ${html.replace(/<style>.*?<\/style>|<[^>]+>/gs, ' ')}`)} ${entries}`,
        files: mail.attachments.map(({ contentType }) => contentType),
        links: [...html.matchAll(/href="([^"]+)"/g)].map(([, href = '']) => href),
      })
    }
  }

  async function book(referralId: string, start: AskedStart): Promise<string> {
    const booked = await bookVisit(ctx(), { key: `book ${referralId}`, referralId, heldVisitId: null, start })
    if (!booked.ok) throw new Error(booked.error.code)
    return booked.value.visitId
  }

  async function versionOf(visitId: string): Promise<number> {
    const [row] = await db.select({ version: visits.version }).from(visits).where(eq(visits.id, visitId))
    return row?.version ?? 0
  }

  async function causeEverything(): Promise<void> {
    await db.update(homeChecks).set({ invitedAt: null, finishedAt: null }).where(eq(homeChecks.referralId, 'ref_3'))
    expect((await inviteHomeCheck(ctx(), { referralId: 'ref_3' })).ok).toBe(true)
    await book('ref_2', askingInPerson('2026-03-05T18:00:00Z'))
    const visitId = await book('ref_1', asking('2026-03-10T13:00:00Z'))
    await send()

    await db.update(answers).set({ value: false }).where(eq(answers.factId, footAndAnkle.helperFact))
    await screenAgain(db, 'ref_1', '2026-03-02T13:00:01Z')
    await db.transaction((tx) => refitVisit(tx, ctx(), 'ref_1'))
    await send()

    const move = { key: 'move', visitId, version: await versionOf(visitId), start: asking('2026-03-17T13:00:00Z') }
    const moved = await moveVisit(ctx(), move)
    expect(moved.ok || moved.error).toBe(true)
    await send()

    await joinStandby(ctx(), { referralId: 'ref_4', noticeHours: 24 })
    const [from, to] = [Temporal.Instant.from('2026-03-10T13:00:00Z'), Temporal.Instant.from('2026-03-10T14:00:00Z')]
    await offerFreedTime(contextFor(db, { actor: system, ids: 'o' }), { clinicianId: 'cli_ames', from, to })
    const help = messagesForHelp({ referralId: 'ref_4', assessmentId: 'asm_1', now: Temporal.Instant.from(NOW) })
    await db.transaction((tx) => queueMessages(tx, ctx(), help))
    await send()

    const end = { key: 'end', visitId, version: await versionOf(visitId), because: WRITTEN }
    const ended = await cancelVisit(ctx(), end)
    expect(ended.ok || ended.error).toBe(true)
    await send()
  }

  test.each(MESSAGE_KINDS)('%s', (kind) => {
    const mails = sent.filter((each) => each.kind === kind)
    expect(mails.length).toBeGreaterThan(0)
    for (const { said, files, links } of mails) {
      expect(said).not.toMatch(CLINICAL)
      for (const word of WRITTEN.split(' ').slice(0, 2)) expect(said).not.toContain(word)
      for (const name of NAMES) expect(said).not.toMatch(name)
      expect(files).not.toContain('application/pdf')
      for (const link of links) expect(link).toMatch(/^https:\/\/visits\.example\.org\/go\/hudson\/[\w-]{22,}$/)
    }
  })

  test('only the kinds that make, move or take out an entry carry one', () => {
    const withEntry = new Set(sent.filter(({ files }) => files.includes('text/calendar')).map(({ kind }) => kind))
    expect([...withEntry].sort()).toEqual(['cancelled', 'in_person_booked', 'moved', 'packet'])
  })
})
