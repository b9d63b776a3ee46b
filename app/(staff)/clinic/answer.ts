/** What a form of the clinic answers when it could not be saved for a reason that every such form shares. */
import { notFound, redirect } from 'next/navigation'
import { type FormState, refuse } from '#app/_ui/form-state.ts'
import type { NotSavedYet } from '#lib/usecases/steps/change-clinic.ts'
import { askToConfirm } from './effect-words.ts'

type Shared =
  | NotSavedYet
  | { code: 'not_allowed' }
  | { code: 'not_found' }
  | { code: 'changed_meanwhile' }
  | { code: 'command_of_someone_else' }

/** `field`: where the message stands that has no field of its own. */
export function answerShared(
  previous: FormState,
  form: FormData,
  error: Shared,
  { field, timeZone }: { field: string; timeZone: string },
): FormState {
  switch (error.code) {
    case 'not_allowed':
      return redirect('/not-allowed')
    case 'not_found':
      return notFound()
    case 'changed_meanwhile':
      return refuse(previous, form, [
        {
          field,
          message:
            'Somebody else has changed this since you opened it. Open the page again to see what they wrote, then make your change',
        },
      ])
    case 'command_of_someone_else':
      return refuse(previous, form, [{ field, message: 'This form was sent already. Open the page again' }])
    case 'looked_at':
    case 'not_confirmed':
      return askToConfirm(refuse(previous, form, []), error.effects, timeZone)
  }
}
