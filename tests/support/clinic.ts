/**
 * A clinic small enough to keep in the head, for tests of use cases. It is Monday 2 March 2026, 08:00 in New York.
 * Ames may examine people in New York: by video on Tuesdays 09:00 to 12:00, in person (Hudson Street) on Thursdays 13:00
 * to 16:00. Boyd may in New Jersey: by video on Wednesdays 09:00 to 12:00, in person (Palisade Avenue) on Fridays 09:00
 * to 12:00. Cruz interprets Spanish on Tuesdays 09:00 to 12:00. Starts lie on quarter hours.
 */
import type { Db } from '#db/client.ts'
import {
  answers,
  clinicians,
  clinicSessions,
  clinics,
  homeChecks,
  interpreters,
  licences,
  patients,
  protocols,
  referrals,
  rooms,
  sites,
  staff,
} from '#db/schema/index.ts'
import { secrets } from '#lib/adapters/secrets.ts'
import { Temporal } from '#lib/base/time.ts'
import type { Actor, PatientActor, StaffActor } from '#lib/domain/access/actor.ts'
import type { WeeklyWindow } from '#lib/domain/calendar/weekly-window.ts'
import { type ClinicPolicy, DEFAULT_POLICY } from '#lib/domain/policy/clinic-policy.ts'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import type { Answers } from '#lib/domain/protocol/need.ts'
import type { Ctx } from '#lib/usecases/context.ts'
import { assessReferral } from '#lib/usecases/steps/assess-referral.ts'

export const CLINIC = 'cln_1'
/** Monday 2 March 2026, 08:00 in New York. */
export const NOW = '2026-03-02T13:00:00Z'

export const coordinator: StaffActor = {
  kind: 'staff',
  clinicId: CLINIC,
  id: 'stf_1',
  role: 'coordinator',
  clinicianId: null,
}

export function patientOf(referralId: string): PatientActor {
  return { kind: 'patient', clinicId: CLINIC, id: `pat_of_${referralId}`, referralId }
}

/** A context with fixed time and readable ids. The queue takes jobs and does nothing: what counts are the rows. */
export function contextFor(db: Db, options: { actor?: Actor; now?: string; ids?: string } = {}): Ctx {
  const { actor = coordinator, now = NOW, ids = '' } = options
  const count: Record<string, number> = {}
  return {
    db,
    actor,
    now: () => Temporal.Instant.from(now),
    newId: (prefix) => {
      count[prefix] = (count[prefix] ?? 0) + 1
      return `${prefix}_${actor.id}${ids}_${count[prefix]}`
    },
    queue: {
      enqueueMessages: async () => {},
      enqueuePhoneTask: async () => {},
      enqueueSeeByWatch: async () => {},
      enqueueFreedTime: async () => {},
      enqueueOfferEnd: async () => {},
    },
    secrets,
  }
}

/** Writes the clinic, its people, places and sessions. No referral yet. */
export async function addSmallClinic(db: Db, policy: Partial<ClinicPolicy> = {}): Promise<void> {
  const createdAt = Temporal.Instant.from('2026-01-02T12:00:00Z')
  const timeZone = 'America/New_York'
  await db.insert(clinics).values({
    id: CLINIC,
    slug: 'hudson',
    name: 'Hudson Foot and Ankle',
    timeZone,
    phone: '(555) 555-0100',
    emergencyNumber: '911',
    policy: { ...DEFAULT_POLICY, ...policy },
    createdAt,
  })
  const mine = { clinicId: CLINIC }
  await db.insert(staff).values({
    ...mine,
    id: coordinator.id,
    email: 'coordinator@example.org',
    name: 'Robin Vale',
    role: 'coordinator',
    createdAt,
  })
  await db.insert(protocols).values({
    ...mine,
    id: footAndAnkle.id,
    version: footAndAnkle.version,
    status: 'signed_off',
    document: footAndAnkle,
    signedOffBy: 'stf_lead',
    signedOffAt: createdAt,
  })
  await db.insert(sites).values([
    { ...mine, id: 'sit_ny', name: 'Hudson Street', address: '1 Hudson Street', state: 'NY', timeZone },
    { ...mine, id: 'sit_nj', name: 'Palisade Avenue', address: '2 Palisade Avenue', state: 'NJ', timeZone },
  ])
  await db.insert(rooms).values([
    { ...mine, id: 'roo_1', siteId: 'sit_ny', name: 'Room 1' },
    { ...mine, id: 'roo_2', siteId: 'sit_ny', name: 'Room 2' },
    { ...mine, id: 'roo_3', siteId: 'sit_nj', name: 'Room 3' },
  ])
  await db.insert(clinicians).values([
    { ...mine, id: 'cli_ames', name: 'Alex Ames', credentials: 'DPM', languages: ['en'], timeZone },
    { ...mine, id: 'cli_boyd', name: 'Blair Boyd', credentials: 'MD', languages: ['en'], timeZone },
  ])
  await db.insert(licences).values([
    { ...mine, id: 'lic_1', clinicianId: 'cli_ames', state: 'NY', validFrom: '2020-01-01' },
    { ...mine, id: 'lic_2', clinicianId: 'cli_boyd', state: 'NJ', validFrom: '2020-01-01' },
  ])
  await db.insert(interpreters).values({ ...mine, id: 'int_cruz', name: 'Cam Cruz', languages: ['es'], timeZone })
  const weekly = {
    ...mine,
    timeZone,
    durationMin: 180,
    grainMin: 15,
    bufferBeforeMin: 0,
    bufferAfterMin: 0,
    noticeMin: 120,
    createdAt,
  }
  await db.insert(clinicSessions).values([
    {
      ...weekly,
      id: 'ses_ames_video',
      clinicianId: 'cli_ames',
      mode: 'video',
      startsOn: '2026-01-06',
      opensAt: '09:00',
      rule: 'FREQ=WEEKLY;BYDAY=TU',
    },
    {
      ...weekly,
      id: 'ses_ames_site',
      clinicianId: 'cli_ames',
      mode: 'in_person',
      siteId: 'sit_ny',
      startsOn: '2026-01-08',
      opensAt: '13:00',
      rule: 'FREQ=WEEKLY;BYDAY=TH',
    },
    {
      ...weekly,
      id: 'ses_boyd_video',
      clinicianId: 'cli_boyd',
      mode: 'video',
      startsOn: '2026-01-07',
      opensAt: '09:00',
      rule: 'FREQ=WEEKLY;BYDAY=WE',
    },
    {
      ...weekly,
      id: 'ses_boyd_site',
      clinicianId: 'cli_boyd',
      mode: 'in_person',
      siteId: 'sit_nj',
      roomId: 'roo_3',
      startsOn: '2026-01-09',
      opensAt: '09:00',
      rule: 'FREQ=WEEKLY;BYDAY=FR',
    },
    {
      ...weekly,
      id: 'ses_cruz',
      interpreterId: 'int_cruz',
      mode: 'either',
      siteId: 'sit_ny',
      startsOn: '2026-01-06',
      opensAt: '09:00',
      rule: 'FREQ=WEEKLY;BYDAY=TU',
      noticeMin: 0,
    },
  ])
}

/** Answers of a home in which everything asked for is there and nothing warns: screened to video, 45 minutes. */
export function goodHome(): Record<string, boolean | number> {
  const known: Record<string, boolean | number> = {}
  for (const fact of footAndAnkle.facts) {
    if (fact.id === 'age_years') continue
    if (fact.kind === 'number') known[fact.id] = Number(fact.change?.to ?? fact.min ?? 0)
    else if (fact.change) known[fact.id] = Boolean(fact.change.to)
    else known[fact.id] = fact.id === 'accepts_video' || fact.id === 'reach_foot'
  }
  return known
}

export type NewReferral = {
  id: string
  conditionId?: string
  answers?: Answers
  /** ISO instant. */
  seeBy?: string
  placeState?: string | null
  interpreterLanguage?: string | null
  preferredSiteId?: string | null
  patientWindows?: WeeklyWindow[]
  helperWindows?: WeeklyWindow[]
  timeZone?: string
}

/** A triaged referral with a finished home check, screened by the engine itself. Its patient is `pat_of_<id>`. */
export async function addReferral(db: Db, options: NewReferral): Promise<void> {
  const { id, conditionId = 'flat_foot', timeZone = 'America/New_York', placeState = 'NY' } = options
  const at = Temporal.Instant.from(NOW)
  const patientId = `pat_of_${id}`
  await db.insert(patients).values({
    clinicId: CLINIC,
    id: patientId,
    givenName: 'Pat',
    familyName: `Of ${id}`,
    birthDate: '1980-05-06',
    phone: '(555) 555-0123',
    email: `${id}@example.org`,
    language: 'en',
    interpreterLanguage: options.interpreterLanguage ?? null,
    state: 'NY',
    timeZone,
    preferredSiteId: options.preferredSiteId ?? null,
    createdAt: at,
  })
  await db.insert(referrals).values({
    clinicId: CLINIC,
    id,
    patientId,
    source: 'typed',
    fingerprint: `fingerprint of ${id}`,
    receivedAt: at,
    reason: 'A foot that hurts',
    icd10: [],
    priority: 'routine',
    stage: 'triaged',
    protocolId: footAndAnkle.id,
    protocolVersion: footAndAnkle.version,
    conditionId,
    side: 'left',
    seeBy: Temporal.Instant.from(options.seeBy ?? '2026-04-13T21:00:00Z'),
    createdAt: at,
  })
  await db.insert(homeChecks).values({
    clinicId: CLINIC,
    referralId: id,
    invitedAt: at,
    finishedAt: at,
    placeAddress: '3 Any Street',
    placeState,
    timeZone,
    patientWindows: options.patientWindows ?? [],
    helperWindows: options.helperWindows ?? [],
    timesAnsweredAt: at,
    consentedAt: at,
  })
  const known = Object.entries(options.answers ?? goodHome())
  if (known.length > 0) {
    await db.insert(answers).values(
      known.map(([factId, value]) => ({
        clinicId: CLINIC,
        referralId: id,
        factId,
        value,
        source: 'patient' as const,
        answeredBy: patientId,
        answeredAt: at,
      })),
    )
  }
  await screenAgain(db, id)
}

/** Lets the engine screen a referral from what is known at an instant (ISO). */
export async function screenAgain(db: Db, referralId: string, now = NOW): Promise<void> {
  const actor = { kind: 'system', clinicId: CLINIC, id: 'system' } as const
  const ctx = contextFor(db, { actor, now, ids: `_${referralId}_${now}` })
  await db.transaction((tx) => assessReferral(tx, ctx, referralId))
}
