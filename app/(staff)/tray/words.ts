/** What staff call the messages and how they stand. */
import type { MessageKind } from '#lib/domain/messages/kinds.ts'
import type { ItemState } from '#lib/domain/readiness/items.ts'
import type { TrayLine, TrayStatus } from '#lib/usecases/read-tray.ts'

export const KIND_WORDS: Readonly<Record<MessageKind, string>> = {
  home_check_invitation: 'Invitation to the home check',
  home_check_chaser: 'Reminder of the home check',
  packet: 'Video visit booked, with its packet',
  packet_changed: 'Packet has changed',
  in_person_booked: 'In-person visit booked',
  still_missing: 'What is still missing',
  day_before: 'Reminder, the day before',
  hour_before: 'Reminder, an hour before',
  moved: 'Visit moved',
  cancelled: 'Visit cancelled',
  seek_help: 'Advice to get help now',
  standby_offer: 'Offer of a sooner time',
}

export const STATUS_MARKS: Readonly<Record<TrayStatus, ItemState>> = {
  sent: 'done',
  queued: 'waiting',
  failed: 'cannot',
  dropped: 'not_needed',
}

export const STATUS_WORDS: Readonly<Record<TrayStatus, string>> = {
  sent: 'Sent',
  queued: 'To come',
  failed: 'Not delivered',
  dropped: 'No longer needed',
}

const FAULT_WORDS: Readonly<Record<string, string>> = {
  no_address: 'the patient has no e-mail address',
  bad_address: 'the address is not one',
  tries_used_up: 'every try failed',
}

/** Why a message did not arrive, or what is in its way. */
export function faultWords({ fault, status }: Pick<TrayLine, 'fault' | 'status'>): string | null {
  if (fault === null || status === 'sent' || status === 'dropped') return null
  const words =
    FAULT_WORDS[fault] ??
    (/^\d{3}$/.test(fault) ? `the mail server answered ${fault}` : 'the mail server could not be reached')
  return status === 'failed' ? `${words}: phone the patient` : `${words}; it will be tried again`
}
