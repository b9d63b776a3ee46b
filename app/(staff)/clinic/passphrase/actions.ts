'use server'

import { redirect } from 'next/navigation'
import { forgetSession } from '#app/_server/auth.ts'
import { staffContext } from '#app/_server/staff-page.ts'
import { type FormState, refuse } from '#app/_ui/form-state.ts'
import { type ChangePassphraseError, changePassphrase } from '#lib/usecases/change-passphrase.ts'
import { passphraseFaultWords } from '../passphrase-words.ts'

/** Changes the passphrase of whoever is signed in, and leads to the sign-in. */
export async function renewPassphrase(previous: FormState, form: FormData): Promise<FormState> {
  const ctx = await staffContext('passphrase.write')
  // As typed: a blank may belong to it.
  const typed = (name: string) => String(form.get(name) ?? '')
  const [current, next, repeated] = [typed('currentPassphrase'), typed('newPassphrase'), typed('repeatedPassphrase')]
  const changed = await changePassphrase(ctx, { current, next, repeated })
  if (!changed.ok) return refuse(previous, form, [problemOf(changed.error)])
  await forgetSession()
  redirect('/sign-in?new-passphrase')
}

function problemOf(error: ChangePassphraseError): { field: string; message: string } {
  switch (error.code) {
    case 'not_allowed':
      return redirect('/not-allowed')
    case 'has_none':
      return {
        field: 'currentPassphrase',
        message: 'You sign in through your organisation and have no passphrase here. An administrator can give you one',
      }
    case 'weak':
      return { field: 'newPassphrase', message: passphraseFaultWords(error.fault) }
    case 'not_the_same':
      return { field: 'repeatedPassphrase', message: 'This differs from the new one. Type both again' }
    case 'wrong_current':
      return { field: 'currentPassphrase', message: 'This is not the passphrase you have' }
    case 'too_many_tries':
      return { field: 'currentPassphrase', message: 'Too many tries. Wait a quarter of an hour, then try again' }
  }
}
