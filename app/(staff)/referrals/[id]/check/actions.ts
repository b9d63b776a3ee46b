'use server'

import { refresh } from 'next/cache'
import { notFound, redirect } from 'next/navigation'
import { faultWords } from '#app/_server/answer-fault-words.ts'
import { readDetails } from '#app/_server/details-form.ts'
import { redirectToPart } from '#app/_server/redirect-to-part.ts'
import type { StaffCtx } from '#app/_server/staff-page.ts'
import { staffContext } from '#app/_server/staff-page.ts'
import { type FormError, type FormState, refuse, valuesOf } from '#app/_ui/form-state.ts'
import { DETAIL_STEPS, type DetailStep } from '#lib/domain/home/details.ts'
import { unitsFor } from '#lib/domain/home/parse-answer.ts'
import { type AnswerQuestionsInput, answerQuestions } from '#lib/usecases/answer-questions.ts'
import { finishHomeCheck } from '#lib/usecases/finish-home-check.ts'
import { inviteHomeCheck } from '#lib/usecases/invite-home-check.ts'
import { type HomeCheckView, readHomeCheck } from '#lib/usecases/read-home-check.ts'
import { detailsGiven, saveHomeDetails } from '#lib/usecases/save-home-details.ts'
import { wordsFor } from '#lib/words/words.ts'
import { answerWords } from '../../words.ts'

const t = wordsFor('en')

/**
 * Saves whatever was filled in, and says what could not be; where asked and nothing is open, finishes the home check.
 * What was left as it was opened is not touched: the patient may be answering at the same time.
 */
export async function saveCheck(referralId: string, previous: FormState, form: FormData): Promise<FormState> {
  const ctx = await staffContext('check.answer')
  const check = await readHomeCheck(ctx, { referralId })
  if (!check.ok) notFound()
  const values = valuesOf(form)
  const page = `/referrals/${referralId}/check`
  const answered = await saveAnswers(ctx, check.value, values)
  const errors = [...answered.errors, ...(await saveDetails(ctx, check.value, form, values))]
  // A sign that can't wait stands at the top of the page, and is read before anything else is put right.
  if (answered.mustStop) redirectToPart(`${page}#say`)
  if (errors.length > 0) {
    // What did get saved is from now on what this form was opened with.
    refresh()
    return refuse(previous, form, errors)
  }
  if (values.deed !== 'finish') redirectToPart(`${page}?done=saved#open`)
  const finished = await finishHomeCheck(ctx, { referralId })
  if (finished.ok) redirect(`${page}?done=finished`)
  switch (finished.error.code) {
    case 'still_open':
      refresh()
      return refuse(previous, form, [openError(finished.error.step, check.value)])
    case 'stopped':
    case 'check_closed':
    case 'not_triaged':
      return redirect(page)
    case 'referral_not_found':
      return notFound()
  }
}

async function saveAnswers(
  ctx: StaffCtx,
  view: HomeCheckView,
  values: Record<string, string>,
): Promise<{ errors: FormError[]; mustStop: boolean }> {
  const { referralId, protocol } = view
  let mustStop = false
  const errors: FormError[] = []
  const given: AnswerQuestionsInput['given'] = []
  for (const fact of protocol.facts) {
    const shown = values[`was-${fact.id}`]
    if (shown === undefined) continue
    const unit = values[`unit-${fact.id}`]
    const raw = unit === 'not_sure' ? 'not_sure' : (values[`fact-${fact.id}`] ?? '')
    const isSameUnit = raw === 'not_sure' || (unit ?? '') === (values[`wasunit-${fact.id}`] ?? '')
    if (raw === '' || (raw === shown && isSameUnit)) continue
    if (fact.kind === 'number' && raw !== 'not_sure' && !unit && unitsFor(fact).length > 1) {
      errors.push({ field: `unit-${fact.id}`, message: `Choose a unit for “${fact.ask.en}”` })
      continue
    }
    given.push({ factId: fact.id, raw, shown, ...(unit && unit !== 'not_sure' && { unit }) })
  }
  // One answer that cannot be read holds up no other, least of all one that raises a flag.
  for (let rest = given; rest.length > 0; ) {
    const saved = await answerQuestions(ctx, { referralId, given: rest })
    if (saved.ok) {
      mustStop = saved.value.stopAt !== null
      break
    }
    switch (saved.error.code) {
      case 'answers_refused': {
        const { faults } = saved.error
        for (const { factId, fault } of faults) {
          const fact = protocol.facts.find(({ id }) => id === factId)
          if (fact) {
            const words = faultWords(fault, fact, values[`unit-${factId}`], t)
            errors.push({ field: `fact-${factId}`, message: `${words}: “${fact.ask.en}”` })
          }
        }
        rest = rest.filter(({ factId }) => !faults.some((fault) => fault.factId === factId))
        continue
      }
      case 'changed_meanwhile': {
        const { now } = saved.error
        for (const { factId, answer } of now) {
          const fact = protocol.facts.find(({ id }) => id === factId)
          const message = `Somebody answered this meanwhile: ${answerWords(answer, fact?.unit ?? null)}. You chose something else; save again to keep yours`
          errors.push({ field: `fact-${factId}`, message })
        }
        rest = rest.filter(({ factId }) => !now.some((one) => one.factId === factId))
        continue
      }
      case 'referral_not_found':
      case 'not_triaged':
      case 'check_closed':
      case 'raised_flag_stands':
        return notFound()
    }
  }
  return { errors, mustStop }
}

async function saveDetails(
  ctx: StaffCtx,
  view: HomeCheckView,
  form: FormData,
  values: Record<string, string>,
): Promise<FormError[]> {
  const errors: FormError[] = []
  for (const step of DETAIL_STEPS) {
    if (!isFilled(step, values)) continue
    const read = readDetails(step, form, t)
    if (!read) continue
    if (!read.ok) {
      errors.push(...read.error)
      continue
    }
    const shown = values[`seen-${step}`] ?? ''
    if (detailsGiven(read.value) === shown && isAnswered(step, view)) continue
    const saved = await saveHomeDetails(ctx, view.referralId, read.value, shown)
    if (saved.ok) continue
    const message = 'Somebody changed this part meanwhile. Look at it again; save again to keep yours'
    errors.push({ field: FIRST_FIELD[step], message })
  }
  return errors
}

const FIRST_FIELD: Record<DetailStep, string> = {
  place: 'placeAddress',
  contact: 'callbackPhone',
  times: 'timesAsked',
  consent: 'agreed',
}

/** A part that nobody has touched is not an answer. */
function isFilled(step: DetailStep, values: Record<string, string>): boolean {
  const fields: Record<DetailStep, string[]> = {
    place: ['placeAddress', 'placeState', 'timeZone'],
    contact: ['callbackPhone', 'contactName', 'contactPhone'],
    times: ['timesAsked', 'days', 'parts', 'helperName', 'helperDays', 'helperParts'],
    consent: ['agreed'],
  }
  return fields[step].some((field) => (values[field] ?? '') !== '')
}

function isAnswered(step: DetailStep, { details }: HomeCheckView): boolean {
  if (step === 'times') return details?.timesAnsweredAt != null
  return step !== 'consent' || details?.consentedAt != null
}

function openError(step: string, { protocol }: HomeCheckView): FormError {
  const fact = protocol.facts.find(({ id }) => id === step)
  if (fact) return { field: `fact-${fact.id}`, message: `Still open: “${fact.ask.en}”` }
  const detail = DETAIL_STEPS.find((each) => each === step) ?? 'place'
  return { field: FIRST_FIELD[detail], message: `Still open: ${OPEN_WORDS[detail]}` }
}

const OPEN_WORDS: Record<DetailStep, string> = {
  place: 'where the patient will be',
  contact: 'whom to call',
  times: 'when they are free',
  consent: 'whether the patient agrees',
}

/** Sends the patient their personal link. What stands in the way is on the page itself. */
export async function invite(referralId: string): Promise<void> {
  const ctx = await staffContext('check.invite')
  const invited = await inviteHomeCheck(ctx, { referralId })
  if (!invited.ok && invited.error.code === 'referral_not_found') notFound()
  redirect(`/referrals/${referralId}/check${invited.ok ? '?done=invited' : ''}`)
}
