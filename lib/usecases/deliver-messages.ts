/**
 * Messages have fallen due. Between their planning and now everything may have changed, so all of it is read again: what no
 * longer holds is dropped, what holds is rendered from what is true now. Nothing is sent while a transaction is open, and
 * a message is only called sent after the server took it: a crash in between sends it twice, under the same Message-ID,
 * and never loses it.
 */
import { z } from 'zod'
import type { Db } from '#db/client.ts'
import { findNewestAssessment } from '#db/queries/assessments.ts'
import { type Deed, recordAudits } from '#db/queries/audit.ts'
import { type Clinic, getClinic } from '#db/queries/clinics.ts'
import { insertLinks } from '#db/queries/links.ts'
import { findBookedStart, findMessagesForUpdate, type MessageToSend, settleMessages } from '#db/queries/messages.ts'
import { findNewestPacket } from '#db/queries/packets.ts'
import { ok } from '#lib/base/result.ts'
import type { MessageKind } from '#lib/domain/messages/kinds.ts'
import type { InPersonReason, Letter, LetterPort, MailPort } from '#lib/domain/messages/mail.ts'
import { isStale, isUrgent } from '#lib/domain/messages/schedule.ts'
import type { ReadinessItem } from '#lib/domain/readiness/items.ts'
import type { LadderRule } from '#lib/domain/screening/screening.ts'
import type { Ctx } from './context.ts'
import { inTransaction } from './in-transaction.ts'
import { failMessage } from './steps/fail-message.ts'
import { missingFor } from './steps/missing-for.ts'

export const deliverMessagesInput = z.object({ messageIds: z.array(z.string()) })
export type DeliverMessagesInput = z.output<typeof deliverMessagesInput>

/**
 * settled: it had been dealt with before. postponed: it comes up again later. try_again: the same mail may pass later.
 * broken: a bug or a lost database; it may have been sent.
 */
export type Delivery =
  | { outcome: 'sent' | 'dropped' | 'failed' | 'postponed' | 'settled' }
  | { outcome: 'try_again'; fault: string }
  | { outcome: 'broken'; error: unknown }
export type Deliveries = ReadonlyMap<string, Delivery>

export type DeliveryPorts = { mail: MailPort; letters: LetterPort }

/** Tells nobody to get ready for a visit while an emergency flag is waiting for a person; these wait instead. */
const WAITS_WHILE_STOPPED: readonly MessageKind[] = [
  'home_check_invitation',
  'home_check_chaser',
  'packet',
  'packet_changed',
  'still_missing',
  'day_before',
  'hour_before',
  'standby_offer',
]
/** Nobody is reminded of a visit that lost its place until a person has settled where it takes place. */
const REMINDS: readonly MessageKind[] = ['still_missing', 'day_before', 'hour_before']
const STOPPED_WAIT_MIN = 15

/** Kinds whose mail carries a personal link. */
const WITHOUT_LINK: readonly MessageKind[] = ['cancelled', 'seek_help']

/** Mails sent at the same time: as many as nodemailer's pool has connections. */
const AT_ONCE = 5
/** Mails that the server took and the database does not know of yet: what a crash at its worst would repeat. */
const MOST_UNSETTLED = 10

/**
 * Delivers messages of one clinic in the order given. They are read in one transaction and settled in a few, since most of
 * what a message costs is the way to the database; whatever goes wrong with one of them is that one's affair.
 */
export async function deliverMessages(
  ctx: Ctx,
  ports: DeliveryPorts,
  { messageIds }: DeliverMessagesInput,
): Promise<Deliveries> {
  const deliveries = new Map<string, Delivery>()
  const ready = await prepareAll(ctx, messageIds, deliveries)
  const settling = settler(ctx, deliveries)
  const waiting = ready.values()
  const lane = async () => {
    for (const each of waiting) {
      try {
        const rendered = await ports.letters.render(each.letter, each.to)
        const sent = await ports.mail.send({ ...rendered, messageId: each.id, to: each.to })
        await settling.add({ ...each, sent })
      } catch (error) {
        deliveries.set(each.id, { outcome: 'broken', error })
      }
    }
  }
  await Promise.all(Array.from({ length: AT_ONCE }, lane))
  await settling.rest()
  return deliveries
}

type Ready = { id: string; kind: MessageKind; referralId: string; letter: Letter; to: string }
type Answered = Ready & { sent: Awaited<ReturnType<MailPort['send']>> }

async function prepareAll(ctx: Ctx, ids: readonly string[], deliveries: Map<string, Delivery>): Promise<Ready[]> {
  try {
    const prepared = await inTransaction<Map<string, Delivery | Ready>, never>(ctx, async (tx) =>
      ok(await prepare(tx, ctx, ids)),
    )
    if (!prepared.ok) return []
    return [...prepared.value].flatMap(([id, each]) => {
      if (!('outcome' in each)) return [each]
      deliveries.set(id, each)
      return []
    })
  } catch (error) {
    const [only, ...others] = ids
    if (only !== undefined && others.length === 0) deliveries.set(only, { outcome: 'broken', error })
    if (others.length === 0) return []
    // One that can't be read holds up nobody else.
    const each: Ready[] = []
    for (const id of ids) each.push(...(await prepareAll(ctx, [id], deliveries)))
    return each
  }
}

/** Writes down what the server answered: whatever came in while the last of it was written goes in the next transaction. */
function settler(ctx: Ctx, deliveries: Map<string, Delivery>) {
  let pending: Answered[] = []
  let isWriting = false
  let writing = Promise.resolve()
  const write = async () => {
    while (pending.length > 0) {
      const batch = pending
      pending = []
      await settleSent(
        ctx,
        batch.filter(({ sent }) => sent.ok),
        deliveries,
      )
      for (const each of batch) await settleFault(ctx, each, deliveries)
    }
    isWriting = false
  }
  return {
    async add(answered: Answered): Promise<void> {
      pending.push(answered)
      if (!isWriting) {
        isWriting = true
        writing = write()
      }
      if (pending.length >= MOST_UNSETTLED) await writing
    },
    rest: () => writing,
  }
}

async function settleSent(ctx: Ctx, sent: readonly Answered[], deliveries: Map<string, Delivery>): Promise<void> {
  if (sent.length === 0) return
  const ids = sent.map(({ id }) => id)
  try {
    await inTransaction<null, never>(ctx, async (tx) => {
      await settleMessages(tx, ctx.actor.clinicId, ids, { status: 'sent', sentAt: ctx.now(), hasTried: true })
      await recordAudits(
        tx,
        sent.map((each) => deedOf(ctx, 'message.sent', each)),
      )
      return ok(null)
    })
    for (const id of ids) deliveries.set(id, { outcome: 'sent' })
  } catch (error) {
    for (const id of ids) deliveries.set(id, { outcome: 'broken', error })
  }
}

async function settleFault(ctx: Ctx, { sent, ...ready }: Answered, deliveries: Map<string, Delivery>): Promise<void> {
  if (sent.ok) return
  const { kind, code: fault } = sent.error
  try {
    await inTransaction<null, never>(ctx, async (tx) => {
      await settleMessages(tx, ctx.actor.clinicId, [ready.id], { fault, hasTried: true })
      if (kind === 'give_up') await failMessage(tx, ctx, ready, fault)
      return ok(null)
    })
    deliveries.set(ready.id, kind === 'give_up' ? { outcome: 'failed' } : { outcome: 'try_again', fault })
  } catch (error) {
    deliveries.set(ready.id, { outcome: 'broken', error })
  }
}

/** What becomes of each message, in the order in which they were asked for. */
async function prepare(tx: Db, ctx: Ctx, ids: readonly string[]): Promise<Map<string, Delivery | Ready>> {
  const { clinicId } = ctx.actor
  const messages = await findMessagesForUpdate(tx, clinicId, ids)
  const clinic = await getClinic(tx, clinicId)
  const links: PersonalLink[] = []
  const prepared = new Map<string, Delivery | Ready>()
  for (const id of ids) {
    const message = messages.get(id)
    prepared.set(id, message ? await prepareOne(tx, ctx, message, clinic, links) : { outcome: 'settled' })
  }
  await insertLinks(tx, links)
  return prepared
}

async function prepareOne(
  tx: Db,
  ctx: Ctx,
  message: MessageToSend,
  clinic: Clinic,
  links: PersonalLink[],
): Promise<Delivery | Ready> {
  if (message.status !== 'queued') return { outcome: 'settled' }
  const now = ctx.now()
  const { clinicId } = ctx.actor
  const { id, kind, referral, patient, visit } = message
  const about = { id, kind, referralId: referral.id }

  const world = { referral: { ...referral, isClosed: referral.stage === 'closed' }, visit, now }
  const missing = kind === 'still_missing' && visit ? await missingFor(tx, ctx, visit.id) : []
  if (isStale(message, world) || (kind === 'still_missing' && missing.length === 0)) {
    await settleMessages(tx, clinicId, [id], { status: 'dropped' })
    await recordAudits(tx, [deedOf(ctx, 'message.dropped', about)])
    return { outcome: 'dropped' }
  }
  const isUnsettled = referral.isStopped || (visit?.isStranded && REMINDS.includes(kind))
  if (isUnsettled && WAITS_WHILE_STOPPED.includes(kind)) {
    const dueAt = now.add({ minutes: STOPPED_WAIT_MIN })
    await ctx.queue.enqueueMessages(tx, [{ clinicId, messageId: id, dueAt, isUrgent: isUrgent(kind) }])
    return { outcome: 'postponed' }
  }
  if (patient.email === null) {
    await failMessage(tx, ctx, about, 'no_address')
    return { outcome: 'failed' }
  }
  return { ...about, to: patient.email, letter: await write(tx, ctx, message, { clinic, missing, links }) }
}

async function write(
  tx: Db,
  ctx: Ctx,
  message: MessageToSend,
  { clinic, missing, links }: { clinic: Clinic; missing: readonly ReadinessItem[]; links: PersonalLink[] },
): Promise<Letter> {
  const { id, kind, referral, patient, visit, site } = message
  const mayDetail = patient.mayEmailDetails && (kind === 'packet' || kind === 'packet_changed')
  const packet = mayDetail && visit ? await findNewestPacket(tx, clinic.id, visit.id) : null
  return {
    messageId: id,
    kind,
    locale: patient.language,
    givenName: patient.givenName,
    clinic,
    linkPath: WITHOUT_LINK.includes(kind) ? null : newLink(ctx, clinic, referral.id, links),
    visit: visit && {
      mode: visit.mode,
      startsAt: visit.startsAt,
      endsAt: visit.endsAt,
      timeZone: visit.timeZone,
      place: visit.mode === 'in_person' && site?.name ? { name: site.name, address: site.address } : null,
      calendar: { uid: visit.calendarUid, sequence: visit.calendarSequence, changedAt: visit.changedAt },
    },
    inPersonReason: kind === 'in_person_booked' ? await whyInPerson(tx, clinic.id, referral.id) : null,
    missing,
    offer:
      kind === 'standby_offer' && visit?.holdExpiresAt
        ? { answerBy: visit.holdExpiresAt, keepsAt: await findBookedStart(tx, clinic.id, referral.id) }
        : null,
    details: packet && {
      packet: packet.content,
      changes: packet.changes,
      revision: packet.revision,
      at: packet.at,
    },
  }
}

type PersonalLink = Parameters<typeof insertLinks>[1][number]

/** The secret exists in the mail alone. A second attempt gets a link of its own; the first one's secret is gone. */
function newLink(ctx: Ctx, clinic: Clinic, referralId: string, links: PersonalLink[]): string {
  const now = ctx.now()
  const token = ctx.secrets.newToken()
  links.push({
    clinicId: clinic.id,
    id: ctx.newId('lnk'),
    referralId,
    tokenHash: ctx.secrets.hashToken(token),
    createdAt: now,
    expiresAt: now.add({ hours: clinic.policy.links.validDays * 24 }),
  })
  return `/go/${clinic.slug}/${token}`
}

async function whyInPerson(tx: Db, clinicId: string, referralId: string): Promise<InPersonReason> {
  const assessment = await findNewestAssessment(tx, clinicId, referralId)
  if (!assessment || assessment.overruled) return 'clinic_decision'
  return REASONS[assessment.screening.rule] ?? 'clinic_decision'
}

const REASONS: Partial<Record<LadderRule, InPersonReason>> = {
  urgent_flag: 'see_soon',
  urgent_condition: 'see_soon',
  in_person_flag: 'see_soon',
  unsafe_at_home: 'safer',
  essential_impossible: 'parts_at_clinic',
}

function deedOf(
  ctx: Ctx,
  action: string,
  { id: subject, kind, referralId }: { id: string; kind: MessageKind; referralId: string },
): Deed {
  return { id: ctx.newId('aud'), at: ctx.now(), actor: ctx.actor, action, subject, referralId, after: { kind } }
}
