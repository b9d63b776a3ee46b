/** Everything Farstep ever sends a patient. Words and due times are elsewhere; this is the list. */
export const MESSAGE_KINDS = [
  'home_check_invitation',
  'home_check_chaser',
  'packet',
  'packet_changed',
  'in_person_booked',
  'still_missing',
  'day_before',
  'hour_before',
  'moved',
  'cancelled',
  'seek_help',
  'standby_offer',
] as const
export type MessageKind = (typeof MESSAGE_KINDS)[number]
