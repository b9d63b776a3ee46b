'use server'

import { notFound, redirect } from 'next/navigation'
import { staffContext } from '#app/_server/staff-page.ts'
import { type FormError, type FormState, refuse } from '#app/_ui/form-state.ts'
import { editPatient, OWN_FIELDS, PATIENT_FIELDS } from '#lib/usecases/edit-patient.ts'
import { readRaw, sayFaults } from '../../read-form.ts'

/** Saves the details, or shows beside each field what somebody else saved meanwhile. */
export async function saveDetails(referralId: string, previous: FormState, form: FormData): Promise<FormState> {
  const ctx = await staffContext('patient.edit')
  const result = await editPatient(ctx, {
    referralId,
    version: Number(form.get('version')),
    raw: readRaw(form),
    mayEmailDetails: form.get('mayEmailDetails') === 'yes',
    preferredSiteId: String(form.get('preferredSiteId') ?? '') || null,
  })
  if (!result.ok) {
    switch (result.error.code) {
      case 'referral_not_found':
        return notFound()
      case 'faults':
        return refuse(previous, form, sayFaults(result.error.faults, form))
      case 'no_such_site':
        return refuse(previous, form, [{ field: 'preferredSiteId', message: 'Choose one of the sites' }])
      case 'stale': {
        const { theirs, yours, version } = result.error
        const errors: FormError[] = [...PATIENT_FIELDS, ...OWN_FIELDS]
          .filter((field) => theirs[field] !== yours[field])
          .map((field) => ({
            field,
            message: `Saved by somebody else meanwhile: ${field === 'preferredSiteId' ? 'another site' : said(theirs[field])}. What you wrote is still here`,
          }))
        const state = refuse(previous, form, errors)
        // Pressing the button again is then a choice: what stands there now has been shown.
        return { ...state, values: { ...state.values, version: String(version) } }
      }
    }
  }
  redirect(`/referrals/${referralId}?done=details`)
}

function said(value: string | boolean | null): string {
  if (typeof value === 'boolean') return value ? 'yes' : 'no'
  return value ?? 'nothing'
}
