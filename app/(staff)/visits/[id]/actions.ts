'use server'

import { redirect } from 'next/navigation'
import { staffContext } from '#app/_server/staff-page.ts'
import { type FormState, refuse } from '#app/_ui/form-state.ts'
import { unreachable } from '#lib/base/invariant.ts'
import { acknowledgeTask, acknowledgeTaskInput } from '#lib/usecases/acknowledge-task.ts'
import { confirmItem, confirmItemInput } from '#lib/usecases/confirm-item.ts'
import { reportHelperLost } from '#lib/usecases/report-helper-lost.ts'
import { noteField } from './note-field.ts'

/** Writes down what was said on the phone about one readiness item. */
export async function noteByPhone(visitId: string, previous: FormState, form: FormData): Promise<FormState> {
  const ctx = await staffContext('readiness.confirm')
  const input = confirmItemInput.safeParse({
    visitId,
    item: form.get('item'),
    state: 'confirmed',
    note: form.get('note') ?? '',
  })
  if (!input.success) return refuse(previous, form, [{ field: 'item', message: 'Choose what was confirmed' }])
  const result = await confirmItem(ctx, input.data)
  if (!result.ok) {
    switch (result.error.code) {
      case 'visit_not_found':
        return redirect('/board')
      case 'visit_over':
        return refuse(previous, form, [
          { field: 'item', message: 'This visit is over or cancelled; nothing can be confirmed for it' },
        ])
      case 'command_of_someone_else':
        // Without a key nothing is repeated.
        return redirect(`/visits/${visitId}`)
      default:
        return unreachable(result.error)
    }
  }
  redirect(`/visits/${visitId}?done=confirmed`)
}

/** The patient phoned: nobody will be there to help. */
export async function noteHelperLost(
  visitId: string,
  referralId: string,
  _previous: FormState,
  _form: FormData,
): Promise<FormState> {
  const ctx = await staffContext('change.report')
  const result = await reportHelperLost(ctx, { referralId })
  redirect(result.ok ? `/visits/${visitId}?done=no_helper` : '/board')
}

/** Ends a task with what was decided. */
export async function settleTask(
  visitId: string,
  taskId: string,
  previous: FormState,
  form: FormData,
): Promise<FormState> {
  const ctx = await staffContext('task.acknowledge')
  const input = acknowledgeTaskInput.safeParse({ taskId, note: form.get(noteField(taskId)) })
  if (!input.success)
    return refuse(previous, form, [{ field: noteField(taskId), message: 'Write down what was said or decided' }])
  await acknowledgeTask(ctx, input.data)
  redirect(`/visits/${visitId}?done=task`)
}
