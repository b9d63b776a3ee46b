'use server'

import { notFound, redirect } from 'next/navigation'
import { redirectToPart } from '#app/_server/redirect-to-part.ts'
import { staffContext } from '#app/_server/staff-page.ts'
import { type FormState, refuse } from '#app/_ui/form-state.ts'
import { acknowledgeTask, acknowledgeTaskInput } from '#lib/usecases/acknowledge-task.ts'
import { closeReferral, closeReferralInput } from '#lib/usecases/close-referral.ts'
import { decideMatch, decideMatchInput } from '#lib/usecases/decide-match.ts'
import { reopenReferral, reopenReferralInput } from '#lib/usecases/reopen-referral.ts'

/** Ends a task with a note of what was said or done. The field is named after the task: a page may show several. */
export async function endTask(
  referralId: string,
  taskId: string,
  previous: FormState,
  form: FormData,
): Promise<FormState> {
  const ctx = await staffContext('task.acknowledge')
  const field = `note-${taskId}`
  const input = acknowledgeTaskInput.safeParse({ taskId, note: form.get(field) })
  if (!input.success)
    return refuse(previous, form, [{ field, message: 'Write down what was said or done, in 3 to 2000 characters' }])
  const result = await acknowledgeTask(ctx, input.data)
  if (!result.ok) {
    switch (result.error.code) {
      case 'task_not_found':
        return notFound()
      case 'is_a_decision':
        return redirectToPart(`/referrals/${referralId}#same-person`)
    }
  }
  redirect(`/referrals/${referralId}?done=task`)
}

/** Same person or not: the button says which. */
export async function decide(
  referralId: string,
  candidateId: string,
  previous: FormState,
  form: FormData,
): Promise<FormState> {
  const ctx = await staffContext('match.decide')
  const input = decideMatchInput.safeParse({ referralId, candidateId, decision: form.get('decision') })
  if (!input.success) notFound()
  const result = await decideMatch(ctx, input.data)
  if (!result.ok) {
    switch (result.error.code) {
      case 'match_not_found':
        return notFound()
      case 'already_decided':
        return redirect(`/referrals/${referralId}`)
      case 'visits_overlap':
        return refuse(previous, form, [
          {
            field: `match-${candidateId}`,
            message: 'Both records have a visit at the same time. Move one of them, then decide',
          },
        ])
    }
  }
  redirect(`/referrals/${referralId}?done=${input.data.decision}`)
}

export async function close(referralId: string, previous: FormState, form: FormData): Promise<FormState> {
  const ctx = await staffContext('referral.close')
  const input = closeReferralInput.safeParse({ referralId, because: form.get('because') })
  if (!input.success)
    return refuse(previous, form, [
      { field: 'because', message: 'Write down why it is closed, in 3 to 500 characters' },
    ])
  const result = await closeReferral(ctx, input.data)
  if (!result.ok) {
    switch (result.error.code) {
      case 'referral_not_found':
        return notFound()
      case 'stopped':
        return refuse(previous, form, [
          { field: 'because', message: 'Call the patient first: an emergency flag is open' },
        ])
      case 'has_visit':
        return refuse(previous, form, [
          { field: 'because', message: 'A visit is booked. Cancel it first, so that the patient is told' },
        ])
    }
  }
  redirect(`/referrals/${referralId}?done=closed`)
}

export async function reopen(referralId: string, previous: FormState, form: FormData): Promise<FormState> {
  const ctx = await staffContext('referral.close')
  const input = reopenReferralInput.safeParse({ referralId, because: form.get('because') })
  if (!input.success)
    return refuse(previous, form, [
      { field: 'because', message: 'Write down why it is opened again, in 3 to 500 characters' },
    ])
  const result = await reopenReferral(ctx, input.data)
  if (!result.ok) return notFound()
  redirect(`/referrals/${referralId}?done=reopened`)
}
