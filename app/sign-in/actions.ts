'use server'

import { redirect } from 'next/navigation'
import { signInWithPassphrase } from '#app/_server/auth.ts'
import { callerAddress } from '#app/_server/caller-address.ts'
import { unsignedContext } from '#app/_server/runtime.ts'
import { type FormError, type FormState, refuse } from '#app/_ui/form-state.ts'
import { readClinics } from '#lib/usecases/read-clinics.ts'
import { refusalWords } from './refusal-words.ts'

export async function signIn(previous: FormState, form: FormData): Promise<FormState> {
  const clinics = await readClinics(unsignedContext())
  const chosen = clinics.length === 1 ? clinics[0]?.id : clinics.find(({ id }) => id === form.get('clinicId'))?.id
  const email = String(form.get('email') ?? '').trim()
  const passphrase = String(form.get('passphrase') ?? '')

  const missing: FormError[] = []
  if (chosen === undefined) missing.push({ field: 'clinicId', message: 'Choose your clinic' })
  if (email === '') missing.push({ field: 'email', message: 'Enter your e-mail' })
  if (passphrase === '') missing.push({ field: 'passphrase', message: 'Enter your passphrase' })
  if (missing.length > 0) return refuse(previous, form, missing)

  const refusal = await signInWithPassphrase({ clinicId: chosen ?? '', email, passphrase, from: await callerAddress() })
  if (refusal) return refuse(previous, form, [{ field: 'email', message: refusalWords(refusal) }])
  redirect('/')
}
