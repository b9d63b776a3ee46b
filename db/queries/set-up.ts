/** Writes a whole clinic at once: before this transaction it is not there, after it everything of it is. */
import type { Temporal } from '#lib/base/time.ts'
import type { ClinicSession } from '#lib/domain/calendar/session.ts'
import type { Protocol } from '#lib/domain/protocol/schema.ts'
import type { ClinicFile } from '#lib/domain/setup/clinic-file.ts'
import type { Db } from '../client.ts'
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
} from '../schema/index.ts'

export type ClinicToWrite = {
  file: ClinicFile
  holidays: readonly { onDate: string; name: string }[]
  sessions: readonly ClinicSession[]
  /** argon2id by staff id; null = no passphrase. */
  passwordHashes: ReadonlyMap<string, string | null>
  protocol: Protocol
  isDemo: boolean
  at: Temporal.Instant
}

export async function insertClinic(tx: Db, { file, at, ...rest }: ClinicToWrite): Promise<void> {
  const clinicId = file.clinic.id
  await tx.insert(clinics).values({ ...file.clinic, policy: file.policy, createdAt: at })
  await insertAll(rest.holidays, (day) => tx.insert(holidays).values({ ...day, clinicId }))
  await insertAll(file.sites, ({ rooms: _, ...site }) => tx.insert(sites).values({ ...site, clinicId }))
  for (const site of file.sites)
    await insertAll(site.rooms, (room) => tx.insert(rooms).values({ ...room, clinicId, siteId: site.id }))
  for (const { licences: held, sessions: _, ...clinician } of file.clinicians) {
    await tx.insert(clinicians).values({ ...clinician, clinicId })
    await insertAll(held, (licence) => tx.insert(licences).values({ ...licence, clinicId, clinicianId: clinician.id }))
  }
  await insertAll(file.interpreters, ({ sessions: _, ...interpreter }) =>
    tx.insert(interpreters).values({ ...interpreter, clinicId }),
  )
  await insertAll(rest.sessions, ({ owner, exceptions: _, ...session }) =>
    tx.insert(clinicSessions).values({
      ...session,
      clinicId,
      clinicianId: owner.kind === 'clinician' ? owner.id : null,
      interpreterId: owner.kind === 'interpreter' ? owner.id : null,
      createdAt: at,
    }),
  )
  await insertAll(file.staff, ({ passphrase: _, ...person }) =>
    tx.insert(staff).values({
      ...person,
      clinicId,
      passwordHash: rest.passwordHashes.get(person.id) ?? null,
      isDemo: rest.isDemo,
      createdAt: at,
    }),
  )
  const signer = file.protocolSignedOffBy
  await tx.insert(protocols).values({
    clinicId,
    id: rest.protocol.id,
    version: rest.protocol.version,
    status: signer === null ? 'draft' : 'signed_off',
    document: rest.protocol,
    signedOffBy: signer,
    signedOffAt: signer === null ? null : at,
  })
}

async function insertAll<T>(rows: readonly T[], insert: (row: T) => PromiseLike<unknown>): Promise<void> {
  for (const row of rows) await insert(row)
}
