'use server'

import { notFound, redirect } from 'next/navigation'
import { callerAddress } from '#app/_server/caller-address.ts'
import { rememberPatient } from '#app/_server/patient-page.ts'
import { clinicContext, unsignedContext } from '#app/_server/runtime.ts'
import { type FormState, refuse } from '#app/_ui/form-state.ts'
import { readDate } from '#app/_ui/read-date.ts'
import { openLink } from '#lib/usecases/open-link.ts'
import { readLink } from '#lib/usecases/read-link.ts'
import { wordsFor } from '#lib/words/words.ts'

/** Lets the patient in with the right date of birth, and leaves the secret address for a clean one. */
export async function openMyPage(
  clinicSlug: string,
  token: string,
  previous: FormState,
  form: FormData,
): Promise<FormState> {
  const link = await readLink(unsignedContext(), { clinicSlug, token })
  if (!link) notFound()
  const t = wordsFor(link.language)
  const wrong = (message: string) => refuse(previous, form, [{ field: 'birthDate', message }])

  const date = readDate(form, 'birthDate')
  if (!date.ok) return wrong(t(date.error.code === 'missing' ? 'home.open.missing' : 'home.open.notADate'))
  const ctx = clinicContext(link.clinicId)
  const opened = await openLink(ctx, { token, birthDate: date.value.toString(), from: await callerAddress() })
  if (!opened.ok) {
    switch (opened.error.code) {
      case 'birth_date_wrong':
        return wrong(t('home.open.wrong', { triesLeft: opened.error.triesLeft }))
      case 'too_many_tries':
        return wrong(t('home.open.tooMany'))
      case 'link_unknown':
      case 'link_locked':
        // The page itself says so.
        return redirect(`/go/${clinicSlug}/${token}`)
    }
  }
  await rememberPatient({
    clinicId: link.clinicId,
    sessionToken: opened.value.sessionToken,
    language: link.language,
  })
  redirect('/my')
}
