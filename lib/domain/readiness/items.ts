/** What has to be in order before a video visit starts. The board shows these, never a score. */
export const READINESS_ITEMS = [
  'home_check',
  'equipment',
  'helper',
  'rehearsal',
  'packet_opened',
  'place_and_contact',
  'consent',
  'image',
  'interpreter',
  'licence',
] as const
export type ReadinessItem = (typeof READINESS_ITEMS)[number]

export const ITEM_STATES = ['done', 'waiting', 'late', 'not_needed', 'cannot'] as const
export type ItemState = (typeof ITEM_STATES)[number]

/** Who is expected to act. */
export type ItemActor = 'patient' | 'helper' | 'coordinator' | 'clinician' | 'nobody'

export type ItemReadiness = {
  item: ReadinessItem
  state: ItemState
  actor: ItemActor
  /** Since when it stands like this (ISO instant), where that is known. */
  since: string | null
  /** Who said so, where it is somebody's word: the patient, or a member of staff by name. */
  saidBy: string | null
}

/** What staff call the items. */
export const ITEM_WORDS: Readonly<Record<ReadinessItem, string>> = {
  home_check: 'Home check',
  equipment: 'Things to fetch',
  helper: 'Helper',
  rehearsal: 'Camera rehearsal',
  packet_opened: 'Packet opened',
  place_and_contact: 'Place and contact',
  consent: 'Consent',
  image: 'Image first',
  interpreter: 'Interpreter',
  licence: 'Licence',
}
