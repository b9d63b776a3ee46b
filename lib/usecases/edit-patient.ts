/**
 * Somebody corrects or completes what is known of a patient. A form that was
 * opened before somebody else's change is not saved over it: both are shown.
 */
import { recordAudit } from '#db/queries/audit.ts'
import { getClinic } from '#db/queries/clinics.ts'
import { findPatientForUpdate, type Patient, updatePatient } from '#db/queries/patients.ts'
import { findSite } from '#db/queries/places.ts'
import { findReferral } from '#db/queries/referrals.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import { type DraftFault, type RawReferral, type ReferralDraft, readDraft } from '#lib/domain/intake/referral-draft.ts'
import type { Ctx } from './context.ts'
import { inTransaction } from './in-transaction.ts'

export const PATIENT_FIELDS = [
  'givenName',
  'familyName',
  'birthDate',
  'phone',
  'email',
  'language',
  'interpreterLanguage',
  'addressLine',
  'city',
  'state',
  'postalCode',
  'timeZone',
] as const satisfies readonly (keyof ReferralDraft & keyof Patient)[]
export type PatientField = (typeof PATIENT_FIELDS)[number]
/** What a referral never says, asked here. */
export const OWN_FIELDS = ['mayEmailDetails', 'preferredSiteId'] as const
export type PatientDetails = Pick<ReferralDraft, PatientField> & {
  mayEmailDetails: boolean
  /** Where they would rather come to; null = it was not said. */
  preferredSiteId: string | null
}

export type EditPatientInput = {
  /** Reached by way of a referral: that is what access is decided on. */
  referralId: string
  /** The version that was on the page. */
  version: number
  raw: Pick<RawReferral, PatientField>
  mayEmailDetails: boolean
  preferredSiteId: string | null
}
export type EditedPatient = { patientId: string; version: number }
export type EditPatientError =
  | { code: 'referral_not_found' }
  | { code: 'faults'; faults: DraftFault[] }
  | { code: 'no_such_site' }
  | { code: 'stale'; version: number; theirs: PatientDetails; yours: PatientDetails }

/** Saves the details when the form is as new as the record. */
export async function editPatient(ctx: Ctx, input: EditPatientInput): Promise<Result<EditedPatient, EditPatientError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  const { referralId } = input
  return inTransaction<EditedPatient, EditPatientError>(ctx, async (tx) => {
    const referral = await findReferral(tx, clinicId, referralId)
    if (!referral || !may(ctx.actor, 'patient.edit', { clinicId, referralId }))
      return err({ code: 'referral_not_found' })
    const patient = await findPatientForUpdate(tx, clinicId, referral.patientId)
    if (!patient) return err({ code: 'referral_not_found' })

    const { timeZone } = await getClinic(tx, clinicId)
    const read = readDetails(input, now.toZonedDateTimeISO(timeZone).toPlainDate())
    if (!read.ok) return err({ code: 'faults', faults: read.error })
    const yours = read.value
    const theirs = detailsOf(patient)
    const changed = differing(theirs, yours)
    const { preferredSiteId: site } = yours
    if (site !== null && site !== theirs.preferredSiteId && !(await findSite(tx, clinicId, site))?.isActive)
      return err({ code: 'no_such_site' })
    if (changed.length === 0) return ok({ patientId: patient.id, version: patient.version })
    if (patient.version !== input.version) return err({ code: 'stale', version: patient.version, theirs, yours })

    const pick = (details: PatientDetails) => Object.fromEntries(changed.map((field) => [field, details[field]]))
    await updatePatient(tx, clinicId, patient.id, pick(yours))
    await recordAudit(tx, {
      id: ctx.newId('aud'),
      at: now,
      actor: ctx.actor,
      action: 'patient.edited',
      subject: patient.id,
      referralId,
      before: pick(theirs),
      after: pick(yours),
    })
    return ok({ patientId: patient.id, version: patient.version + 1 })
  })
}

/** The details as the form shows them. */
export function detailsOf(patient: Patient): PatientDetails {
  const told = Object.fromEntries(PATIENT_FIELDS.map((field) => [field, patient[field]])) as Pick<
    ReferralDraft,
    PatientField
  >
  return { ...told, mayEmailDetails: patient.mayEmailDetails, preferredSiteId: patient.preferredSiteId }
}

function differing(a: PatientDetails, b: PatientDetails): (keyof PatientDetails)[] {
  return [...PATIENT_FIELDS, ...OWN_FIELDS].filter((field) => a[field] !== b[field])
}

/** A patient's details are the patient's part of a referral and are checked by the same rules. */
function readDetails(
  { raw, mayEmailDetails, preferredSiteId }: EditPatientInput,
  today: Parameters<typeof readDraft>[1],
): Result<PatientDetails, DraftFault[]> {
  const draft = readDraft({ ...raw, receivedOn: today.toString(), reason: '-' }, today)
  if (!draft.ok) return draft
  const told = Object.fromEntries(PATIENT_FIELDS.map((field) => [field, draft.value[field]])) as Pick<
    ReferralDraft,
    PatientField
  >
  return ok({ ...told, mayEmailDetails, preferredSiteId })
}
