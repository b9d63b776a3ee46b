import { and, eq } from 'drizzle-orm'
import { beforeEach, describe, expect, test } from 'vitest'
import type { Db } from '#db/client.ts'
import { insertMark } from '#db/queries/readiness.ts'
import {
  auditEvents,
  homeChecks,
  messages,
  patientLinks,
  patients,
  referrals,
  tasks,
  visits,
} from '#db/schema/index.ts'
import { letterPort } from '#lib/adapters/render-letter.tsx'
import { err, ok } from '#lib/base/result.ts'
import { Temporal } from '#lib/base/time.ts'
import type { MailFault, OutgoingMail } from '#lib/domain/messages/mail.ts'
import { messagesForHelp } from '#lib/domain/messages/schedule.ts'
import { answerOffer } from '#lib/usecases/answer-offer.ts'
import { bookVisit } from '#lib/usecases/book-visit.ts'
import { cancelVisit } from '#lib/usecases/cancel-visit.ts'
import type { Ctx } from '#lib/usecases/context.ts'
import { type DeliveryPorts, deliverMessages } from '#lib/usecases/deliver-messages.ts'
import { giveUpMessage } from '#lib/usecases/give-up-message.ts'
import { inviteHomeCheck } from '#lib/usecases/invite-home-check.ts'
import { joinStandby } from '#lib/usecases/join-standby.ts'
import { offerFreedTime } from '#lib/usecases/offer-freed-time.ts'
import { openLink } from '#lib/usecases/open-link.ts'
import { openPhoneTask } from '#lib/usecases/open-phone-task.ts'
import { strandedKey } from '#lib/usecases/steps/change-clinic.ts'
import { openTask } from '#lib/usecases/steps/open-task.ts'
import { queueMessages } from '#lib/usecases/steps/queue-messages.ts'
import { addReferral, addSmallClinic, CLINIC, contextFor, goodHome, NOW } from '#tests/support/clinic.ts'
import { emptyDb } from '#tests/support/db.ts'
import { asking, askingInPerson } from '#tests/support/starts.ts'

const system = { kind: 'system', clinicId: CLINIC, id: 'system' } as const
/** Tuesday 10 March 2026, 09:00 in New York: eight days ahead, so every reminder is planned. */
const START = '2026-03-10T13:00:00Z'

let db: Db
let sent: OutgoingMail[]
/** What the mail server does next; taken one by one, then it accepts. */
let faults: (MailFault | 'crash')[]
let ports: DeliveryPorts
let putBack: string[]
/** Each context names its ids by a number of its own. */
let contexts: number

beforeEach(async () => {
  db = (await emptyDb()).db
  await addSmallClinic(db)
  await addReferral(db, { id: 'ref_1' })
  sent = []
  faults = []
  putBack = []
  contexts = 0
  ports = {
    letters: letterPort({ baseUrl: 'https://visits.example.org', from: 'Farstep <visits@example.org>' }),
    mail: {
      async send(mail) {
        const fault = faults.shift()
        if (fault === 'crash') {
          sent.push(mail)
          throw new Error('the process died after the server had taken the mail')
        }
        if (fault) return err(fault)
        sent.push(mail)
        return ok({ accepted: true })
      },
    },
  }
})

function worker(now = NOW): Ctx {
  const ctx = contextFor(db, { actor: system, now, ids: `_${contexts++}` })
  const enqueueMessages: Ctx['queue']['enqueueMessages'] = async (_tx, jobs) => {
    for (const { messageId, dueAt } of jobs) putBack.push(`${messageId} ${dueAt}`)
  }
  return { ...ctx, queue: { ...ctx.queue, enqueueMessages } }
}
const deliver = async (messageId: string, now?: string) =>
  (await deliverMessages(worker(now), ports, { messageIds: [messageId] })).get(messageId)

async function book(start = asking(START), referralId = 'ref_1'): Promise<string> {
  const result = await bookVisit(contextFor(db, { ids: `_${contexts++}` }), {
    key: `book ${referralId}`,
    referralId,
    heldVisitId: null,
    start,
  })
  if (!result.ok) throw new Error(result.error.code)
  return result.value.visitId
}
async function queued(kind: (typeof messages.$inferSelect)['kind']): Promise<string> {
  const [row] = await db.select().from(messages).where(eq(messages.kind, kind))
  if (!row) throw new Error(`no ${kind} was queued`)
  return row.id
}
const rowOf = async (id: string) => (await db.select().from(messages).where(eq(messages.id, id)))[0]
const openTasks = () => db.select({ kind: tasks.kind, detail: tasks.detail, dueAt: tasks.dueAt }).from(tasks)
const tokenIn = (mail: OutgoingMail | undefined) => mail?.text.match(/\/go\/hudson\/([\w-]+)/)?.[1] ?? ''

describe('a message that falls due', () => {
  test('is sent once, however often it is handed over, and leaves its line in the record', async () => {
    await book()
    const id = await queued('packet')
    expect(await deliver(id)).toEqual({ outcome: 'sent' })
    expect(await deliver(id)).toEqual({ outcome: 'settled' })
    expect(sent).toMatchObject([{ messageId: id, to: 'ref_1@example.org', invite: { method: 'REQUEST' } }])
    expect(await rowOf(id)).toMatchObject({ status: 'sent', attempts: 1, fault: null })
    expect(await db.select().from(auditEvents).where(eq(auditEvents.action, 'message.sent'))).toMatchObject([
      { subject: id, referralId: 'ref_1', actorKind: 'system' },
    ])
  })

  test('carries a link that opens with the date of birth, and whose secret stands nowhere but in the mail', async () => {
    await book()
    await deliver(await queued('packet'))
    const token = tokenIn(sent[0])
    expect(token.length).toBeGreaterThanOrEqual(22)
    const links = await db.select().from(patientLinks)
    expect(links).toHaveLength(1)
    expect(JSON.stringify(links)).not.toContain(token)
    // The clinic's policy: 60 days.
    expect(links[0]?.expiresAt.toString()).toBe('2026-05-01T13:00:00Z')
    const opened = await openLink(worker(), { token, birthDate: '1980-05-06', from: null })
    expect(opened).toMatchObject({ ok: true, value: { referralId: 'ref_1' } })
  })

  test('is dropped when the visit has gone, and nothing is sent', async () => {
    const visitId = await book()
    const cancelled = await cancelVisit(contextFor(db, { ids: 'c' }), {
      key: 'cancel 1',
      visitId,
      version: 1,
      because: 'The patient asked',
    })
    expect(cancelled.ok).toBe(true)
    for (const kind of ['packet', 'day_before', 'hour_before', 'still_missing'] as const)
      expect(await deliver(await queued(kind))).toEqual({ outcome: 'dropped' })
    expect(sent).toEqual([])
    expect(await deliver(await queued('cancelled'))).toEqual({ outcome: 'sent' })
    expect(sent).toMatchObject([{ invite: { method: 'CANCEL' } }])
    // RFC 5546 3.2.5: a CANCEL raises the SEQUENCE.
    expect(sent[0]?.invite?.content).toMatch(/\r\nSEQUENCE:1\r\n/)
  })

  test('shows the packet itself only to patients who agreed to details by e-mail', async () => {
    await book()
    const id = await queued('packet')
    await db.update(patients).set({ mayEmailDetails: true })
    await deliver(id)
    expect(sent[0]?.text).toContain('WHAT WE WILL DO')

    await addReferral(db, { id: 'ref_2' })
    await book(asking('2026-03-10T14:00:00Z'), 'ref_2')
    const [other] = await db
      .select()
      .from(messages)
      .where(and(eq(messages.kind, 'packet'), eq(messages.referralId, 'ref_2')))
    await deliver(other?.id ?? '')
    expect(sent[1]?.text).not.toContain('WHAT WE WILL DO')
  })

  test('in person says why, in a word that names no condition', async () => {
    await addReferral(db, { id: 'ref_2', answers: { ...goodHome(), accepts_video: false } })
    await book(askingInPerson('2026-03-05T18:00:00Z'), 'ref_2')
    await deliver(await queued('in_person_booked'))
    expect(sent[0]?.text.replace(/\s+/g, ' ')).toContain('It is safer for you to be seen at the clinic than at home.')
    expect(sent[0]?.text).toContain('Hudson Street')
  })
})

describe('three days before', () => {
  const THREE_DAYS = '2026-03-07T15:00:00Z'

  test('the note names only what the patient and their helper still have to do', async () => {
    await book()
    await deliver(await queued('still_missing'), THREE_DAYS)
    expect(sent[0]?.text).toContain('Read how to get ready.')
    expect(sent[0]?.text).not.toContain('Answer the questions about your home.')
  })

  test('nobody is bothered when nothing is missing', async () => {
    const visitId = await book()
    await db.update(visits).set({ plan: null }).where(eq(visits.id, visitId))
    await db
      .update(homeChecks)
      .set({ placeAddress: '3 Any Street', callbackPhone: '(555) 555-0123', contactPhone: '(555) 555-0124' })
    await insertMark(db, {
      id: 'mrk_1',
      actor: { kind: 'patient', clinicId: CLINIC, id: 'pat_of_ref_1', referralId: 'ref_1' },
      visitId,
      item: 'packet_opened',
      state: 'confirmed',
      at: Temporal.Instant.from('2026-03-04T15:00:00Z'),
      forStartsAt: Temporal.Instant.from(START),
    })
    expect(await deliver(await queued('still_missing'), THREE_DAYS)).toEqual({ outcome: 'dropped' })
  })
})

describe('when the clock of the machine jumps', () => {
  test('back, before the message was written: it is sent, and not again once the clock is right', async () => {
    await book()
    const id = await queued('packet')
    expect(await deliver(id, '2026-02-27T13:00:00Z')).toEqual({ outcome: 'sent' })
    expect(await deliver(id)).toEqual({ outcome: 'settled' })
    expect(sent).toHaveLength(1)
  })

  test('ahead, past the visit: nothing is said of it that is no longer so, and help is still called for', async () => {
    await book()
    const help = messagesForHelp({ referralId: 'ref_1', assessmentId: 'asm_1', now: Temporal.Instant.from(NOW) })
    await db.transaction((tx) => queueMessages(tx, contextFor(db, { ids: 'h' }), help))
    const all = await Promise.all((['day_before', 'hour_before', 'seek_help'] as const).map(queued))
    const deliveries = await deliverMessages(worker('2026-03-11T13:00:00Z'), ports, { messageIds: all })
    expect(all.map((id) => deliveries.get(id)?.outcome)).toEqual(['dropped', 'dropped', 'sent'])
  })
})

describe('several at once', () => {
  test('go out in the order in which they are asked for, and one that fails is that one’s affair', async () => {
    await book()
    const ids = await Promise.all((['packet', 'still_missing', 'day_before', 'hour_before'] as const).map(queued))
    faults = [{ kind: 'give_up', code: '550' }]
    const deliveries = await deliverMessages(worker(), ports, { messageIds: ids })
    expect(ids.map((id) => deliveries.get(id)?.outcome)).toEqual(['failed', 'sent', 'sent', 'sent'])
    expect(sent.map(({ messageId }) => messageId)).toEqual(ids.slice(1))
    expect(await openTasks()).toHaveLength(1)
  })

  test('of which one cannot be prepared: the others are sent', async () => {
    await book()
    const ids = await Promise.all((['packet', 'day_before'] as const).map(queued))
    const ctx = worker()
    // Once together with the others and once by itself.
    let failures = 2
    const newToken = () => {
      if (failures-- > 0) throw new Error('a bug that this message alone runs into')
      return ctx.secrets.newToken()
    }
    const deliveries = await deliverMessages({ ...ctx, secrets: { ...ctx.secrets, newToken } }, ports, {
      messageIds: ids,
    })
    expect(ids.map((id) => deliveries.get(id)?.outcome)).toEqual(['broken', 'sent'])
    expect(await rowOf(ids[0] ?? '')).toMatchObject({ status: 'queued' })
  })
})

describe('when the mail server is in the way', () => {
  test('a busy one is tried again later, under the same id', async () => {
    await book()
    const id = await queued('packet')
    faults = [{ kind: 'retry', code: '451' }]
    expect(await deliver(id)).toEqual({ outcome: 'try_again', fault: '451' })
    expect(await rowOf(id)).toMatchObject({ status: 'queued', attempts: 1, fault: '451' })
    expect(await openTasks()).toEqual([])
    expect(await deliver(id, '2026-03-02T13:05:00Z')).toEqual({ outcome: 'sent' })
    expect(await rowOf(id)).toMatchObject({ status: 'sent', attempts: 2 })
  })

  test('a final no becomes a phone call for the coordinator', async () => {
    await book()
    const id = await queued('packet')
    faults = [{ kind: 'give_up', code: '550' }]
    expect(await deliver(id)).toEqual({ outcome: 'failed' })
    expect(await rowOf(id)).toMatchObject({ status: 'failed', fault: '550', attempts: 1 })
    expect(await openTasks()).toMatchObject([
      { kind: 'message_failed', detail: { messageId: id, messageKind: 'packet', fault: '550' } },
    ])
  })

  // At least once: the mail may come twice, recognisable as the same, and is never lost.
  test('a crash between the server’s yes and ours repeats the mail under the same Message-ID', async () => {
    await book()
    const id = await queued('packet')
    faults = ['crash']
    expect(await deliver(id)).toMatchObject({ outcome: 'broken' })
    expect(await rowOf(id)).toMatchObject({ status: 'queued' })
    await deliver(id, '2026-03-02T13:05:00Z')
    expect(sent.map(({ messageId }) => messageId)).toEqual([id, id])
    expect(await rowOf(id)).toMatchObject({ status: 'sent' })
  })

  test('when every try is used up a person phones, and a late success is not undone', async () => {
    await book()
    const [id, reminder] = [await queued('packet'), await queued('day_before')]
    expect(await giveUpMessage(worker(), { messageId: id })).toEqual({ ok: true, value: { hasFailed: true } })
    expect(await rowOf(id)).toMatchObject({ status: 'failed', fault: 'tries_used_up' })
    expect(await openTasks()).toMatchObject([{ kind: 'message_failed' }])
    await deliver(reminder)
    expect(await giveUpMessage(worker(), { messageId: reminder })).toEqual({ ok: true, value: { hasFailed: false } })
    expect(await rowOf(reminder)).toMatchObject({ status: 'sent' })
  })
})

describe('a patient without e-mail', () => {
  test('is phoned instead', async () => {
    await book()
    await db.update(patients).set({ email: null })
    const id = await queued('packet')
    expect(await deliver(id)).toEqual({ outcome: 'failed' })
    expect(await rowOf(id)).toMatchObject({ status: 'failed', fault: 'no_address' })
    expect(await openTasks()).toMatchObject([{ kind: 'message_failed' }])
    expect(await db.select().from(patientLinks)).toEqual([])
  })

  test('is asked the home check by phone', async () => {
    await db.update(homeChecks).set({ invitedAt: null, finishedAt: null })
    expect((await inviteHomeCheck(contextFor(db), { referralId: 'ref_1' })).ok).toBe(true)
    await db.update(patients).set({ email: null })
    await deliver(await queued('home_check_invitation'))
    expect(await openTasks()).toMatchObject([{ kind: 'phone_home_check' }])
  })
})

describe('while an emergency flag waits for a person', () => {
  test('nobody is told to get ready: the message waits, and comes up again', async () => {
    await book()
    const id = await queued('packet')
    await db.update(referrals).set({ isStopped: true })
    expect(await deliver(id)).toEqual({ outcome: 'postponed' })
    expect(putBack).toEqual([`${id} 2026-03-02T13:15:00Z`])
    expect(sent).toEqual([])
    await db.update(referrals).set({ isStopped: false })
    expect(await deliver(id, '2026-03-02T13:15:00Z')).toEqual({ outcome: 'sent' })
  })

  test('advice to seek help goes out all the same', async () => {
    const now = Temporal.Instant.from(NOW)
    const help = messagesForHelp({ referralId: 'ref_1', assessmentId: 'asm_1', now })
    await db.transaction((tx) => queueMessages(tx, contextFor(db), help))
    await db.update(referrals).set({ isStopped: true })
    expect(await deliver(await queued('seek_help'))).toEqual({ outcome: 'sent' })
    expect(sent[0]?.text).toContain('Call 911 now')
    expect(tokenIn(sent[0])).toBe('')
  })
})

describe('while nobody has settled where a visit takes place that lost its place', () => {
  test('nobody is reminded of it; once it is settled they are', async () => {
    const visitId = await book()
    const id = await queued('day_before')
    await db.transaction((tx) =>
      openTask(tx, contextFor(db, { ids: 't' }), {
        referralId: 'ref_1',
        kind: 'stranded',
        dedupeKey: strandedKey(visitId),
        detail: { visitId },
        dueAt: null,
      }),
    )
    expect(await deliver(id)).toEqual({ outcome: 'postponed' })
    expect(sent).toEqual([])
    await db.update(tasks).set({ doneAt: Temporal.Instant.from(NOW), doneBy: 'stf_1' })
    expect(await deliver(id)).toEqual({ outcome: 'sent' })
  })
})

describe('the offer of a sooner time', () => {
  async function offered(): Promise<{ offerId: string; messageId: string }> {
    await book(asking('2026-03-31T13:00:00Z'))
    await joinStandby(contextFor(db, { ids: 'j' }), { referralId: 'ref_1', noticeHours: 24 })
    const [from, to] = [Temporal.Instant.from('2026-03-10T13:00:00Z'), Temporal.Instant.from('2026-03-10T14:00:00Z')]
    const made = await offerFreedTime(worker(), { clinicianId: 'cli_ames', from, to })
    return { offerId: (made.ok && made.value.offerIds[0]) || '', messageId: await queued('standby_offer') }
  }

  test('says what is free, until when, and what they keep', async () => {
    const { messageId } = await offered()
    expect(await deliver(messageId)).toEqual({ outcome: 'sent' })
    const [mail] = sent
    expect(mail).toMatchObject({ subject: 'You can have a sooner visit', invite: null })
    const text = mail?.text.replaceAll(/\s+/g, ' ')
    expect(text).toContain('Tuesday, March 10, 9:00 AM to 9:45 AM, Eastern Time')
    expect(text).toContain('We keep it for you until Monday, March 2, 12:00 PM, Eastern Time.')
    expect(text).toMatch(/You keep your visit on Tuesday, March 31, .*9:00 AM/)
    expect(tokenIn(mail).length).toBeGreaterThanOrEqual(22)
  })

  test('is not sent any more when it was answered meanwhile', async () => {
    const { offerId, messageId } = await offered()
    await answerOffer(contextFor(db, { ids: 'a' }), { key: 'no thank you', offerId, answer: 'decline' })
    expect(await deliver(messageId)).toEqual({ outcome: 'dropped' })
    expect(sent).toEqual([])
  })
})

describe('silence after an invitation', () => {
  const INVITED = `home_check_invitation|ref_1|${Temporal.Instant.from(NOW).epochMilliseconds / 1000}`
  beforeEach(async () => {
    await db.update(homeChecks).set({ invitedAt: Temporal.Instant.from(NOW), finishedAt: null })
  })
  const ring = (ids = '') =>
    openPhoneTask(contextFor(db, { actor: system, ids }), { referralId: 'ref_1', invitation: INVITED })

  test('becomes one task to phone', async () => {
    expect(await ring()).toEqual({ ok: true, value: { isOpened: true } })
    await ring('again')
    expect(await openTasks()).toMatchObject([{ kind: 'phone_home_check' }])
  })

  test.each([
    ['the home check is finished', () => db.update(homeChecks).set({ finishedAt: Temporal.Instant.from(NOW) })],
    ['the referral is closed', () => db.update(referrals).set({ stage: 'closed', closedBecause: 'seen elsewhere' })],
    [
      'they were invited again',
      () => db.update(homeChecks).set({ invitedAt: Temporal.Instant.from('2026-03-06T13:00:00Z') }),
    ],
  ])('becomes nothing when %s', async (_why, change) => {
    await change()
    expect(await ring()).toEqual({ ok: true, value: { isOpened: false } })
    expect(await openTasks()).toEqual([])
  })
})

test('the same message planned twice is one message', async () => {
  const help = messagesForHelp({ referralId: 'ref_1', assessmentId: 'asm_1', now: Temporal.Instant.from(NOW) })
  await db.transaction((tx) => queueMessages(tx, worker(), help))
  await db.transaction((tx) => queueMessages(tx, contextFor(db, { ids: 'again' }), help))
  expect(await db.select().from(messages)).toHaveLength(1)
  expect(putBack).toHaveLength(1)
})

test('an invitation brings the task to phone after the silence that the policy allows', async () => {
  await db.update(homeChecks).set({ invitedAt: null, finishedAt: null })
  const asked: string[] = []
  const ctx = contextFor(db)
  const enqueuePhoneTask: Ctx['queue']['enqueuePhoneTask'] = async (_tx, { referralId, dueAt }) => {
    asked.push(`${referralId} ${dueAt}`)
  }
  await inviteHomeCheck({ ...ctx, queue: { ...ctx.queue, enqueuePhoneTask } }, { referralId: 'ref_1' })
  // Six days later at the same wall time, 08:00 in New York, where the clocks went forward on that very morning.
  expect(asked).toEqual(['ref_1 2026-03-08T12:00:00Z'])
})
