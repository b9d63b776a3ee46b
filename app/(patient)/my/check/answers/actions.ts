'use server'

import { redirect } from 'next/navigation'
import type { FormState } from '#app/_ui/form-state.ts'
import { finishHomeCheck } from '#lib/usecases/finish-home-check.ts'
import { openCheck } from '../open-check.ts'

/** Sends the answers: the clinic decides from them at once. What is still open is asked first. */
export async function sendAnswers(_previous: FormState, _form: FormData): Promise<FormState> {
  const { ctx, referralId } = await openCheck()
  const finished = await finishHomeCheck(ctx, { referralId })
  if (!finished.ok) {
    switch (finished.error.code) {
      case 'still_open':
        return redirect(`/my/check/${finished.error.step}?from=answers`)
      case 'stopped':
        return redirect('/my/stop')
      case 'referral_not_found':
      case 'not_triaged':
      case 'check_closed':
        return redirect('/my')
    }
  }
  redirect('/my/check/done')
}
