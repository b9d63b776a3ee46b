/**
 * The invented clinic: Larkfield Foot and Ankle, with people named after stones,
 * in two states and three time zones. Nobody and nothing in it exists; phone
 * numbers are from the range kept for fiction (555-0100 to 555-0199).
 */

import type { Db } from '#db/client.ts'
import {
  clinicians,
  clinicSessions,
  clinics,
  holidays,
  interpreters,
  licences,
  protocols,
  rooms,
  sites,
  staff,
} from '#db/schema/index.ts'
import type { Temporal } from '#lib/base/time.ts'
import { federalHolidays } from '#lib/domain/calendar/holidays.ts'
import { DEFAULT_POLICY } from '#lib/domain/policy/clinic-policy.ts'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import type { SecretPort } from '#lib/usecases/context.ts'
import { DEMO_SIGN_INS } from './sign-ins.ts'

export const DEMO_CLINIC = 'cln_larkfield'
export const CLINIC_ZONE = 'America/Los_Angeles'

const PACIFIC = 'America/Los_Angeles'
const MOUNTAIN = 'America/Boise'
const CENTRAL = 'America/Chicago'

/** Writes the clinic and its people, with sessions that began some months before `now`. */
export async function writeDemoClinic(tx: Db, secrets: SecretPort, now: Temporal.Instant): Promise<void> {
  const clinicId = DEMO_CLINIC
  const today = now.toZonedDateTimeISO(CLINIC_ZONE).toPlainDate()
  const createdAt = now.subtract({ hours: 24 * 200 })
  await tx.insert(clinics).values({
    id: clinicId,
    slug: 'larkfield',
    name: 'Larkfield Foot and Ankle',
    timeZone: CLINIC_ZONE,
    phone: '(503) 555-0100',
    emergencyNumber: '911',
    policy: {
      ...DEFAULT_POLICY,
      visit: { ...DEFAULT_POLICY.visit, joinAddress: 'https://visit.example.org/larkfield' },
      // No quiet hours: whoever tries the demo sees a mail at once, also where it is night at the clinic.
      messages: { ...DEFAULT_POLICY.messages, quietFrom: '00:00', quietTo: '00:00' },
    },
    createdAt,
  })
  await tx
    .insert(holidays)
    .values(openTodayAndTomorrow(today).map(({ observed, name }) => ({ clinicId, onDate: observed, name })))
  await tx.insert(protocols).values({
    clinicId,
    id: footAndAnkle.id,
    version: footAndAnkle.version,
    status: 'signed_off',
    document: footAndAnkle,
    signedOffBy: 'stf_demo_lead',
    signedOffAt: createdAt,
  })
  await tx.insert(sites).values([
    {
      clinicId,
      id: 'sit_larkfield',
      name: 'Larkfield',
      address: '100 Demonstration Avenue, Larkfield, OR',
      state: 'OR',
      timeZone: PACIFIC,
    },
    {
      clinicId,
      id: 'sit_juniper',
      name: 'Juniper Bend',
      address: '20 Example Road, Juniper Bend, ID',
      state: 'ID',
      timeZone: MOUNTAIN,
    },
  ])
  await tx.insert(rooms).values([
    { clinicId, id: 'roo_l1', siteId: 'sit_larkfield', name: 'Room 1' },
    { clinicId, id: 'roo_l2', siteId: 'sit_larkfield', name: 'Room 2' },
    { clinicId, id: 'roo_j1', siteId: 'sit_juniper', name: 'Room A' },
  ])
  const person = { clinicId, isActive: true }
  await tx.insert(clinicians).values([
    { ...person, id: 'cli_slate', name: 'Imogen Slate', credentials: 'DPM', languages: ['en'], timeZone: PACIFIC },
    { ...person, id: 'cli_chalk', name: 'Tobias Chalk', credentials: 'MD', languages: ['en'], timeZone: PACIFIC },
    { ...person, id: 'cli_flint', name: 'Nadia Flint', credentials: 'MD', languages: ['en', 'es'], timeZone: MOUNTAIN },
    { ...person, id: 'cli_pumice', name: 'Omar Pumice', credentials: 'DPM', languages: ['en'], timeZone: CENTRAL },
    { ...person, id: 'cli_jasper', name: 'Lotte Jasper', credentials: 'PA-C', languages: ['en'], timeZone: PACIFIC },
    { ...person, id: 'cli_opal', name: 'Ravi Opal', credentials: 'MD', languages: ['en'], timeZone: PACIFIC },
  ])
  const inForce = { clinicId, validFrom: '2021-01-01' }
  await tx.insert(licences).values([
    { ...inForce, id: 'lic_1', clinicianId: 'cli_slate', state: 'OR' },
    { ...inForce, id: 'lic_2', clinicianId: 'cli_slate', state: 'ID' },
    { ...inForce, id: 'lic_3', clinicianId: 'cli_chalk', state: 'OR' },
    { ...inForce, id: 'lic_4', clinicianId: 'cli_flint', state: 'ID' },
    { ...inForce, id: 'lic_5', clinicianId: 'cli_pumice', state: 'OR' },
    { ...inForce, id: 'lic_6', clinicianId: 'cli_pumice', state: 'ID' },
    { ...inForce, id: 'lic_7', clinicianId: 'cli_jasper', state: 'OR' },
    { ...inForce, id: 'lic_8', clinicianId: 'cli_opal', state: 'OR' },
    // Runs out soon: the board shows it on visits after that day.
    { ...inForce, id: 'lic_9', clinicianId: 'cli_opal', state: 'ID', validTo: today.add({ days: 20 }).toString() },
  ])
  await tx.insert(interpreters).values([
    { ...person, id: 'int_agate', name: 'Paloma Agate', languages: ['es'], timeZone: PACIFIC },
    { ...person, id: 'int_beryl', name: 'Minh Beryl', languages: ['vi'], timeZone: PACIFIC },
  ])
  await tx.insert(clinicSessions).values(demoSessions(clinicId, today, createdAt))
  for (const { password, email, ...signIn } of DEMO_SIGN_INS) {
    await tx.insert(staff).values({
      ...signIn,
      clinicId,
      email,
      passwordHash: await secrets.hashPassword(password),
      isDemo: true,
      createdAt,
    })
  }
}

/** The federal holidays of this year and the next; the demo is open today and tomorrow whatever the date. */
function openTodayAndTomorrow(today: Temporal.PlainDate) {
  const open = [today.toString(), today.add({ days: 1 }).toString()]
  const days = [today.year, today.year + 1].flatMap((year) => federalHolidays(year))
  return days.filter(({ observed }) => !open.includes(observed))
}

function demoSessions(clinicId: string, today: Temporal.PlainDate, createdAt: Temporal.Instant) {
  /** The first such weekday at least five months back: a rule starts on a day that it names itself. */
  const since = (weekday: number) => {
    const from = today.subtract({ days: 150 })
    return from.add({ days: (weekday - from.dayOfWeek + 7) % 7 }).toString()
  }
  const [MONDAY, TUESDAY, SATURDAY] = [1, 2, 6] as const
  const session = { clinicId, grainMin: 10, bufferBeforeMin: 0, bufferAfterMin: 5, noticeMin: 120, createdAt }
  const video = { ...session, mode: 'video', siteId: null, roomId: null } as const
  const atLarkfield = { ...session, mode: 'in_person', siteId: 'sit_larkfield', roomId: null } as const
  return [
    {
      ...video,
      id: 'ses_slate_video',
      clinicianId: 'cli_slate',
      timeZone: PACIFIC,
      startsOn: since(MONDAY),
      opensAt: '08:00',
      durationMin: 240,
      rule: 'FREQ=WEEKLY;BYDAY=MO,TU,WE,TH,FR',
    },
    {
      ...atLarkfield,
      id: 'ses_slate_site',
      clinicianId: 'cli_slate',
      timeZone: PACIFIC,
      startsOn: since(TUESDAY),
      opensAt: '13:00',
      durationMin: 240,
      rule: 'FREQ=WEEKLY;BYDAY=TU,TH',
    },
    {
      ...session,
      id: 'ses_chalk',
      clinicianId: 'cli_chalk',
      mode: 'either',
      siteId: 'sit_larkfield',
      roomId: null,
      timeZone: PACIFIC,
      startsOn: since(MONDAY),
      opensAt: '09:00',
      durationMin: 240,
      rule: 'FREQ=WEEKLY;BYDAY=MO,WE,FR',
    },
    {
      ...video,
      id: 'ses_flint_video',
      clinicianId: 'cli_flint',
      timeZone: MOUNTAIN,
      startsOn: since(MONDAY),
      opensAt: '13:00',
      durationMin: 240,
      rule: 'FREQ=WEEKLY;BYDAY=MO,TU,WE,TH',
    },
    {
      ...session,
      id: 'ses_flint_site',
      clinicianId: 'cli_flint',
      mode: 'in_person',
      siteId: 'sit_juniper',
      roomId: 'roo_j1',
      timeZone: MOUNTAIN,
      startsOn: since(MONDAY),
      opensAt: '08:30',
      durationMin: 180,
      rule: 'FREQ=WEEKLY;BYDAY=MO,TU,WE,TH,FR',
    },
    {
      ...video,
      id: 'ses_pumice',
      clinicianId: 'cli_pumice',
      timeZone: CENTRAL,
      startsOn: since(MONDAY),
      opensAt: '10:00',
      durationMin: 300,
      rule: 'FREQ=DAILY',
    },
    {
      ...session,
      id: 'ses_jasper',
      clinicianId: 'cli_jasper',
      mode: 'either',
      siteId: 'sit_larkfield',
      roomId: null,
      timeZone: PACIFIC,
      startsOn: since(SATURDAY),
      opensAt: '09:00',
      durationMin: 300,
      rule: 'FREQ=WEEKLY;BYDAY=SA,SU',
    },
    {
      ...video,
      id: 'ses_opal_video',
      clinicianId: 'cli_opal',
      timeZone: PACIFIC,
      startsOn: since(MONDAY),
      opensAt: '14:00',
      durationMin: 180,
      rule: 'FREQ=WEEKLY;INTERVAL=2;BYDAY=MO,TU,WE,TH',
    },
    {
      ...atLarkfield,
      id: 'ses_opal_site',
      clinicianId: 'cli_opal',
      timeZone: PACIFIC,
      startsOn: since(TUESDAY),
      opensAt: '08:30',
      durationMin: 210,
      rule: 'FREQ=WEEKLY;BYDAY=TU,TH',
    },
    {
      ...session,
      id: 'ses_agate',
      interpreterId: 'int_agate',
      mode: 'either',
      siteId: 'sit_larkfield',
      roomId: null,
      timeZone: PACIFIC,
      startsOn: since(MONDAY),
      opensAt: '08:00',
      durationMin: 540,
      rule: 'FREQ=DAILY',
      noticeMin: 0,
      bufferAfterMin: 0,
    },
    {
      ...session,
      id: 'ses_beryl',
      interpreterId: 'int_beryl',
      mode: 'video',
      siteId: null,
      roomId: null,
      timeZone: PACIFIC,
      startsOn: since(TUESDAY),
      opensAt: '09:00',
      durationMin: 360,
      rule: 'FREQ=WEEKLY;BYDAY=TU,TH',
      noticeMin: 0,
      bufferAfterMin: 0,
    },
  ] satisfies (typeof clinicSessions.$inferInsert)[]
}
