'use server'

import { redirect } from 'next/navigation'
import { currentPatientOrLink, patientContext } from '#app/_server/patient-page.ts'
import { type FormState, refuse } from '#app/_ui/form-state.ts'
import { withLeading } from '#lib/domain/screening/new-signs.ts'
import { answerQuestions } from '#lib/usecases/answer-questions.ts'
import { readHomeCheck } from '#lib/usecases/read-home-check.ts'
import { reportHelperLost } from '#lib/usecases/report-helper-lost.ts'
import { wordsFor } from '#lib/words/words.ts'

/** "My helper can't come." */
export async function tellHelperLost(): Promise<void> {
  const ctx = await patientContext()
  await reportHelperLost(ctx, { referralId: ctx.actor.referralId })
  redirect('/my/change?done=helper')
}

/** New symptoms: each tick is an answer to a red-flag question, looked at at once. */
export async function tellSymptoms(previous: FormState, form: FormData): Promise<FormState> {
  const ctx = await patientContext()
  const { language } = await currentPatientOrLink()
  const { referralId } = ctx.actor
  const none = () => refuse(previous, form, [{ field: 'symptom', message: wordsFor(language)('board.symptoms.none') }])
  const ticked = form.getAll('symptom').filter((value) => typeof value === 'string')
  const check = await readHomeCheck(ctx, { referralId })
  if (ticked.length === 0 || !check.ok) return none()
  const given = withLeading(check.value.protocol, ticked).map((factId) => ({ factId, raw: 'yes' }))
  const result = await answerQuestions(ctx, { referralId, given })
  if (!result.ok) return none()
  redirect(result.value.stopAt === null ? '/my/visit?done=saved' : '/my/stop')
}
