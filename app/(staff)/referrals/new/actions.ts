'use server'

import { redirect } from 'next/navigation'
import { staffContext } from '#app/_server/staff-page.ts'
import { type FormState, refuse } from '#app/_ui/form-state.ts'
import { addReferral } from '#lib/usecases/add-referral.ts'
import { readRaw, sayFaults } from '../read-form.ts'

/** Adds the referral and opens its page; one that was here before is opened instead. */
export async function addTyped(previous: FormState, form: FormData): Promise<FormState> {
  const ctx = await staffContext('referral.add')
  const result = await addReferral(ctx, { key: String(form.get('commandKey') ?? ''), raw: readRaw(form) })
  if (!result.ok) {
    switch (result.error.code) {
      case 'not_allowed':
        redirect('/not-allowed')
        break
      case 'faults':
        return refuse(previous, form, sayFaults(result.error.faults, form))
      case 'command_of_someone_else':
        return refuse(previous, form, [
          { field: 'givenName', message: 'This form was sent already. Open it again to add another referral' },
        ])
    }
  }
  redirect(`/referrals/${result.value.referralId}?done=${result.value.isNew ? 'added' : 'known'}`)
}
