/**
 * A clinic as it is described before there is one: its places, people, licences,
 * working periods and sign-ins, in one file that a person writes. Everything
 * wrong with it is said at once, each fault with its path, and nothing of a file
 * with a fault is kept.
 */
import { z } from 'zod'
import { err, ok, type Result } from '#lib/base/result.ts'
import type { Temporal } from '#lib/base/time.ts'
import { ROLES } from '../access/actor.ts'
import { passphraseFault } from '../access/passphrase.ts'
import { checkSession } from '../calendar/check-session.ts'
import { federalHolidays } from '../calendar/holidays.ts'
import type { ClinicSession } from '../calendar/session.ts'
import { firstOverlap } from '../calendar/session-overlap.ts'
import { findState } from '../intake/us-states.ts'
import { clinicPolicySchema, DEFAULT_POLICY } from '../policy/clinic-policy.ts'

const id = z.string().regex(/^[a-z][a-z0-9_]{1,40}$/, 'lower case letters, digits and _')
const name = z.string().trim().min(1).max(120)
const state = z.string().refine((code) => findState(code)?.code === code, 'not a state by its two letters, like OR')
const languages = z.array(z.string().min(2).max(20)).min(1)
const timeZone = z.string().refine(isZone, 'not a time zone by its full name, like America/Denver')

const session = z.strictObject({
  id,
  mode: z.enum(['video', 'in_person', 'either']),
  siteId: id.nullable().default(null),
  roomId: id.nullable().default(null),
  timeZone,
  startsOn: z.iso.date(),
  opensAt: z.string(),
  durationMin: z.number().int(),
  /** RFC 5545 RRULE without DTSTART; null = once. */
  rule: z.string().nullable().default(null),
  validTo: z.iso.date().nullable().default(null),
  grainMin: z.number().int().default(10),
  bufferBeforeMin: z.number().int().default(0),
  bufferAfterMin: z.number().int().default(5),
  noticeMin: z.number().int().default(120),
  urgentMin: z.number().int().default(0),
  urgentReleaseHours: z.number().int().default(0),
})

const clinicFileSchema = z.strictObject({
  clinic: z.strictObject({
    id,
    slug: z.string().regex(/^[a-z0-9-]{2,40}$/, 'lower case letters, digits and -'),
    name,
    timeZone,
    phone: z.string().min(7).max(30),
    emergencyNumber: z.string().min(2).max(20),
  }),
  policy: clinicPolicySchema.default(DEFAULT_POLICY),
  holidays: z.union([z.literal('us_federal'), z.array(z.strictObject({ onDate: z.iso.date(), name }))]),
  sites: z.array(
    z.strictObject({
      id,
      name,
      address: name,
      state,
      timeZone,
      rooms: z.array(z.strictObject({ id, name })),
    }),
  ),
  clinicians: z
    .array(
      z.strictObject({
        id,
        name,
        credentials: z.string().max(40),
        languages,
        timeZone,
        licences: z.array(
          z.strictObject({ id, state, validFrom: z.iso.date(), validTo: z.iso.date().nullable().default(null) }),
        ),
        sessions: z.array(session),
      }),
    )
    .min(1),
  interpreters: z.array(z.strictObject({ id, name, languages, timeZone, sessions: z.array(session) })),
  staff: z
    .array(
      z.strictObject({
        id,
        email: z.email().toLowerCase(),
        name,
        role: z.enum(ROLES),
        /** Null = signs in by the organisation's own sign-in only. */
        passphrase: z.string().nullable(),
        clinicianId: id.nullable().default(null),
      }),
    )
    .min(1),
  /** The licensed lead who signs the demonstration protocol off for this clinic; null leaves it a draft. */
  protocolSignedOffBy: id.nullable(),
})

export type ClinicFile = z.output<typeof clinicFileSchema>
export type ClinicFileInput = z.input<typeof clinicFileSchema>
export type ClinicFault = { path: string; message: string }
type Day = { onDate: string; name: string }

/** Checks a file; faults of its shape first, then everything about its meaning together. */
export function readClinicFile(document: unknown): Result<ClinicFile, ClinicFault[]> {
  const parsed = clinicFileSchema.safeParse(document)
  if (!parsed.success)
    return err(parsed.error.issues.map(({ path, message }) => ({ path: path.map(String).join('.'), message })))
  const faults = faultsOf(parsed.data)
  return faults.length > 0 ? err(faults) : ok(parsed.data)
}

/** The days the clinic is closed: as listed, or the federal holidays of this year and the two after it. */
export function holidaysOf({ holidays }: ClinicFile, today: Temporal.PlainDate): Day[] {
  if (holidays !== 'us_federal') return holidays
  const days = [0, 1, 2].flatMap((years) => federalHolidays(today.year + years))
  return days.map(({ observed, name: what }) => ({ onDate: observed, name: what }))
}

/** Who works when, as the calendar reads it. */
export function sessionsOf({ clinicians, interpreters }: ClinicFile): ClinicSession[] {
  const owned = (
    kind: 'clinician' | 'interpreter',
    people: readonly { id: string; sessions: ClinicFile['clinicians'][number]['sessions'] }[],
  ) =>
    people.flatMap((person) =>
      person.sessions.map((one) => ({ ...one, owner: { kind, id: person.id }, exceptions: [] })),
    )
  return [...owned('clinician', clinicians), ...owned('interpreter', interpreters)]
}

function faultsOf(file: ClinicFile): ClinicFault[] {
  const faults: ClinicFault[] = []
  const fault = (path: string, message: string) => faults.push({ path, message })
  const rooms = new Map(file.sites.flatMap((site) => site.rooms.map((room) => [room.id, site.id])))
  const lists = {
    sites: file.sites,
    rooms: file.sites.flatMap((site) => site.rooms),
    clinicians: file.clinicians,
    licences: file.clinicians.flatMap((clinician) => clinician.licences),
    interpreters: file.interpreters,
    sessions: sessionsOf(file),
    staff: file.staff,
  }
  for (const [list, entries] of Object.entries(lists)) {
    for (const twice of repeated(entries.map((entry) => entry.id))) fault(list, `"${twice}" is there twice`)
  }
  for (const twice of repeated(file.staff.map(({ email }) => email))) fault('staff', `${twice} is there twice`)

  file.clinicians.forEach((clinician, at) => {
    clinician.licences.forEach(({ validFrom, validTo }, which) => {
      if (validTo !== null && validTo < validFrom)
        fault(`clinicians.${at}.licences.${which}.validTo`, 'ends before it starts')
    })
  })
  for (const one of sessionsOf(file)) {
    const path = `session ${one.id}`
    for (const { field, code } of checkSession(one)) fault(`${path}.${field}`, code.replaceAll('_', ' '))
    const others = sessionsOf(file).filter(
      ({ id, owner }) => id !== one.id && owner.kind === one.owner.kind && owner.id === one.owner.id,
    )
    // Only dates of sessions that can be kept can be compared.
    const canMeet = [one, ...others].every((each) => checkSession(each).length === 0)
    const meeting = canMeet ? firstOverlap(one, others, one.startsOn) : null
    if (meeting) fault(`${path}.opensAt`, `is open together with session ${meeting.sessionId} on ${meeting.onDate}`)
    if (one.siteId !== null && !file.sites.some((site) => site.id === one.siteId))
      fault(`${path}.siteId`, 'no such site')
    if (one.roomId !== null && rooms.get(one.roomId) !== one.siteId)
      fault(`${path}.roomId`, 'no such room at this site')
    if (one.mode !== 'video' && one.siteId === null) fault(`${path}.siteId`, 'needed for visits in person')
  }
  file.staff.forEach(({ passphrase, role, clinicianId }, at) => {
    const weak = passphrase === null ? null : passphraseFault(passphrase)
    if (weak !== null) fault(`staff.${at}.passphrase`, weak.replaceAll('_', ' '))
    if (clinicianId !== null && !file.clinicians.some((clinician) => clinician.id === clinicianId))
      fault(`staff.${at}.clinicianId`, 'no such clinician')
    if (role === 'clinician' && clinicianId === null)
      fault(`staff.${at}.clinicianId`, 'a clinician signs in as one of the clinicians')
  })
  const signer = file.protocolSignedOffBy
  if (signer !== null && file.staff.find((person) => person.id === signer)?.role !== 'lead')
    fault('protocolSignedOffBy', 'only a lead of this file can sign a protocol off')
  return faults
}

function repeated(values: readonly string[]): string[] {
  return [...new Set(values.filter((value, index) => values.indexOf(value) !== index))]
}

function isZone(text: string): boolean {
  return Intl.supportedValuesOf('timeZone').includes(text)
}
