/**
 * The invented clinic: Larkfield Clinic, with people named after stones,
 * in two states and three time zones. Nobody and nothing in it exists; phone
 * numbers are from the range kept for fiction (555-0100 to 555-0199).
 */
import type { Temporal } from '#lib/base/time.ts'
import { federalHolidays } from '#lib/domain/calendar/holidays.ts'
import { DEFAULT_POLICY } from '#lib/domain/policy/clinic-policy.ts'
import type { ClinicFileInput } from '#lib/domain/setup/clinic-file.ts'
import { DEMO_SIGN_INS } from './sign-ins.ts'

export const DEMO_CLINIC = 'cln_larkfield'
export const CLINIC_ZONE = 'America/Los_Angeles'

const PACIFIC = 'America/Los_Angeles'
const MOUNTAIN = 'America/Boise'
const CENTRAL = 'America/Chicago'

/** The clinic as a file, with sessions that began more than half a year before `now`. */
export function demoClinic(now: Temporal.Instant): ClinicFileInput {
  const today = now.toZonedDateTimeISO(CLINIC_ZONE).toPlainDate()
  /** The first such weekday more than half a year back: a rule starts on a day that it names itself. */
  const since = (weekday: number) => {
    const from = today.subtract({ days: 192 })
    return from.add({ days: (weekday - from.dayOfWeek + 7) % 7 }).toString()
  }
  const [MONDAY, TUESDAY, SATURDAY] = [1, 2, 6] as const
  const atLarkfield = { mode: 'in_person', siteId: 'sit_larkfield' } as const
  const either = { mode: 'either', siteId: 'sit_larkfield' } as const
  const interpreting = { bufferAfterMin: 0, noticeMin: 0 } as const
  const validFrom = '2021-01-01'
  return {
    clinic: {
      id: DEMO_CLINIC,
      slug: 'larkfield',
      name: 'Larkfield Clinic',
      timeZone: CLINIC_ZONE,
      phone: '(503) 555-0100',
      emergencyNumber: '911',
    },
    policy: {
      ...DEFAULT_POLICY,
      booking: { ...DEFAULT_POLICY.booking, urgentStarts: 'released_with_reason' },
      visit: { ...DEFAULT_POLICY.visit, joinAddress: 'https://visit.example.org/larkfield' },
      // No quiet hours: whoever tries the demo sees a mail at once, also where it is night at the clinic.
      messages: { ...DEFAULT_POLICY.messages, quietFrom: '00:00', quietTo: '00:00' },
    },
    holidays: openTodayAndTomorrow(today),
    sites: [
      {
        id: 'sit_larkfield',
        name: 'Larkfield',
        address: '100 Demonstration Avenue, Larkfield, OR',
        state: 'OR',
        timeZone: PACIFIC,
        rooms: [
          { id: 'roo_l1', name: 'Room 1' },
          { id: 'roo_l2', name: 'Room 2' },
        ],
      },
      {
        id: 'sit_juniper',
        name: 'Juniper Bend',
        address: '20 Example Road, Juniper Bend, ID',
        state: 'ID',
        timeZone: MOUNTAIN,
        rooms: [{ id: 'roo_j1', name: 'Room A' }],
      },
    ],
    clinicians: [
      {
        id: 'cli_slate',
        name: 'Imogen Slate',
        credentials: 'DPM',
        languages: ['en'],
        timeZone: PACIFIC,
        licences: [
          { id: 'lic_1', state: 'OR', validFrom },
          { id: 'lic_2', state: 'ID', validFrom },
        ],
        sessions: [
          {
            id: 'ses_slate_video',
            mode: 'video',
            timeZone: PACIFIC,
            startsOn: since(MONDAY),
            opensAt: '08:00',
            durationMin: 240,
            rule: 'FREQ=WEEKLY;BYDAY=MO,TU,WE,TH,FR',
          },
          {
            ...atLarkfield,
            id: 'ses_slate_site',
            timeZone: PACIFIC,
            startsOn: since(TUESDAY),
            opensAt: '13:00',
            durationMin: 240,
            rule: 'FREQ=WEEKLY;BYDAY=TU,TH',
            urgentMin: 60,
            urgentReleaseHours: 9,
          },
        ],
      },
      {
        id: 'cli_chalk',
        name: 'Tobias Chalk',
        credentials: 'MD',
        languages: ['en'],
        timeZone: PACIFIC,
        licences: [{ id: 'lic_3', state: 'OR', validFrom }],
        sessions: [
          {
            ...either,
            id: 'ses_chalk',
            timeZone: PACIFIC,
            startsOn: since(MONDAY),
            opensAt: '09:00',
            durationMin: 240,
            rule: 'FREQ=WEEKLY;BYDAY=MO,WE,FR',
          },
        ],
      },
      {
        id: 'cli_flint',
        name: 'Nadia Flint',
        credentials: 'MD',
        languages: ['en', 'es'],
        timeZone: MOUNTAIN,
        licences: [{ id: 'lic_4', state: 'ID', validFrom }],
        sessions: [
          {
            id: 'ses_flint_video',
            mode: 'video',
            timeZone: MOUNTAIN,
            startsOn: since(MONDAY),
            opensAt: '13:00',
            durationMin: 240,
            rule: 'FREQ=WEEKLY;BYDAY=MO,TU,WE,TH',
          },
          {
            id: 'ses_flint_site',
            mode: 'in_person',
            siteId: 'sit_juniper',
            roomId: 'roo_j1',
            timeZone: MOUNTAIN,
            startsOn: since(MONDAY),
            opensAt: '08:30',
            durationMin: 180,
            rule: 'FREQ=WEEKLY;BYDAY=MO,TU,WE,TH,FR',
          },
        ],
      },
      {
        id: 'cli_pumice',
        name: 'Omar Pumice',
        credentials: 'DPM',
        languages: ['en'],
        timeZone: CENTRAL,
        licences: [
          { id: 'lic_5', state: 'OR', validFrom },
          { id: 'lic_6', state: 'ID', validFrom },
        ],
        sessions: [
          {
            id: 'ses_pumice',
            mode: 'video',
            timeZone: CENTRAL,
            startsOn: since(MONDAY),
            opensAt: '10:00',
            durationMin: 300,
            rule: 'FREQ=DAILY',
          },
        ],
      },
      {
        id: 'cli_jasper',
        name: 'Lotte Jasper',
        credentials: 'PA-C',
        languages: ['en'],
        timeZone: PACIFIC,
        licences: [{ id: 'lic_7', state: 'OR', validFrom }],
        sessions: [
          {
            ...either,
            id: 'ses_jasper',
            timeZone: PACIFIC,
            startsOn: since(SATURDAY),
            opensAt: '09:00',
            durationMin: 300,
            rule: 'FREQ=WEEKLY;BYDAY=SA,SU',
          },
        ],
      },
      {
        id: 'cli_opal',
        name: 'Ravi Opal',
        credentials: 'MD',
        languages: ['en'],
        timeZone: PACIFIC,
        licences: [
          { id: 'lic_8', state: 'OR', validFrom },
          // Runs out soon: visits after that day need somebody else.
          { id: 'lic_9', state: 'ID', validFrom, validTo: today.add({ days: 20 }).toString() },
        ],
        sessions: [
          {
            id: 'ses_opal_video',
            mode: 'video',
            timeZone: PACIFIC,
            startsOn: since(MONDAY),
            opensAt: '14:00',
            durationMin: 180,
            rule: 'FREQ=WEEKLY;INTERVAL=2;BYDAY=MO,TU,WE,TH',
          },
          {
            ...atLarkfield,
            id: 'ses_opal_site',
            timeZone: PACIFIC,
            startsOn: since(TUESDAY),
            opensAt: '08:30',
            durationMin: 210,
            rule: 'FREQ=WEEKLY;BYDAY=TU,TH',
          },
        ],
      },
    ],
    interpreters: [
      {
        id: 'int_agate',
        name: 'Paloma Agate',
        languages: ['es'],
        timeZone: PACIFIC,
        sessions: [
          {
            ...either,
            ...interpreting,
            id: 'ses_agate',
            timeZone: PACIFIC,
            startsOn: since(MONDAY),
            opensAt: '08:00',
            durationMin: 540,
            rule: 'FREQ=DAILY',
          },
        ],
      },
      {
        id: 'int_beryl',
        name: 'Minh Beryl',
        languages: ['vi'],
        timeZone: PACIFIC,
        sessions: [
          {
            ...interpreting,
            id: 'ses_beryl',
            mode: 'video',
            timeZone: PACIFIC,
            startsOn: since(TUESDAY),
            opensAt: '09:00',
            durationMin: 360,
            rule: 'FREQ=WEEKLY;BYDAY=TU,TH',
          },
        ],
      },
    ],
    staff: DEMO_SIGN_INS.map(({ password, ...signIn }) => ({ ...signIn, passphrase: password })),
    protocolSignedOffBy: 'stf_demo_lead',
  }
}

/** The federal holidays of this year and the next; the demo is open today and tomorrow whatever the date. */
function openTodayAndTomorrow(today: Temporal.PlainDate) {
  const open = [today.toString(), today.add({ days: 1 }).toString()]
  const days = [today.year, today.year + 1].flatMap((year) => federalHolidays(year))
  return days
    .filter(({ observed }) => !open.includes(observed))
    .map(({ observed, name }) => ({ onDate: observed, name }))
}
