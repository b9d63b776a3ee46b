'use server'

import { redirect } from 'next/navigation'
import { currentPatientOrLink, patientContext } from '#app/_server/patient-page.ts'
import { type FormState, refuse } from '#app/_ui/form-state.ts'
import { answerQuestions } from '#lib/usecases/answer-questions.ts'
import { reportHelperLost } from '#lib/usecases/report-helper-lost.ts'
import { wordsFor } from '#lib/words/words.ts'

/** "My helper can't come." */
export async function tellHelperLost(): Promise<void> {
  const ctx = await patientContext()
  await reportHelperLost(ctx, { referralId: ctx.actor.referralId })
  redirect('/my/change?told=helper')
}

/** New symptoms: each tick is an answer to a red-flag question, looked at at once. */
export async function tellSymptoms(previous: FormState, form: FormData): Promise<FormState> {
  const ctx = await patientContext()
  const { language } = await currentPatientOrLink()
  const ticked = form.getAll('symptom').filter((value) => typeof value === 'string')
  const given = ticked.map((factId) => ({ factId, raw: 'yes' }))
  const none = () => refuse(previous, form, [{ field: 'symptom', message: wordsFor(language)('board.symptoms.none') }])
  if (given.length === 0) return none()
  const result = await answerQuestions(ctx, { referralId: ctx.actor.referralId, given })
  if (!result.ok) return none()
  redirect(result.value.stopAt === null ? '/my/visit?saved=1' : '/my/stop')
}
