/**
 * What is sent to a patient, and when? Times follow the clinic's policy on the patient's own clock, so a reminder at ten
 * stays at ten across a change of the clocks. A message is planned with what it speaks of written into its key; when it
 * falls due, a key that no longer matches the world means that the world has moved on, and nothing is sent.
 */
import { Temporal } from '#lib/base/time.ts'
import type { ClinicPolicy } from '../policy/clinic-policy.ts'
import type { MessageKind } from './kinds.ts'

export type PlannedMessage = {
  kind: MessageKind
  referralId: string
  visitId: string | null
  dueAt: Temporal.Instant
  /** Everything that makes it one message: a second one with the same key is the same message. */
  dedupeKey: string
}

type Mode = 'video' | 'in_person'

/** What a visit must say of itself for its messages to be planned. */
export type VisitToTell = {
  id: string
  referralId: string
  startsAt: Temporal.Instant
  /** RFC 5546: rises with each change, so each change is told once. */
  calendarSequence: number
}

/** Where and by whose rules the patient reads: policy of the clinic, IANA zone of the patient. */
export type Timing = { policy: ClinicPolicy; zone: string; now: Temporal.Instant }

/**
 * Sent whatever the hour: advice to seek help, the reminder of a visit that begins within the hour, and news that a
 * visit is not when the patient thinks it is (read late, it costs a journey or a visit).
 */
const URGENT: readonly MessageKind[] = ['seek_help', 'hour_before', 'moved', 'cancelled']

/** Whether quiet hours and the order of the queue give way to it. */
export function isUrgent(kind: MessageKind): boolean {
  return URGENT.includes(kind)
}

/** Invitation to the home check, and the chasers that follow while nothing comes back. `now` is when they are invited. */
export function messagesForInvitation({ referralId, ...timing }: { referralId: string } & Timing): PlannedMessage[] {
  const occasion = { referralId, invitedAt: timing.now }
  const first = message('home_check_invitation', occasion, outsideQuietHours(timing.now, timing))
  const chasers = timing.policy.messages.chaseAfterDays.map((days) =>
    message('home_check_chaser', occasion, outsideQuietHours(daysLater(first.dueAt, days, timing.zone), timing), days),
  )
  return [first, ...chasers]
}

/** When the coordinator is asked to phone, if the home check still isn't finished. */
export function phoneTaskDueAt(
  invitationDueAt: Temporal.Instant,
  { policy, zone }: Omit<Timing, 'now'>,
): Temporal.Instant {
  return daysLater(invitationDueAt, policy.messages.phoneAfterDays, zone)
}

type VisitTiming = { visit: VisitToTell; mode: Mode } & Timing

/** Confirmation at once, then what is due before the start. */
export function messagesForBooking({ visit, mode, ...timing }: VisitTiming): PlannedMessage[] {
  const confirmation = mode === 'video' ? 'packet' : 'in_person_booked'
  return [message(confirmation, visit, beforeStart(timing.now, visit, timing)), ...reminders(visit, mode, timing)]
}

/** News of the move at once, and new reminders. `visit` is as it stands after the move; what was planned before is stale. */
export function messagesForMove({ visit, mode, ...timing }: VisitTiming): PlannedMessage[] {
  return [message('moved', visit, timing.now), ...reminders(visit, mode, timing)]
}

/** News of the cancellation, at once. */
export function messagesForCancel({ visit, now }: Pick<VisitTiming, 'visit' | 'now'>): PlannedMessage[] {
  return [message('cancelled', visit, now)]
}

/** What is different in the packet, once for each revision. */
export function messagesForNewPacket({
  visit,
  revision,
  ...timing
}: { visit: VisitToTell; revision: number } & Timing): PlannedMessage[] {
  return [message('packet_changed', visit, beforeStart(timing.now, visit, timing), revision)]
}

/** What is still missing, asked for by somebody once more: each time a message of its own. */
export function messagesForMissing({ visit, ...timing }: { visit: VisitToTell } & Timing): PlannedMessage[] {
  const second = Math.floor(timing.now.epochMilliseconds / 1000)
  return [message('still_missing', visit, beforeStart(timing.now, visit, timing), second)]
}

/** A sooner start that came free, offered once to each who waits for one. `held` is the row that keeps it for them. */
export function messagesForOffer({ held, dueAt }: { held: VisitToTell; dueAt: Temporal.Instant }): PlannedMessage[] {
  return [message('standby_offer', held, dueAt)]
}

/** Advice to get help now, once for each screening that calls for it. */
export function messagesForHelp({
  referralId,
  assessmentId,
  now,
}: {
  referralId: string
  assessmentId: string
  now: Temporal.Instant
}): PlannedMessage[] {
  return [
    { kind: 'seek_help', referralId, visitId: null, dueAt: now, dedupeKey: `seek_help|${referralId}|${assessmentId}` },
  ]
}

/** What the world looks like when a message falls due. */
export type MessageWorld = {
  referral: {
    id: string
    isClosed: boolean
    invitedAt: Temporal.Instant | null
    homeCheckFinishedAt: Temporal.Instant | null
  }
  visit:
    | (VisitToTell & {
        status: 'held' | 'booked' | 'lapsed' | 'cancelled' | 'done' | 'no_show'
        packetRevision: number
        holdExpiresAt: Temporal.Instant | null
      })
    | null
  now: Temporal.Instant
}

/** Whether a message that falls due speaks of something that is no longer so. */
export function isStale(planned: { kind: MessageKind; dedupeKey: string }, world: MessageWorld): boolean {
  const { referral, visit, now } = world
  switch (planned.kind) {
    case 'seek_help':
      // Advice to seek help stands until somebody has acted on it; there is no state in which it is safer unsent.
      return false
    case 'home_check_invitation':
    case 'home_check_chaser':
      return (
        referral.isClosed ||
        referral.homeCheckFinishedAt !== null ||
        referral.invitedAt === null ||
        !speaksOf(planned, { referralId: referral.id, invitedAt: referral.invitedAt })
      )
    case 'packet':
    case 'in_person_booked':
    case 'still_missing':
    case 'day_before':
    case 'hour_before':
    case 'moved':
      return visit?.status !== 'booked' || isOver(visit, now) || !speaksOf(planned, visit)
    case 'packet_changed':
      return visit?.status !== 'booked' || isOver(visit, now) || !speaksOf(planned, visit, visit.packetRevision)
    case 'cancelled':
      return visit?.status !== 'cancelled' || isOver(visit, now)
    case 'standby_offer':
      return visit?.status !== 'held' || !isHeld(visit, now) || !speaksOf(planned, visit)
  }
}

function isHeld({ holdExpiresAt }: { holdExpiresAt: Temporal.Instant | null }, now: Temporal.Instant): boolean {
  return holdExpiresAt !== null && Temporal.Instant.compare(holdExpiresAt, now) > 0
}

function isOver(visit: VisitToTell, now: Temporal.Instant): boolean {
  return Temporal.Instant.compare(visit.startsAt, now) <= 0
}

function reminders(visit: VisitToTell, mode: Mode, timing: Timing): PlannedMessage[] {
  const { policy, zone, now } = timing
  const start = visit.startsAt.toZonedDateTimeISO(zone)
  const onDay = (daysBefore: number): Temporal.Instant =>
    start
      .toPlainDate()
      .subtract({ days: daysBefore })
      .toZonedDateTime({
        timeZone: zone,
        plainTime: policy.messages.dayBeforeAtLocal,
      })
      .toInstant()
  const dayBefore = message('day_before', visit, outsideQuietHours(onDay(1), timing))
  const forVideo = [
    message('still_missing', visit, outsideQuietHours(onDay(policy.messages.stillMissingDaysBefore), timing)),
    dayBefore,
    message('hour_before', visit, visit.startsAt.subtract({ hours: 1 })),
  ]
  // What should already have gone out isn't sent late: the confirmation says the same.
  return (mode === 'video' ? forVideo : [dayBefore]).filter(({ dueAt }) => Temporal.Instant.compare(dueAt, now) > 0)
}

type Occasion = VisitToTell | { referralId: string; invitedAt: Temporal.Instant }

function message(kind: MessageKind, about: Occasion, dueAt: Temporal.Instant, part?: number): PlannedMessage {
  const visitId = 'id' in about ? about.id : null
  return { kind, referralId: about.referralId, visitId, dueAt, dedupeKey: keyOf(kind, about, part) }
}

function keyOf(kind: MessageKind, about: Occasion, part?: number): string {
  const [subject, at] = 'id' in about ? [about.id, about.startsAt] : [about.referralId, about.invitedAt]
  const change = 'id' in about && (kind === 'moved' || kind === 'cancelled') ? [about.calendarSequence] : []
  // To the second: a database keeps fewer digits of an instant than a program does.
  const second = Math.floor(at.epochMilliseconds / 1000)
  return [kind, subject, second, ...change, ...(part === undefined ? [] : [part])].join('|')
}

function speaksOf(planned: { kind: MessageKind; dedupeKey: string }, about: Occasion, part?: number): boolean {
  const key = keyOf(planned.kind, about, part)
  return planned.dedupeKey === key || (part === undefined && planned.dedupeKey.startsWith(`${key}|`))
}

function daysLater(instant: Temporal.Instant, days: number, zone: string): Temporal.Instant {
  return instant.toZonedDateTimeISO(zone).add({ days }).toInstant()
}

/** Out of the quiet hours, unless waiting for their end would leave less than an hour before the start. */
function beforeStart(wanted: Temporal.Instant, visit: VisitToTell, timing: Timing): Temporal.Instant {
  const polite = outsideQuietHours(wanted, timing)
  const lastUse = visit.startsAt.subtract({ hours: 1 })
  return Temporal.Instant.compare(polite, lastUse) <= 0 ? polite : wanted
}

/** The instant itself, or the end of the quiet hours that it falls into, on the patient's clock. */
export function outsideQuietHours(wanted: Temporal.Instant, { policy, zone }: Omit<Timing, 'now'>): Temporal.Instant {
  const local = wanted.toZonedDateTimeISO(zone)
  const from = Temporal.PlainTime.from(policy.messages.quietFrom)
  const to = Temporal.PlainTime.from(policy.messages.quietTo)
  const isAtOrAfter = (time: Temporal.PlainTime) => Temporal.PlainTime.compare(local.toPlainTime(), time) >= 0
  const pastMidnight = Temporal.PlainTime.compare(from, to) > 0
  const isQuiet = pastMidnight ? isAtOrAfter(from) || !isAtOrAfter(to) : isAtOrAfter(from) && !isAtOrAfter(to)
  if (!isQuiet) return wanted
  const date = pastMidnight && isAtOrAfter(from) ? local.toPlainDate().add({ days: 1 }) : local.toPlainDate()
  return date.toZonedDateTime({ timeZone: zone, plainTime: to }).toInstant()
}
