/** What one file brought in: how many, which rows it could not, and who may be somebody the clinic knows. */

import { getClinic } from '#db/queries/clinics.ts'
import { findImport, type ImportRow, listImports, listUndecidedOfImport } from '#db/queries/imports.ts'
import { fullName } from '#lib/base/plain-text.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { FileFault } from '#lib/domain/intake/referral-file.ts'
import type { Ctx } from './context.ts'

export type ImportSummary = {
  id: string
  kind: 'csv' | 'fhir'
  fileName: string
  at: string
  added: number
  known: number
  faults: number
}
export type ImportPage = ImportSummary & {
  timeZone: string
  /** The first of them; `faults` counts all. */
  shownFaults: FileFault[]
  undecided: { referralId: string; name: string; birthDate: string | null }[]
}
export type ReadImportError = { code: 'import_not_found' }

/** More than a person mends by hand: beyond this the file itself is wrong. */
const FAULTS_SHOWN = 500
const UNDECIDED_SHOWN = 200

export async function readImport(
  ctx: Ctx,
  { importId }: { importId: string },
): Promise<Result<ImportPage, ReadImportError>> {
  const { clinicId } = ctx.actor
  const row = may(ctx.actor, 'referral.import', { clinicId }) ? await findImport(ctx.db, clinicId, importId) : null
  if (!row) return err({ code: 'import_not_found' })
  const [undecided, { timeZone }] = await Promise.all([
    listUndecidedOfImport(ctx.db, clinicId, importId, UNDECIDED_SHOWN),
    getClinic(ctx.db, clinicId),
  ])
  return ok({
    ...summaryOf(row),
    timeZone,
    shownFaults: row.faults.slice(0, FAULTS_SHOWN),
    undecided: undecided.map(({ referralId, givenName, familyName, birthDate }) => ({
      referralId,
      name: fullName({ givenName, familyName }),
      birthDate,
    })),
  })
}

/** The newest files, so that a result is found again. */
export async function readRecentImports(ctx: Ctx): Promise<{ timeZone: string; imports: ImportSummary[] }> {
  const { clinicId } = ctx.actor
  const { timeZone } = await getClinic(ctx.db, clinicId)
  const rows = may(ctx.actor, 'referral.import', { clinicId }) ? await listImports(ctx.db, clinicId, 10) : []
  return { timeZone, imports: rows.map(summaryOf) }
}

function summaryOf({ id, kind, fileName, at, added, known, faults }: ImportRow): ImportSummary {
  return { id, kind, fileName, at: at.toString(), added, known, faults: faults.length }
}
