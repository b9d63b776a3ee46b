'use server'

import { redirect } from 'next/navigation'
import { currentPatientOrLink, patientContext } from '#app/_server/patient-page.ts'
import { type FormState, refuse } from '#app/_ui/form-state.ts'
import { confirmItem, confirmItemInput } from '#lib/usecases/confirm-item.ts'
import { joinStandby, joinStandbyInput } from '#lib/usecases/join-standby.ts'
import { leaveStandby } from '#lib/usecases/leave-standby.ts'
import { wordsFor } from '#lib/words/words.ts'

/** "I have these things", "My helper will be there". A visit that has gone meanwhile shows on the page it returns to. */
export async function confirm(visitId: string, item: string): Promise<void> {
  const ctx = await patientContext()
  const input = confirmItemInput.safeParse({ visitId, item, state: 'confirmed' })
  if (input.success) await confirmItem(ctx, input.data)
  redirect('/my/visit?done=saved')
}

/** "Tell me about sooner times." */
export async function joinList(previous: FormState, form: FormData): Promise<FormState> {
  const ctx = await patientContext()
  const t = wordsFor((await currentPatientOrLink()).language)
  const input = joinStandbyInput.safeParse({ referralId: ctx.actor.referralId, noticeHours: form.get('notice') ?? '' })
  if (!input.success) return refuse(previous, form, [{ field: 'notice', message: t('standby.list.missing') }])
  const joined = await joinStandby(ctx, input.data)
  if (!joined.ok && joined.error.code !== 'already_waiting')
    return refuse(previous, form, [{ field: 'notice', message: t('standby.list.notNow') }])
  redirect('/my/visit?done=saved')
}

/** "Stop telling me." Whether they were on the list makes no difference. */
export async function leaveList(): Promise<void> {
  const ctx = await patientContext()
  await leaveStandby(ctx, { referralId: ctx.actor.referralId })
  redirect('/my/visit?done=saved')
}
