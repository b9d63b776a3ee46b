'use server'

import { revalidatePath } from 'next/cache'
import { redirect } from 'next/navigation'
import { currentPatientOrLink, patientContext } from '#app/_server/patient-page.ts'
import { type FormState, refuse } from '#app/_ui/form-state.ts'
import { answerOffer, answerOfferInput } from '#lib/usecases/answer-offer.ts'
import { wordsFor } from '#lib/words/words.ts'

/** Yes or no to the time that is offered. The button that was pressed is the answer. */
export async function answerMine(offerId: string, previous: FormState, form: FormData): Promise<FormState> {
  const ctx = await patientContext()
  const t = wordsFor((await currentPatientOrLink()).language)
  const answer = form.get('answer')
  const key = `${String(form.get('commandKey') ?? '')}:${answer}`
  const input = answerOfferInput.safeParse({ key, offerId, answer })
  if (!input.success) return refuse(previous, form, [{ field: 'answer', message: t('standby.lost.choose') }])
  const answered = await answerOffer(ctx, input.data)
  if (!answered.ok) {
    // The page that comes back says by itself that an offer is over.
    if (answered.error.code === 'offer_over') redirect('/my/offer')
    revalidatePath('/my/offer')
    return refuse(previous, form, [{ field: 'answer', message: t('standby.lost.notPossible') }])
  }
  redirect(`/my/offer?done=${answered.value.visit ? 'yes' : 'no'}`)
}
