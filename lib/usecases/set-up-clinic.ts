/**
 * Brings a clinic into being from its file: places, people, sessions, sign-ins
 * and, where its licensed lead signs it off, the protocol. Done by whoever runs
 * the installation, never over the web.
 */
import type { Db } from '#db/client.ts'
import { recordAudit } from '#db/queries/audit.ts'
import { findClinicBySlug } from '#db/queries/clinics.ts'
import { insertClinic } from '#db/queries/set-up.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import { type ClinicFault, holidaysOf, readClinicFile, sessionsOf } from '#lib/domain/setup/clinic-file.ts'
import type { Ctx } from './context.ts'
import { inTransaction } from './in-transaction.ts'

export type SetUpClinicInput = { document: unknown; isDemo: boolean }
export type ClinicSetUp = { clinicId: string; slug: string }
export type SetUpClinicError = { code: 'faults'; faults: ClinicFault[] } | { code: 'clinic_exists' }

/** All of it, or nothing. */
export async function setUpClinic(
  ctx: Omit<Ctx, 'actor' | 'queue'>,
  { document, isDemo }: SetUpClinicInput,
): Promise<Result<ClinicSetUp, SetUpClinicError>> {
  const now = ctx.now()
  const read = readClinicFile(document)
  if (!read.ok) return err({ code: 'faults', faults: read.error })
  const file = read.value
  const { id: clinicId, slug, timeZone } = file.clinic
  // Hashing takes its time by design; not inside the transaction.
  const passwordHashes = new Map<string, string | null>()
  for (const { id, passphrase } of file.staff)
    passwordHashes.set(id, passphrase === null ? null : await ctx.secrets.hashPassword(passphrase))

  return inTransaction<ClinicSetUp, SetUpClinicError>(
    ctx,
    async (tx: Db) => {
      if (await findClinicBySlug(tx, slug)) return err({ code: 'clinic_exists' })
      await insertClinic(tx, {
        file,
        holidays: holidaysOf(file, now.toZonedDateTimeISO(timeZone).toPlainDate()),
        sessions: sessionsOf(file),
        passwordHashes,
        protocol: footAndAnkle,
        isDemo,
        at: now,
      })
      await recordAudit(tx, {
        id: ctx.newId('aud'),
        at: now,
        actor: { kind: 'system', clinicId, id: 'system' },
        action: 'clinic.set_up',
        subject: clinicId,
        after: {
          protocolSignedOffBy: file.protocolSignedOffBy,
          staff: file.staff.map(({ id, role }) => ({ id, role })),
        },
      })
      return ok({ clinicId, slug })
    },
    { clinics_pkey: { code: 'clinic_exists' }, clinics_slug_key: { code: 'clinic_exists' } },
  )
}
