/** Adds a licence to a clinician, changes or ends one, or takes away one that was written by mistake. */
import { recordAudit } from '#db/queries/audit.ts'
import { deleteLicence, findClinician, isLicenceUsed, writeLicence } from '#db/queries/people.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import { type LicenceFault, type RawLicence, readLicence } from '#lib/domain/staffing/licence-draft.ts'
import type { Ctx } from './context.ts'
import { once, type Repeated } from './once.ts'
import { type Confirmation, changeClinic, type NotSavedYet } from './steps/change-clinic.ts'

export type SaveLicenceInput = Confirmation & {
  key: string
  clinicianId: string
  /** The clinician's version that was on the page. */
  version: number
  /** Null = a new one. */
  licenceId: string | null
  /** Null = take it away. */
  raw: RawLicence | null
}
export type SavedLicence = { licenceId: string; version: number }
type Refusal =
  | { code: 'not_allowed' }
  | { code: 'not_found' }
  | { code: 'changed_meanwhile' }
  /** Visits were booked on it: it can be ended, not taken away. */
  | { code: 'was_used' }
  | { code: 'faults'; faults: LicenceFault[] }
export type SaveLicenceError = Refusal | NotSavedYet | Repeated

export async function saveLicence(ctx: Ctx, input: SaveLicenceInput): Promise<Result<SavedLicence, SaveLicenceError>> {
  const now = ctx.now()
  const { key, clinicianId, version, raw } = input
  const { clinicId } = ctx.actor
  if (!may(ctx.actor, 'people.write', { clinicId })) return err({ code: 'not_allowed' })
  const licenceId = input.licenceId ?? ctx.newId('lic')

  return once<SavedLicence, Refusal | NotSavedYet>(ctx, { key, kind: 'save_licence' }, (tx) =>
    changeClinic<SavedLicence, Refusal>(tx, ctx, { clinicianId }, input, async () => {
      const clinician = await findClinician(tx, clinicId, clinicianId)
      const kept = clinician?.licences.find(({ id }) => id === licenceId) ?? null
      if (!clinician || (input.licenceId !== null && !kept) || (raw === null && !kept))
        return err({ code: 'not_found' })
      if (clinician.version !== version) return err({ code: 'changed_meanwhile' })
      const others = clinician.licences.filter(({ id }) => id !== licenceId)
      const read = raw === null ? null : readLicence(raw, others)
      if (read && !read.ok) return err({ code: 'faults', faults: read.error })

      if (read) await writeLicence(tx, clinicId, clinicianId, { id: licenceId, ...read.value })
      else if (kept) {
        if (await isLicenceUsed(tx, clinicId, clinicianId, kept)) return err({ code: 'was_used' })
        await deleteLicence(tx, clinicId, clinicianId, licenceId)
      }
      await recordAudit(tx, {
        id: ctx.newId('aud'),
        at: now,
        actor: ctx.actor,
        action: `licence.${read === null ? 'taken_away' : kept ? 'changed' : 'added'}`,
        subject: clinicianId,
        before: kept,
        after: read && { id: licenceId, ...read.value },
      })
      return ok({ licenceId, version: version + 1 })
    }),
  )
}
