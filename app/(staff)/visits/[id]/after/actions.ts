'use server'

import { refresh } from 'next/cache'
import { redirect } from 'next/navigation'
import { redirectToPart } from '#app/_server/redirect-to-part.ts'
import { staffContext } from '#app/_server/staff-page.ts'
import { EMPTY_FORM, type FormState, refuse } from '#app/_ui/form-state.ts'
import { readDate } from '#app/_ui/read-date.ts'
import { addAddendum, addAddendumInput } from '#lib/usecases/add-addendum.ts'
import { recordNoShow, recordNoShowInput } from '#lib/usecases/record-no-show.ts'
import { signVisit, signVisitInput } from '#lib/usecases/sign-visit.ts'

const REFUSED = {
  not_open: 'This visit is not open any more',
  too_early: 'It is too early to say this of the visit',
  signed: 'The record is signed already',
  not_signed: 'The record is not signed yet: write in it itself',
  has_begun: 'Something was recorded of this visit, so somebody came: sign it instead',
  changed_meanwhile: 'Something was written since this page was opened. Read it below, then sign',
  command_of_someone_else: 'Load the page again and do it once more',
} as const

/** Locks the record and arranges how it goes on. */
export async function sign(visitId: string, revision: number, previous: FormState, form: FormData): Promise<FormState> {
  const ctx = await staffContext('outcome.write')
  const seeBy = readDate(form, 'seeByOn')
  const input = signVisitInput.safeParse({
    key: form.get('commandKey'),
    visitId,
    revision,
    outcome: form.get('outcome') ?? '',
    note: form.get('note') ?? '',
    isRestNotDone: form.get('rest') === 'no_time',
    followUp: {
      kind: form.get('followUp') ?? '',
      stations: form.getAll('stations'),
      seeByOn: seeBy.ok ? (seeBy.value?.toString() ?? null) : null,
      because: form.get('because') ?? '',
    },
  })
  if (!input.success) {
    const fields = new Set(
      input.error.issues.map(({ path }) => String(path.at(-1) === 'kind' ? 'followUp' : path.at(-1))),
    )
    const words: Record<string, string> = { outcome: 'Say how the visit ended', followUp: 'Say how it goes on' }
    return refuse(
      previous,
      form,
      [...fields].map((field) => ({ field, message: words[field] ?? 'Check this' })),
    )
  }
  const result = await signVisit(ctx, input.data)
  if (result.ok) redirectToPart(`/visits/${visitId}/after#signed`)
  switch (result.error.code) {
    case 'visit_not_found':
      return redirect('/board')
    case 'refused':
      return refuse(previous, form, result.error.faults)
    default:
      return refuse(previous, form, [{ field: 'outcome', message: REFUSED[result.error.code] }])
  }
}

/** Nobody came. */
export async function noteNoShow(visitId: string, previous: FormState, form: FormData): Promise<FormState> {
  const ctx = await staffContext('no_show.write')
  const input = recordNoShowInput.safeParse({ key: form.get('commandKey'), visitId, note: form.get('tried') ?? '' })
  if (!input.success)
    return refuse(previous, form, [{ field: 'tried', message: 'Write down what was tried to reach them' }])
  const result = await recordNoShow(ctx, input.data)
  if (result.ok) redirect(`/visits/${visitId}/after`)
  if (result.error.code === 'visit_not_found') redirect('/board')
  return refuse(previous, form, [{ field: 'tried', message: REFUSED[result.error.code] }])
}

/** Adds to a signed record. */
export async function addToRecord(visitId: string, previous: FormState, form: FormData): Promise<FormState> {
  const ctx = await staffContext('outcome.write')
  const input = addAddendumInput.safeParse({ key: form.get('commandKey'), visitId, text: form.get('addendum') ?? '' })
  if (!input.success) return refuse(previous, form, [{ field: 'addendum', message: 'Write down what is to be added' }])
  const result = await addAddendum(ctx, input.data)
  if (result.ok) {
    // No redirect: it would make the form anew, and take the focus with it.
    refresh()
    return { ...EMPTY_FORM, attempt: previous.attempt }
  }
  if (result.error.code === 'visit_not_found') redirect('/board')
  return refuse(previous, form, [{ field: 'addendum', message: REFUSED[result.error.code] }])
}
