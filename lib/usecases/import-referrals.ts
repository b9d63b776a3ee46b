/**
 * A file of referrals comes in. Good rows are added, rows that were here before
 * are counted, bad rows are listed with line, column and reason; one bad row
 * never keeps a good one out.
 *
 * One file is one transaction: it is in, or it is not. A connection lost half way
 * leaves nothing to sort out, and the same file can simply be sent again.
 */
import { recordAudit } from '#db/queries/audit.ts'
import { getClinic } from '#db/queries/clinics.ts'
import { insertImport } from '#db/queries/imports.ts'
import { listCurrentProtocols } from '#db/queries/protocols.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import { readReferralCsv } from '#lib/domain/intake/csv.ts'
import { readReferralBundle } from '#lib/domain/intake/fhir.ts'
import { REFERRAL_FILE_MAX_BYTES } from '#lib/domain/intake/referral-file.ts'
import type { Ctx } from './context.ts'
import { once } from './once.ts'
import { takeIn } from './steps/take-in.ts'

export type ImportReferralsInput = {
  /** Made when the form was opened: the same sending twice is carried out once. */
  key: string
  kind: 'csv' | 'fhir'
  fileName: string
  bytes: Uint8Array
}
export type ImportedReferrals = { importId: string; added: number; known: number; faults: number }
export type ImportReferralsError =
  | { code: 'not_allowed' }
  | { code: 'file_too_large' }
  | { code: 'command_of_someone_else' }

const FILE_NAME_MAX = 200

/** Brings a file in and returns where its result can be read. */
export async function importReferrals(
  ctx: Ctx,
  { key, kind, fileName, bytes }: ImportReferralsInput,
): Promise<Result<ImportedReferrals, ImportReferralsError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  if (!may(ctx.actor, 'referral.import', { clinicId })) return err({ code: 'not_allowed' })
  if (bytes.length > REFERRAL_FILE_MAX_BYTES) return err({ code: 'file_too_large' })

  return once<ImportedReferrals, ImportReferralsError>(ctx, { key, kind: 'referral.import' }, async (tx) => {
    const { timeZone } = await getClinic(tx, clinicId)
    const today = now.toZonedDateTimeISO(timeZone).toPlainDate()
    const conditions = (await listCurrentProtocols(tx, clinicId)).flatMap((protocol) => protocol.conditions)
    const { drafts, faults } =
      kind === 'csv' ? readReferralCsv(bytes, today) : readReferralBundle(bytes, today, conditions)

    const importId = ctx.newId('imp')
    const taken = await takeIn(tx, ctx, { drafts: drafts.map(({ draft }) => draft), source: kind, importId })
    const counts = { added: taken.added.length, known: taken.known.length }
    const name = fileName.slice(0, FILE_NAME_MAX)
    await insertImport(tx, {
      clinicId,
      id: importId,
      kind,
      fileName: name,
      by: ctx.actor.id,
      at: now,
      ...counts,
      faults,
    })
    await recordAudit(tx, {
      id: ctx.newId('aud'),
      at: now,
      actor: ctx.actor,
      action: 'referrals.imported',
      subject: importId,
      after: { kind, ...counts, faults: faults.length },
    })
    return ok({ importId, ...counts, faults: faults.length })
  })
}
