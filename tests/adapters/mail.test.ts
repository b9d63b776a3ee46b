/**
 * Sources: RFC 5321 4.2.1 (what 4yz and 5yz replies mean), RFC 6047 2.4 and the CalConnect developers' guide (the tree of
 * a mail with an invite), RFC 3834 5 (Auto-Submitted). Against a real SMTP server, read back by mailparser.
 */
import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { simpleParser } from 'mailparser'
import { afterEach, beforeEach, describe, expect, test } from 'vitest'
import { calendarInvite } from '#lib/adapters/calendar-invite.ts'
import { type Mailer, mailPort, trayPort } from '#lib/adapters/mail.ts'
import { Temporal } from '#lib/base/time.ts'
import type { OutgoingMail } from '#lib/domain/messages/mail.ts'
import { type MailServer, startMailServer } from '#tests/support/mail-server.ts'
import { freePort } from '#tests/support/postgres-server.ts'

const invite = calendarInvite(
  'REQUEST',
  {
    mode: 'video',
    startsAt: Temporal.Instant.from('2026-03-10T13:00:00Z'),
    endsAt: Temporal.Instant.from('2026-03-10T13:45:00Z'),
    timeZone: 'America/New_York',
    place: null,
    calendar: { uid: 'vis_1@example.org', sequence: 0, changedAt: Temporal.Instant.from('2026-03-01T08:00:00Z') },
  },
  { summary: 'Video visit, Ñandú', location: 'By video' },
  { organizer: { name: 'Clinic', email: 'visits@example.org' }, attendee: { name: 'Ana', email: 'ana@example.org' } },
)
const mail: OutgoingMail = {
  messageId: 'msg_abc-DEF_1',
  to: 'ana@example.org',
  subject: 'Your video visit is booked',
  html: '<p>Hello Ana – ñandú 🙂</p>',
  text: 'Hello Ana – ñandú 🙂',
  invite,
  print: null,
}

let dataDir: string
let mailer: Mailer | undefined
const settings = (smtpUrl: string | null) => ({
  smtpUrl,
  dataDir,
  mailFrom: 'Farstep <visits@example.org>',
  baseUrl: 'https://visits.example.org',
})
const send = (smtpUrl: string | null, what = mail) => {
  mailer ??= mailPort(settings(smtpUrl))
  return mailer.send(what)
}

const letGo = () => {
  mailer?.close()
  mailer = undefined
}

beforeEach(() => {
  dataDir = mkdtempSync(join(tmpdir(), 'farstep-mail-'))
})
afterEach(() => {
  letGo()
  rmSync(dataDir, { recursive: true, force: true })
})

describe('by a mail server', () => {
  let server: MailServer
  beforeEach(async () => {
    server = await startMailServer()
  })
  afterEach(() => {
    letGo()
    return server.stop()
  })

  test('arrives as text, HTML and a calendar entry that mail programs act on', async () => {
    expect(await send(server.url)).toEqual({ ok: true, value: { accepted: true } })
    const [arrived] = server.kept
    expect(arrived?.subject).toBe(mail.subject)
    expect(arrived?.from?.value[0]).toMatchObject({ name: 'Farstep', address: 'visits@example.org' })
    expect(arrived?.text?.trim()).toBe(mail.text)
    expect((arrived?.html || '').trim()).toBe(mail.html)
    expect(arrived?.headers.get('auto-submitted')).toBe('auto-generated')
    const calendar = arrived?.attachments.find(({ contentType }) => contentType === 'text/calendar')
    expect(calendar?.headers.get('content-type')).toMatchObject({ params: { method: 'REQUEST', charset: 'utf-8' } })
    expect(calendar?.content.toString('utf8')).toBe(invite.content)
    expect(arrived?.attachments.find(({ contentType }) => contentType === 'application/ics')?.filename).toBe(
      'visit.ics',
    )
    // The alternative parts stand in the order in which readers prefer the last: text, HTML, calendar.
    const types = server.raw[0]?.toString('latin1').match(/^Content-Type: [a-z]+\/[a-z]+/gim)
    expect(types?.map((type) => type.slice(14).toLowerCase())).toEqual([
      'multipart/mixed',
      'multipart/alternative',
      'text/plain',
      'text/html',
      'text/calendar',
      'application/ics',
    ])
  })

  test('a packet to print arrives as the file that it is', async () => {
    const content = Uint8Array.from({ length: 5000 }, (_, n) => (n * 7) % 256)
    await send(server.url, { ...mail, print: { filename: 'Cómo prepararse.pdf', content } })
    const file = server.kept[0]?.attachments.find(({ contentType }) => contentType === 'application/pdf')
    expect(file?.filename).toBe('Cómo prepararse.pdf')
    expect(file?.content.equals(content)).toBe(true)
  })

  test('the same message sent twice has the same Message-ID', async () => {
    await send(server.url)
    await send(server.url)
    expect(server.kept.map(({ messageId }) => messageId)).toEqual([
      '<msg_abc-DEF_1@visits.example.org>',
      '<msg_abc-DEF_1@visits.example.org>',
    ])
  })

  test.each([
    ['busy mailbox', { at: 'rcpt', code: 450 }, { kind: 'retry', code: '450' }],
    ['busy server', { at: 'data', code: 451 }, { kind: 'retry', code: '451' }],
    ['unknown mailbox', { at: 'rcpt', code: 550 }, { kind: 'give_up', code: '550' }],
    ['refused for its content', { at: 'data', code: 554 }, { kind: 'give_up', code: '554' }],
    ['a server that lost the thread', { at: 'data', code: 503 }, { kind: 'retry', code: '503' }],
  ] as const)('%s', async (_name, behaviour, fault) => {
    server.behave(behaviour)
    expect(await send(server.url)).toEqual({ ok: false, error: fault })
    expect(server.kept).toEqual([])
  })

  test.each([false, true])(
    'a line that breaks after DATA is worth another try, kept by the server: %s',
    async (isKept) => {
      server.behave({ at: 'drop', isKept })
      const first = await send(server.url)
      expect(first.ok ? null : first.error.kind).toBe('retry')
      // Not sent again behind the queue's back.
      expect(server.kept).toHaveLength(isKept ? 1 : 0)
      server.behave('accept')
      expect((await send(server.url)).ok).toBe(true)
      expect(new Set(server.kept.map(({ messageId }) => messageId)).size).toBe(1)
    },
  )

  test('an address that is none is given up, without asking the server', async () => {
    expect(await send(server.url, { ...mail, to: 'no address' })).toMatchObject({
      ok: false,
      error: { kind: 'give_up' },
    })
  })

  test('an address cannot smuggle in a header or a second recipient', async () => {
    await send(server.url, { ...mail, to: 'ana@example.org\r\nBcc: eve@example.org' })
    await send(server.url, { ...mail, to: 'ana@example.org, eve@example.org' })
    const reached = server.raw.map((bytes) => bytes.toString('latin1')).join('\n')
    expect(reached).not.toMatch(/^Bcc:/im)
    for (const arrived of server.kept) {
      const to = Array.isArray(arrived.to) ? arrived.to : [arrived.to]
      expect(to.flatMap((each) => each?.value ?? []).map(({ address }) => address)).not.toContain('eve@example.org')
    }
  })
})

test('a server that cannot be reached is worth another try', async () => {
  const result = await send(`smtp://127.0.0.1:${await freePort()}`)
  expect(result).toMatchObject({ ok: false, error: { kind: 'retry' } })
})

describe('into the tray', () => {
  test('is the very mail that would have gone out, in one file, also after a repeat', async () => {
    await send(null)
    await send(null)
    expect(readdirSync(join(dataDir, 'tray'))).toEqual(['msg_abc-DEF_1.eml'])
    const parsed = await simpleParser(readFileSync(join(dataDir, 'tray', 'msg_abc-DEF_1.eml')))
    expect(parsed.messageId).toBe('<msg_abc-DEF_1@visits.example.org>')
    expect(parsed.subject).toBe(mail.subject)
  })

  test('is read back whole', async () => {
    await send(null)
    expect(await trayPort(settings(null)).read(mail.messageId)).toMatchObject({
      from: '"Farstep" <visits@example.org>',
      to: 'ana@example.org',
      subject: mail.subject,
      html: expect.stringContaining('ñandú 🙂'),
      text: expect.stringContaining('ñandú 🙂'),
      invite: invite.content,
    })
  })

  test('nothing is there for a message that was never written, and nothing outside the folder can be asked for', async () => {
    expect(await trayPort(settings(null)).read('msg_other')).toBeNull()
    await expect(trayPort(settings(null)).read('../auth-secret')).rejects.toThrow('not a message id')
  })
})
