'use server'

import { redirectToPart } from '#app/_server/redirect-to-part.ts'
import { staffContext } from '#app/_server/staff-page.ts'
import { readStart } from '#app/_server/start-value.ts'
import { type FormState, refuse } from '#app/_ui/form-state.ts'
import { unreachable } from '#lib/base/invariant.ts'
import { adjustPlan, adjustPlanInput } from '#lib/usecases/adjust-plan.ts'
import { confirmItem, confirmItemInput } from '#lib/usecases/confirm-item.ts'
import { moveToInPerson, moveToInPersonInput } from '#lib/usecases/move-to-in-person.ts'
import { sendMissing } from '#lib/usecases/send-missing.ts'
import { refusalWords } from '../referrals/[id]/book/words.ts'
import { type BoardAddress, type Done, readAskedWays } from './address.ts'
import { boardHref } from './board-href.ts'

/** Words for whatever happened while the row was open. */
const GONE = 'This visit is not on the board any more. Reload the page.'
const NOT_YOURS = 'This was sent from another page before. Reload this one.'

const keyOf = (form: FormData, deed: string) => `${String(form.get('commandKey') ?? '')}:${deed}`

/** Back to the row, which says what was done. The address comes from the browser and is put together anew. */
function backTo(address: BoardAddress, visitId: string, did: Done): never {
  return redirectToPart(`${boardHref(address, { open: visitId, act: null, did })}#${encodeURIComponent(visitId)}`)
}

/** Writes down what somebody vouched for on the phone. */
export async function confirmByPhone(
  address: BoardAddress,
  visitId: string,
  previous: FormState,
  form: FormData,
): Promise<FormState> {
  const ctx = await staffContext('readiness.confirm')
  const item = confirmItemInput.shape.item.safeParse(form.get('item'))
  const heardFrom = confirmItemInput.shape.heardFrom.safeParse(form.get('heardFrom') ?? undefined)
  const note = confirmItemInput.shape.note.safeParse(form.get('note') ?? '')
  const errors = [
    ...(item.success ? [] : [{ field: 'item', message: 'Choose what was confirmed' }]),
    ...(heardFrom.success && heardFrom.data ? [] : [{ field: 'heardFrom', message: 'Choose who said so' }]),
    ...(note.success ? [] : [{ field: 'note', message: 'At most 500 letters' }]),
  ]
  if (!item.success || !heardFrom.success || !heardFrom.data || !note.success) return refuse(previous, form, errors)
  const result = await confirmItem(ctx, {
    key: keyOf(form, 'confirm'),
    visitId,
    item: item.data,
    state: 'confirmed',
    heardFrom: heardFrom.data,
    note: note.data,
  })
  if (result.ok) return backTo(address, visitId, 'confirmed')
  const { code } = result.error
  switch (code) {
    case 'visit_not_found':
      return refuse(previous, form, [{ field: 'item', message: GONE }])
    case 'visit_over':
      return refuse(previous, form, [{ field: 'item', message: 'This visit is over; nothing can be confirmed for it' }])
    case 'command_of_someone_else':
      return refuse(previous, form, [{ field: 'item', message: NOT_YOURS }])
    default:
      return unreachable(code)
  }
}

/** Asks the patient once more for what is missing. */
export async function sendAgain(
  address: BoardAddress,
  visitId: string,
  previous: FormState,
  form: FormData,
): Promise<FormState> {
  const ctx = await staffContext('missing.send')
  const result = await sendMissing(ctx, { key: keyOf(form, 'send'), visitId })
  if (result.ok) return backTo(address, visitId, 'sent')
  const { code } = result.error
  const say = (message: string) => refuse(previous, form, [{ field: 'send', message }])
  switch (code) {
    case 'visit_not_found':
      return say(GONE)
    case 'visit_over':
      return say('This visit has begun or is over; nothing is sent for it any more.')
    case 'nothing_missing':
      return say('Nothing that the patient could settle is missing, so nothing was sent.')
    case 'no_address':
      return say('No e-mail address is known. Call instead.')
    case 'stopped':
      return say('An emergency flag is open. Call the patient about that first.')
    case 'command_of_someone_else':
      return say(NOT_YOURS)
    default:
      return unreachable(code)
  }
}

/** Changes which stations are done and how. */
export async function changePlan(
  address: BoardAddress,
  visitId: string,
  previous: FormState,
  form: FormData,
): Promise<FormState> {
  const ctx = await staffContext('plan.adjust')
  const because = adjustPlanInput.shape.because.safeParse(form.get('because'))
  if (!because.success) return refuse(previous, form, [{ field: 'because', message: 'Write down why, in a few words' }])
  const input = adjustPlanInput.safeParse({
    key: keyOf(form, 'plan'),
    visitId,
    assessmentId: form.get('assessmentId'),
    choices: readAskedWays(
      Object.fromEntries([...form].filter(([, value]) => typeof value === 'string')) as Record<string, string>,
    ),
    because: because.data,
  })
  const say = (message: string) => refuse(previous, form, [{ field: 'because', message }])
  if (!input.success) return say('This page is out of date. Choose the stations again.')
  const result = await adjustPlan(ctx, input.data)
  if (result.ok) return backTo(address, visitId, 'planned')
  const { code } = result.error
  switch (code) {
    case 'visit_not_found':
    case 'no_exam':
      return say('This is not a booked visit by video any more. Reload the page.')
    case 'screened_again':
      return say('Answers have changed meanwhile. Look at the stations again before you save.')
    case 'choice_refused':
      return say('One of these stations is not safe or not possible at this home. Look at the stations again.')
    case 'nothing_changed':
      return say('Nothing was changed.')
    case 'nothing_left':
      return say('Nothing would be left to do. Move the visit to in person, or cancel it.')
    case 'command_of_someone_else':
      return say(NOT_YOURS)
    default:
      return unreachable(code)
  }
}

/** Gives the video visit up for one at the clinic. */
export async function moveIn(
  address: BoardAddress,
  timeZone: string,
  visitId: string,
  previous: FormState,
  form: FormData,
): Promise<FormState> {
  const ctx = await staffContext('screening.overrule')
  const because = moveToInPersonInput.shape.because.safeParse(form.get('because'))
  const chosen = form.get('start')
  const start = chosen === 'desk' ? null : readStart(chosen, [], form.get('because'))
  const errors = [
    ...(chosen === 'desk' || start ? [] : [{ field: 'start', message: 'Choose a start, or leave it to the desk' }]),
    ...(because.success ? [] : [{ field: 'because', message: 'Write down why, in at least ten letters' }]),
  ]
  const version = moveToInPersonInput.shape.version.safeParse(form.get('version'))
  if (errors.length > 0 || !because.success || !version.success) return refuse(previous, form, errors)
  const result = await moveToInPerson(ctx, {
    key: keyOf(form, 'in-person'),
    visitId,
    version: version.data,
    because: because.data,
    start,
  })
  if (result.ok) return backTo(address, visitId, result.value.startsAt === null ? 'asked_for_start' : 'moved')
  const { error } = result
  const say = (message: string) => refuse(previous, form, [{ field: 'start', message }])
  switch (error.code) {
    case 'in_person_already':
      return say('It is decided already that this patient comes to the clinic. Choose a start.')
    default:
      return say(refusalWords(error, timeZone))
  }
}
