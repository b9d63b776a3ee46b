'use server'

import { revalidatePath } from 'next/cache'
import { redirect } from 'next/navigation'
import { staffContext } from '#app/_server/staff-page.ts'
import { type FormState, refuse } from '#app/_ui/form-state.ts'
import { answerOffer, answerOfferInput } from '#lib/usecases/answer-offer.ts'
import { joinStandby, joinStandbyInput } from '#lib/usecases/join-standby.ts'
import { leaveStandby, leaveStandbyInput } from '#lib/usecases/leave-standby.ts'
import { answerField, refusalWords } from './words.ts'

const PAGE = '/clinic/standby'

/** Puts a referral on the list, or changes its notice. */
export async function putOnList(referralId: string, previous: FormState, form: FormData): Promise<FormState> {
  const ctx = await staffContext('standby.write')
  const input = joinStandbyInput.safeParse({ referralId, noticeHours: form.get('notice') ?? '' })
  if (!input.success) return refuse(previous, form, [{ field: 'notice', message: 'Choose the notice they need' }])
  const joined = await joinStandby(ctx, input.data)
  if (!joined.ok) return refuse(previous, form, [{ field: 'notice', message: refusalWords(joined.error.code) }])
  redirect(`${PAGE}?done=joined`)
}

/** Takes a referral off the list. Whether it was on it makes no difference. */
export async function takeOff(referralId: string): Promise<void> {
  const ctx = await staffContext('standby.write')
  const input = leaveStandbyInput.safeParse({ referralId })
  if (input.success) await leaveStandby(ctx, input.data)
  redirect(`${PAGE}?done=left`)
}

/** What the patient said on the phone. */
export async function answerFor(offerId: string, previous: FormState, form: FormData): Promise<FormState> {
  const ctx = await staffContext('offer.answer')
  const field = answerField(offerId)
  const answer = form.get('answer')
  const input = answerOfferInput.safeParse({
    key: `${String(form.get('commandKey') ?? '')}:${answer}`,
    offerId,
    answer,
  })
  if (!input.success) return refuse(previous, form, [{ field, message: 'Say what they answered' }])
  const answered = await answerOffer(ctx, input.data)
  if (!answered.ok) {
    revalidatePath(PAGE)
    return refuse(previous, form, [{ field, message: refusalWords(answered.error.code) }])
  }
  redirect(`${PAGE}?done=${answered.value.visit ? 'accepted' : 'declined'}`)
}
