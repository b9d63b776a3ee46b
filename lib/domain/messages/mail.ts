/**
 * A mail on its way out: what it says as data (`Letter`), what it looks like (`RenderedLetter`), and the ports by which
 * use cases have it rendered, sent and read back without knowing how.
 */
import type { Result } from '#lib/base/result.ts'
import type { Temporal } from '#lib/base/time.ts'
import type { Packet, PacketChange } from '../packet/packet.ts'
import type { Locale } from '../protocol/schema.ts'
import type { ReadinessItem } from '../readiness/items.ts'
import type { MessageKind } from './kinds.ts'

/** Why somebody is asked to come to the clinic, without a body part or a condition: a mail is read by others too. */
export const IN_PERSON_REASONS = ['see_soon', 'safer', 'parts_at_clinic', 'clinic_decision'] as const
export type InPersonReason = (typeof IN_PERSON_REASONS)[number]

/** The visit as a mail speaks of it. */
export type VisitInLetter = {
  mode: 'video' | 'in_person'
  startsAt: Temporal.Instant
  endsAt: Temporal.Instant
  /** IANA zone in which the patient reads the time. */
  timeZone: string
  /** Where they come to; null by video. */
  place: { name: string; address: string } | null
  /** RFC 5545 UID and RFC 5546 SEQUENCE of its calendar entry, and when it was last changed. */
  calendar: { uid: string; sequence: number; changedAt: Temporal.Instant }
}

export type Letter = {
  messageId: string
  kind: MessageKind
  locale: Locale
  givenName: string
  clinic: { name: string; phone: string; emergencyNumber: string; timeZone: string }
  /** Path of the patient's personal link; null = this mail carries none. */
  linkPath: string | null
  visit: VisitInLetter | null
  inPersonReason: InPersonReason | null
  /** A start that is offered (`visit` is it): until when, and what they keep if they don't want it. */
  offer: { answerBy: Temporal.Instant; keepsAt: Temporal.Instant | null } | null
  /** What the patient still has to do, in the order of the list. */
  missing: readonly ReadinessItem[]
  /** Only for patients who agreed that details may go by e-mail. */
  details: { packet: Packet; changes: readonly PacketChange[]; revision: number; at: Temporal.Instant } | null
}

export type CalendarInvite = { method: 'REQUEST' | 'CANCEL'; content: string }

/** The packet to print; goes with a mail only where the patient agreed to details by e-mail. */
export type PrintedPacket = { filename: string; content: Uint8Array }

export type RenderedLetter = {
  subject: string
  html: string
  text: string
  invite: CalendarInvite | null
  print: PrintedPacket | null
}

export type OutgoingMail = RenderedLetter & { messageId: string; to: string }

/**
 * retry: the server is busy or unreachable, the same mail may pass later. give_up: it will never pass. `code` is a reply
 * code or a word; never an address or a text.
 */
export type MailFault = { kind: 'retry' | 'give_up'; code: string }

export type MailPort = { send(mail: OutgoingMail): Promise<Result<{ accepted: true }, MailFault>> }

/** Words and looks: from a letter to a mail. */
export type LetterPort = { render(letter: Letter, to: string): Promise<RenderedLetter> }

/** A mail as it was sent, read back from the tray. */
export type TrayMail = {
  from: string
  to: string
  subject: string
  sentAt: string | null
  messageId: string
  html: string
  text: string
  invite: string | null
}

/** The tray: null when the mail isn't there, because it went out by a mail server or was never written. */
export type TrayPort = { read(messageId: string): Promise<TrayMail | null> }
