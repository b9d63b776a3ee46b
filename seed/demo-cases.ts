/**
 * Forty invented referrals, in every stage a referral can be in and every
 * disposition at least twice. Each line says how far its referral has come; the
 * seed walks it there through the same use cases as a person would.
 */
import type { Side } from '#lib/domain/protocol/schema.ts'

type Home = Readonly<Record<string, boolean | number | 'not_sure'>>

export type DemoCase = {
  given: string
  family: string
  born: string | null
  /** OR is Pacific here, ID is Mountain. */
  state: 'OR' | 'ID'
  hasEmail?: false
  hasPhone?: false
  interpreter?: string
  language?: 'es'
  condition: string
  side: Side | null
  priority?: 'urgent' | 'asap' | 'stat'
  icd10?: string
  reason: string
  receivedDaysAgo: number
  /** The last thing that happened. */
  reach: 'received' | 'triaged' | 'invited' | 'started' | 'finished' | 'booked' | 'closed'
  /** Ticked yes at triage. */
  flags?: readonly string[]
  /** What differs from a home where everything is there. */
  home?: Home
  /** Days from today; which free start of that day. */
  visit?: { inDays: number; nth: number; confirmed?: readonly ('helper' | 'equipment' | 'packet_opened')[] }
  /** On the standby list, at so many hours' notice. */
  standbyHours?: number
}

const NO_HELPER: Home = { helper: false, helper_strong: false }
const NO_VIDEO: Home = { accepts_video: false }

const flatFoot = {
  condition: 'flat_foot',
  icd10: 'M21.41',
  reason: 'Arch has dropped over two years, sore on the inner side after a short walk.',
} as const
const cavovarus = {
  condition: 'cavovarus',
  icd10: 'Q66.72',
  reason: 'High arch, keeps rolling over the outer side, wears shoes out there.',
} as const
const bigToe = {
  condition: 'big_toe_arthritis',
  icd10: 'M20.21',
  reason: 'Stiff, sore big toe, worse on stairs.',
} as const
const heel = {
  condition: 'heel_pain',
  icd10: 'M72.2',
  reason: 'Heel hurts with the first steps each morning.',
} as const
const sprain = {
  condition: 'ankle_sprain',
  icd10: 'M25.371',
  reason: 'Twisted the ankle months ago, still feels loose on rough ground.',
} as const
const unknown = {
  condition: 'pain_unknown',
  icd10: 'M79.671',
  reason: 'Foot pain on and off, cause not clear to us.',
} as const
const achilles = {
  condition: 'achilles_rupture',
  icd10: 'M66.361',
  reason: 'Felt a kick at the back of the ankle at tennis, weak push-off since.',
  priority: 'asap',
} as const
const afterSurgery = {
  condition: 'after_surgery',
  icd10: 'Z47.89',
  reason: 'Six weeks after bunion surgery, routine check.',
} as const

export const DEMO_CASES: readonly DemoCase[] = [
  // On the pile.
  {
    given: 'Ada',
    family: 'Feldspar',
    born: '1958-03-14',
    state: 'OR',
    side: 'right',
    ...flatFoot,
    receivedDaysAgo: 0,
    reach: 'received',
  },
  {
    given: 'Bruno',
    family: 'Gneiss',
    born: null,
    state: 'OR',
    side: null,
    ...unknown,
    receivedDaysAgo: 0,
    reach: 'received',
  },
  {
    given: 'Celia',
    family: 'Basalt',
    born: '1971-11-02',
    state: 'ID',
    side: 'left',
    ...heel,
    receivedDaysAgo: 1,
    reach: 'received',
  },
  {
    given: 'Dov',
    family: 'Granite',
    born: '1949-06-30',
    state: 'OR',
    hasPhone: false,
    side: 'both',
    ...bigToe,
    receivedDaysAgo: 1,
    reach: 'received',
  },
  {
    given: 'Esme',
    family: 'Schist',
    born: '1990-01-19',
    state: 'ID',
    side: 'right',
    ...achilles,
    receivedDaysAgo: 0,
    reach: 'received',
  },
  // Perhaps somebody the clinic knows: the same name and birth date as one further down, another phone.
  {
    given: 'Rosa',
    family: 'Travertine',
    born: '1966-09-21',
    state: 'OR',
    hasEmail: false,
    side: 'left',
    ...sprain,
    receivedDaysAgo: 0,
    reach: 'received',
  },

  // Triaged, to be invited.
  {
    given: 'Felix',
    family: 'Dolomite',
    born: '1983-08-08',
    state: 'OR',
    side: 'left',
    ...cavovarus,
    receivedDaysAgo: 2,
    reach: 'triaged',
  },
  {
    given: 'Greta',
    family: 'Onyx',
    born: '1942-12-24',
    state: 'ID',
    hasEmail: false,
    side: 'right',
    ...flatFoot,
    receivedDaysAgo: 3,
    reach: 'triaged',
  },
  {
    given: 'Hugo',
    family: 'Marble',
    born: '1975-04-05',
    state: 'OR',
    side: 'right',
    ...bigToe,
    receivedDaysAgo: 2,
    reach: 'triaged',
  },

  // Waiting for the patient.
  {
    given: 'Ivy',
    family: 'Quartz',
    born: '1969-02-11',
    state: 'OR',
    side: 'left',
    ...heel,
    receivedDaysAgo: 3,
    reach: 'invited',
  },
  {
    given: 'Jonas',
    family: 'Tuff',
    born: '1988-10-17',
    state: 'ID',
    side: 'both',
    ...flatFoot,
    receivedDaysAgo: 2,
    reach: 'invited',
  },
  {
    given: 'Kira',
    family: 'Obsidian',
    born: '1955-05-29',
    state: 'OR',
    side: 'right',
    ...unknown,
    receivedDaysAgo: 9,
    reach: 'invited',
  },
  {
    given: 'Leo',
    family: 'Breccia',
    born: '1979-07-07',
    state: 'OR',
    language: 'es',
    interpreter: 'es',
    side: 'left',
    ...sprain,
    receivedDaysAgo: 4,
    reach: 'started',
  },

  // Emergencies: one seen at triage, one told by the patient.
  {
    given: 'Mona',
    family: 'Shale',
    born: '1951-01-03',
    state: 'OR',
    side: 'left',
    ...unknown,
    flags: ['cold_foot'],
    receivedDaysAgo: 0,
    reach: 'triaged',
  },
  {
    given: 'Nils',
    family: 'Jade',
    born: '1963-03-23',
    state: 'ID',
    side: 'right',
    ...heel,
    home: { chest_or_breath: true },
    receivedDaysAgo: 5,
    reach: 'started',
  },

  // Urgent in person.
  {
    given: 'Oona',
    family: 'Rhyolite',
    born: '1985-09-12',
    state: 'OR',
    side: 'right',
    ...achilles,
    flags: ['heel_snap'],
    receivedDaysAgo: 0,
    reach: 'triaged',
  },
  {
    given: 'Pavel',
    family: 'Garnet',
    born: '1947-02-27',
    state: 'ID',
    side: 'left',
    ...unknown,
    flags: ['diabetes', 'foot_ulcer'],
    receivedDaysAgo: 0,
    reach: 'triaged',
  },
  {
    given: 'Quinn',
    family: 'Topaz',
    born: '1992-06-06',
    state: 'OR',
    side: 'left',
    ...achilles,
    flags: ['heel_snap'],
    receivedDaysAgo: 0,
    reach: 'booked',
    visit: { inDays: 1, nth: 0 },
  },

  // In person.
  {
    given: 'Rosa',
    family: 'Travertine',
    born: '1966-09-21',
    state: 'OR',
    side: 'right',
    ...flatFoot,
    home: NO_VIDEO,
    receivedDaysAgo: 8,
    reach: 'finished',
  },
  {
    given: 'Sven',
    family: 'Limestone',
    born: '1959-12-12',
    state: 'ID',
    side: 'right',
    ...bigToe,
    home: { safe_place: false },
    receivedDaysAgo: 7,
    reach: 'finished',
  },
  {
    given: 'Tess',
    family: 'Sandstone',
    born: '1938-08-19',
    state: 'OR',
    hasEmail: false,
    side: 'both',
    ...flatFoot,
    home: NO_VIDEO,
    receivedDaysAgo: 12,
    reach: 'booked',
    visit: { inDays: 0, nth: 1 },
  },
  {
    given: 'Umar',
    family: 'Diorite',
    born: '1980-05-15',
    state: 'OR',
    side: 'left',
    ...afterSurgery,
    home: { has_camera: false },
    receivedDaysAgo: 10,
    reach: 'booked',
    visit: { inDays: 1, nth: 3 },
  },

  // Ask again.
  {
    given: 'Vera',
    family: 'Pyrite',
    born: '1973-01-26',
    state: 'OR',
    side: 'left',
    ...cavovarus,
    home: { block: 'not_sure', book: 'not_sure' },
    receivedDaysAgo: 6,
    reach: 'finished',
  },
  {
    given: 'Wim',
    family: 'Zircon',
    born: '1961-11-11',
    state: 'ID',
    side: 'right',
    ...flatFoot,
    home: { unsteady: 'not_sure' },
    receivedDaysAgo: 5,
    reach: 'finished',
  },

  // Video, to be booked.
  {
    given: 'Xenia',
    family: 'Beryllo',
    born: '1986-04-18',
    state: 'OR',
    side: 'right',
    ...heel,
    receivedDaysAgo: 6,
    reach: 'finished',
  },
  {
    given: 'Yusuf',
    family: 'Calcite',
    born: '1977-07-31',
    state: 'ID',
    side: 'left',
    ...sprain,
    receivedDaysAgo: 5,
    reach: 'finished',
  },
  {
    given: 'Zoe',
    family: 'Malachite',
    born: '1968-10-09',
    state: 'OR',
    language: 'es',
    interpreter: 'es',
    side: 'right',
    ...bigToe,
    receivedDaysAgo: 4,
    reach: 'finished',
  },

  // Video with gaps, to be booked.
  {
    given: 'Arlo',
    family: 'Fluorite',
    born: '1984-02-02',
    state: 'OR',
    side: 'left',
    ...flatFoot,
    home: NO_HELPER,
    receivedDaysAgo: 6,
    reach: 'finished',
  },
  {
    given: 'Bea',
    family: 'Hematite',
    born: '1957-06-14',
    state: 'ID',
    side: 'right',
    ...flatFoot,
    home: NO_HELPER,
    receivedDaysAgo: 7,
    reach: 'finished',
  },

  // Booked by video, today.
  {
    given: 'Cyrus',
    family: 'Serpentine',
    born: '1970-03-03',
    state: 'OR',
    side: 'right',
    ...flatFoot,
    receivedDaysAgo: 14,
    reach: 'booked',
    visit: { inDays: 0, nth: 0, confirmed: ['packet_opened', 'equipment', 'helper'] },
  },
  {
    given: 'Dilys',
    family: 'Amber',
    born: '1954-09-27',
    state: 'OR',
    side: 'left',
    ...heel,
    receivedDaysAgo: 13,
    reach: 'booked',
    visit: { inDays: 0, nth: 4, confirmed: ['packet_opened', 'equipment'] },
  },
  {
    given: 'Enzo',
    family: 'Lapis',
    born: '1982-12-05',
    state: 'ID',
    side: 'left',
    ...sprain,
    receivedDaysAgo: 12,
    reach: 'booked',
    visit: { inDays: 0, nth: 7, confirmed: ['packet_opened', 'equipment', 'helper'] },
  },
  {
    given: 'Fern',
    family: 'Mica',
    born: '1944-04-22',
    state: 'OR',
    side: 'right',
    ...bigToe,
    receivedDaysAgo: 15,
    reach: 'booked',
    visit: { inDays: 0, nth: 9 },
  },

  // Booked by video, tomorrow.
  {
    given: 'Gil',
    family: 'Turquoise',
    born: '1965-08-13',
    state: 'OR',
    side: 'right',
    ...flatFoot,
    receivedDaysAgo: 11,
    reach: 'booked',
    visit: { inDays: 1, nth: 0, confirmed: ['packet_opened', 'helper'] },
  },
  {
    given: 'Hana',
    family: 'Coral',
    born: '1991-01-30',
    state: 'ID',
    side: 'left',
    ...sprain,
    receivedDaysAgo: 9,
    reach: 'booked',
    visit: { inDays: 1, nth: 3, confirmed: ['packet_opened', 'equipment', 'helper'] },
  },
  {
    given: 'Ilya',
    family: 'Peridot',
    born: '1953-05-08',
    state: 'OR',
    language: 'es',
    interpreter: 'es',
    side: 'right',
    ...heel,
    receivedDaysAgo: 10,
    reach: 'booked',
    visit: { inDays: 1, nth: 5 },
  },
  {
    given: 'June',
    family: 'Citrine',
    born: '1976-10-21',
    state: 'OR',
    side: 'left',
    ...cavovarus,
    receivedDaysAgo: 8,
    reach: 'booked',
    visit: { inDays: 1, nth: 8, confirmed: ['packet_opened'] },
  },
  {
    given: 'Karl',
    family: 'Spinel',
    born: '1987-02-16',
    state: 'OR',
    side: 'both',
    ...flatFoot,
    home: NO_HELPER,
    receivedDaysAgo: 9,
    reach: 'booked',
    visit: { inDays: 1, nth: 11, confirmed: ['packet_opened', 'equipment'] },
  },

  // Booked by video, later; and one that went elsewhere.
  {
    given: 'Lena',
    family: 'Selenite',
    born: '1960-07-19',
    state: 'ID',
    side: 'right',
    ...heel,
    receivedDaysAgo: 6,
    reach: 'booked',
    visit: { inDays: 5, nth: 2 },
    standbyHours: 24,
  },
  {
    given: 'Milo',
    family: 'Barite',
    born: '1989-11-28',
    state: 'OR',
    side: 'left',
    ...bigToe,
    receivedDaysAgo: 16,
    reach: 'closed',
  },
]
