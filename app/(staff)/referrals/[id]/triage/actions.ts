'use server'

import { notFound, redirect } from 'next/navigation'
import { staffContext } from '#app/_server/staff-page.ts'
import { type FormError, type FormState, refuse } from '#app/_ui/form-state.ts'
import { readDate } from '#app/_ui/read-date.ts'
import { Temporal } from '#lib/base/time.ts'
import { rawAnswer } from '#lib/domain/desk/triage-questions.ts'
import type { AnswerFault } from '#lib/domain/home/parse-answer.ts'
import { type SaveTriageError, saveTriage, saveTriageInput } from '#lib/usecases/save-triage.ts'
import { dateWords, instantWords } from '#lib/words/time-words.ts'
import { answerWords, PRIORITY_WORDS, SIDE_WORDS } from '../../words.ts'

type Bound = {
  referralId: string
  protocolId: string
  timeZone: string
  facts: { id: string; label: string }[]
  conditions: { id: string; title: string }[]
}

/** Saves the triage; what is bound comes from the browser and is checked again by the use case. */
export async function saveTriaged(bound: Bound, previous: FormState, form: FormData): Promise<FormState> {
  const ctx = await staffContext('triage.write')
  const wished = readDate(form, 'seeByOn')
  const errors: FormError[] = []
  for (const [field, message] of [
    ['conditionId', 'Choose the suspected condition'],
    ['side', 'Choose the side'],
    ['priority', 'Choose the urgency'],
  ] as const) {
    if (!form.get(field)) errors.push({ field, message })
  }
  if (!wished.ok && wished.error.code === 'not_a_date') {
    errors.push({ field: 'seeByOn', message: 'Enter a day, a month and a year that make a date' })
  }
  if (errors.length > 0) return refuse(previous, form, errors)

  const text = (name: string) => String(form.get(name) ?? '').trim()
  const input = saveTriageInput.safeParse({
    referralId: bound.referralId,
    version: text('version'),
    protocolId: bound.protocolId,
    conditionId: text('conditionId'),
    side: text('side'),
    priority: text('priority'),
    checklist: Object.fromEntries(
      bound.facts.map(({ id }) => [id, { raw: text(`fact-${id}`), shown: text(`shown-${id}`) }]),
    ),
    seeByOn: wished.ok ? wished.value.toString() : null,
  })
  if (!input.success) notFound()
  const result = await saveTriage(ctx, input.data)
  if (!result.ok) return answer(result.error, bound, previous, form)
  redirect(`/referrals/${bound.referralId}?done=triaged`)
}

function answer(error: SaveTriageError, bound: Bound, previous: FormState, form: FormData): FormState {
  switch (error.code) {
    case 'referral_not_found':
      return notFound()
    case 'closed':
    case 'stopped':
      return redirect(`/referrals/${bound.referralId}`)
    case 'protocol_not_offered':
    case 'condition_not_offered':
      return refuse(previous, form, [
        { field: 'conditionId', message: 'This condition is not in the protocol in force. Choose another' },
      ])
    case 'answers_refused':
      return refuse(
        previous,
        form,
        error.faults.map(({ factId, fault }) => ({ field: `fact-${factId}`, message: faultWords(fault) })),
      )
    case 'see_by_too_late':
      return refuse(previous, form, [
        {
          field: 'seeByOn',
          message: `This is later than the patient has to be seen (${instantWords(Temporal.Instant.from(error.limit), bound.timeZone)}). Enter an earlier day or leave it empty`,
        },
      ])
    case 'see_by_in_past':
      return refuse(previous, form, [
        { field: 'seeByOn', message: 'This day is over. Enter one that is still to come' },
      ])
    case 'stale':
      return bothVersions(error, bound, previous, form)
  }
}

function faultWords(fault: AnswerFault): string {
  switch (fault.code) {
    case 'answer_missing':
    case 'answer_not_offered':
      return 'Choose yes, no or not known'
    case 'not_a_number':
      return 'Enter a number'
    case 'out_of_range':
      return `Enter a number from ${fault.min} to ${fault.max}`
  }
}

/**
 * Somebody saved this referral while the form was open. The form keeps what was typed, says beside each field what
 * stands there now, and carries the new version along: pressing the button again is then a choice, not an accident.
 */
function bothVersions(
  error: Extract<SaveTriageError, { code: 'stale' }>,
  bound: Bound,
  previous: FormState,
  form: FormData,
): FormState {
  const { theirs, yours, version } = error
  const titleOf = (id: string) => bound.conditions.find((condition) => condition.id === id)?.title ?? id
  const errors: FormError[] = []
  const differs = (field: string, now: string | null) => {
    if (now !== null)
      errors.push({ field, message: `Saved by somebody else meanwhile: ${now}. What you chose is still here` })
  }
  differs(
    'conditionId',
    theirs.conditionId && theirs.conditionId !== yours.conditionId ? titleOf(theirs.conditionId) : null,
  )
  differs('side', theirs.side && theirs.side !== yours.side ? SIDE_WORDS[theirs.side] : null)
  differs('priority', theirs.priority && theirs.priority !== yours.priority ? PRIORITY_WORDS[theirs.priority] : null)
  for (const { id, label } of bound.facts) {
    const now = theirs.answers?.[id]
    if (rawAnswer(now) !== String(form.get(`fact-${id}`) ?? ''))
      differs(`fact-${id}`, `${label}, ${answerWords(now).toLowerCase()}`)
  }
  if (errors.length === 0) {
    errors.push({
      field: 'conditionId',
      message: 'Somebody saved this referral meanwhile, with the same choices. Save again to keep yours',
    })
  }
  if (yours.seeByOn !== null && theirs.seeByOn) {
    differs('seeByOn', `to be seen by ${dateWords(Temporal.PlainDate.from(theirs.seeByOn))}`)
  }
  const state = refuse(previous, form, errors)
  const shown = Object.fromEntries(bound.facts.map(({ id }) => [`shown-${id}`, rawAnswer(theirs.answers?.[id])]))
  return { ...state, values: { ...state.values, ...shown, version: String(version) } }
}
