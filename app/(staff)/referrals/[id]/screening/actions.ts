'use server'

import { notFound, redirect } from 'next/navigation'
import { staffContext } from '#app/_server/staff-page.ts'
import { type FormError, type FormState, refuse, valuesOf } from '#app/_ui/form-state.ts'
import { overruleDisposition, overruleDispositionInput } from '#lib/usecases/overrule-disposition.ts'

/** Sets the engine's answer aside, with a reason. */
export async function overrule(
  referralId: string,
  assessmentId: string,
  previous: FormState,
  form: FormData,
): Promise<FormState> {
  const ctx = await staffContext('screening.overrule')
  const { to, because } = valuesOf(form)
  const input = overruleDispositionInput.safeParse({ referralId, assessmentId, to, because })
  if (!input.success) {
    const wrong = new Set(input.error.issues.map((issue) => issue.path[0]))
    const errors: FormError[] = []
    if (wrong.has('to')) errors.push({ field: 'to', message: 'Choose what it should be' })
    if (wrong.has('because')) errors.push({ field: 'because', message: 'Give the reason in ten letters or more' })
    return refuse(previous, form, errors)
  }
  const done = await overruleDisposition(ctx, input.data)
  const page = `/referrals/${referralId}/screening`
  if (done.ok) redirect(`${page}?done=overruled`)
  switch (done.error.code) {
    case 'referral_not_found':
      return notFound()
    case 'screened_again':
      return redirect(`${page}?done=screened_again`)
    case 'nothing_to_overrule':
      return refuse(previous, form, [{ field: 'to', message: 'That is what was decided already' }])
    case 'stopped':
    case 'closed':
      return redirect(page)
  }
}
