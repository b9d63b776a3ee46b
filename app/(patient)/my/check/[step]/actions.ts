'use server'

import { redirect } from 'next/navigation'
import { faultWords } from '#app/_server/answer-fault-words.ts'
import { readDetails } from '#app/_server/details-form.ts'
import { type FormState, refuse, valuesOf } from '#app/_ui/form-state.ts'
import { unitsFor } from '#lib/domain/home/parse-answer.ts'
import { answerQuestions } from '#lib/usecases/answer-questions.ts'
import { saveHomeDetails } from '#lib/usecases/save-home-details.ts'
import { openCheck } from '../open-check.ts'
import { onwards } from '../way.ts'

/** Saves one answer and goes on. A sign that can't wait leads to its own page at once. */
export async function saveAnswer(
  factId: string,
  from: string | null,
  previous: FormState,
  form: FormData,
): Promise<FormState> {
  const { ctx, referralId, view, t } = await openCheck()
  const fact = view.questions.find(({ id }) => id === factId)
  if (!fact) redirect('/my/check')
  const values = valuesOf(form)
  const isNotSure = values.notSure === 'yes'
  if (!isNotSure && values.answer && !values.unit && unitsFor(fact).length > 1)
    return refuse(previous, form, [{ field: 'unit', message: t('home.check.errors.unit') }])

  const raw = isNotSure ? 'not_sure' : (values.answer ?? '')
  const saved = await answerQuestions(ctx, {
    referralId,
    given: [{ factId, raw, ...(values.unit && !isNotSure && { unit: values.unit }) }],
  })
  if (!saved.ok) {
    switch (saved.error.code) {
      case 'answers_refused': {
        const fault = saved.error.faults[0]?.fault ?? { code: 'answer_missing' as const }
        return refuse(previous, form, [{ field: 'answer', message: faultWords(fault, fact, values.unit, t) }])
      }
      case 'raised_flag_stands':
        return redirect('/my/check/passed-on')
      case 'referral_not_found':
      case 'not_triaged':
      case 'check_closed':
      case 'changed_meanwhile':
        return redirect('/my')
    }
  }
  if (saved.value.stopAt) redirect(`/my/stop?from=${factId}`)
  // Without a script the line is drawn on the page that comes back.
  if (values.draw === 'yes' && !isNotSure) redirect(`/my/check/${factId}${from === 'answers' ? '?from=answers' : ''}`)
  const { view: after } = await openCheck()
  redirect(onwards(from === 'answers' ? saved.value.next : after.next, from))
}

/** Saves one group of details and goes on. */
export async function saveDetails(
  step: string,
  from: string | null,
  previous: FormState,
  form: FormData,
): Promise<FormState> {
  const { ctx, referralId, t } = await openCheck()
  const read = readDetails(step, form, t)
  if (!read) redirect('/my/check')
  if (!read.ok) return refuse(previous, form, read.error)
  const saved = await saveHomeDetails(ctx, referralId, read.value)
  if (!saved.ok) redirect('/my')
  const { view } = await openCheck()
  redirect(onwards(from === 'answers' ? null : view.next, from))
}
