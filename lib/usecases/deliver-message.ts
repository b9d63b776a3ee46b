/**
 * A message has fallen due. Between its planning and now everything may have changed, so all of it is read again: what no
 * longer holds is dropped, what holds is rendered from what is true now. Nothing is sent while a transaction is open, and
 * the message is only called sent after the server took it: a crash in between sends it twice, under the same Message-ID,
 * and never loses it.
 */
import { z } from 'zod'
import type { Db } from '#db/client.ts'
import { findNewestAssessment } from '#db/queries/assessments.ts'
import { recordAudit } from '#db/queries/audit.ts'
import { type Clinic, getClinic } from '#db/queries/clinics.ts'
import { insertLink } from '#db/queries/links.ts'
import { findBookedStart, findMessageForUpdate, type MessageToSend, settleMessage } from '#db/queries/messages.ts'
import { findNewestPacket } from '#db/queries/packets.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import type { MessageKind } from '#lib/domain/messages/kinds.ts'
import type { InPersonReason, Letter, LetterPort, MailPort } from '#lib/domain/messages/mail.ts'
import { isStale, isUrgent } from '#lib/domain/messages/schedule.ts'
import type { ReadinessItem } from '#lib/domain/readiness/items.ts'
import type { LadderRule } from '#lib/domain/screening/screening.ts'
import type { Ctx } from './context.ts'
import { inTransaction } from './in-transaction.ts'
import { failMessage } from './steps/fail-message.ts'
import { missingFor } from './steps/missing-for.ts'

export const deliverMessageInput = z.object({ messageId: z.string() })
export type DeliverMessageInput = z.output<typeof deliverMessageInput>

export type DeliveredMessage = {
  /** settled: it had been dealt with before. postponed: it comes up again later. */
  outcome: 'sent' | 'dropped' | 'failed' | 'postponed' | 'settled'
}
/** The same mail may pass later. */
export type DeliverMessageError = { code: 'try_again'; fault: string }

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

export async function deliverMessage(
  ctx: Ctx,
  ports: DeliveryPorts,
  { messageId }: DeliverMessageInput,
): Promise<Result<DeliveredMessage, DeliverMessageError>> {
  const prepared = await inTransaction<Prepared, never>(ctx, async (tx) => ok(await prepare(tx, ctx, messageId)))
  if (!prepared.ok) return prepared
  const ready = prepared.value
  if ('outcome' in ready) return ok(ready)

  const rendered = await ports.letters.render(ready.letter, ready.to)
  const sent = await ports.mail.send({ ...rendered, messageId, to: ready.to })

  const { clinicId } = ctx.actor
  const settled = await inTransaction<DeliveredMessage['outcome'], never>(ctx, async (tx) => {
    if (sent.ok) {
      await settleMessage(tx, clinicId, messageId, { status: 'sent', sentAt: ctx.now(), hasTried: true })
      await audit(tx, ctx, 'message.sent', ready)
      return ok('sent')
    }
    const { kind, code: fault } = sent.error
    await settleMessage(tx, clinicId, messageId, { fault, hasTried: true })
    if (kind === 'give_up') await failMessage(tx, ctx, ready, fault)
    return ok(kind === 'give_up' ? 'failed' : 'postponed')
  })
  if (!settled.ok) return settled
  if (!sent.ok && settled.value === 'postponed') return err({ code: 'try_again', fault: sent.error.code })
  return ok({ outcome: settled.value })
}

type Ready = { id: string; kind: MessageKind; referralId: string; letter: Letter; to: string }
type Prepared = DeliveredMessage | Ready

async function prepare(tx: Db, ctx: Ctx, messageId: string): Promise<Prepared> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  const message = await findMessageForUpdate(tx, clinicId, messageId)
  if (message?.status !== 'queued') return { outcome: 'settled' }
  const { kind, referral, patient, visit } = message
  const about = { id: messageId, kind, referralId: referral.id }

  const world = { referral: { ...referral, isClosed: referral.stage === 'closed' }, visit, now }
  const missing = kind === 'still_missing' && visit ? await missingFor(tx, ctx, visit.id) : []
  if (isStale(message, world) || (kind === 'still_missing' && missing.length === 0)) {
    await settleMessage(tx, clinicId, messageId, { status: 'dropped' })
    await audit(tx, ctx, 'message.dropped', about)
    return { outcome: 'dropped' }
  }
  const isUnsettled = referral.isStopped || (visit?.isStranded && REMINDS.includes(kind))
  if (isUnsettled && WAITS_WHILE_STOPPED.includes(kind)) {
    const dueAt = now.add({ minutes: STOPPED_WAIT_MIN })
    await ctx.queue.enqueueMessages(tx, [{ clinicId, messageId, dueAt, isUrgent: isUrgent(kind) }])
    return { outcome: 'postponed' }
  }
  if (patient.email === null) {
    await failMessage(tx, ctx, about, 'no_address')
    return { outcome: 'failed' }
  }
  const clinic = await getClinic(tx, clinicId)
  return { ...about, to: patient.email, letter: await write(tx, ctx, message, clinic, missing) }
}

async function write(
  tx: Db,
  ctx: Ctx,
  message: MessageToSend,
  clinic: Clinic,
  missing: readonly ReadinessItem[],
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
    linkPath: WITHOUT_LINK.includes(kind) ? null : await makeLink(tx, ctx, clinic, referral.id),
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
    details: packet && { packet: packet.content, changes: packet.changes },
  }
}

/** The secret exists in the mail alone. A second attempt gets a link of its own; the first one's secret is gone. */
async function makeLink(tx: Db, ctx: Ctx, clinic: Clinic, referralId: string): Promise<string> {
  const now = ctx.now()
  const token = ctx.secrets.newToken()
  await insertLink(tx, {
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

async function audit(
  tx: Db,
  ctx: Ctx,
  action: string,
  { id: subject, kind, referralId }: { id: string; kind: MessageKind; referralId: string },
): Promise<void> {
  const { actor } = ctx
  await recordAudit(tx, { id: ctx.newId('aud'), at: ctx.now(), actor, action, subject, referralId, after: { kind } })
}
