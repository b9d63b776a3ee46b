'use server'

import { redirect } from 'next/navigation'
import { signedInStaff, staffContext } from '#app/_server/staff-page.ts'
import { type FormState, refuse } from '#app/_ui/form-state.ts'
import { type SaveSessionError, type SaveSessionInput, saveSession } from '#lib/usecases/save-session.ts'
import { longDate, sessionWords } from '#lib/words/session-words.ts'
import { asLineStart } from '../../referrals/words.ts'
import { answerShared } from '../answer.ts'
import { confirmWords, showEffects } from '../effect-words.ts'
import { marksIn, textIn, versionIn } from '../read-form.ts'
import { readOwner, readRawSession, sayFaults, sayMeeting } from '../session-form.ts'
import { dateLines } from './date-lines.ts'
import type { ShownLook } from './session-preview.tsx'

/** Shows what the session means, and saves it once exactly that was seen. */
export async function keepSession(sessionId: string | null, previous: FormState, form: FormData): Promise<FormState> {
  const ctx = await staffContext('session.write')
  const { timeZone } = (await signedInStaff()).clinic
  const today = ctx.now().toZonedDateTimeISO(timeZone).toPlainDate().toString()
  const input: SaveSessionInput = {
    key: textIn(form, 'commandKey'),
    sessionId,
    version: versionIn(form),
    owner: readOwner(form),
    raw: readRawSession(form),
    isDryRun: true,
    confirmed: marksIn(form),
  }
  const looked = await saveSession(ctx, input)
  // A repeated command is answered by what was saved the first time.
  if (looked.ok) return redirect(`/clinic/sessions/${looked.value.sessionId}?done=saved`)
  if (looked.error.code !== 'looked_at') return answer(previous, form, looked.error, { timeZone, today })

  const look = shown(looked.error, { timeZone, today })
  if (textIn(form, 'deed') !== 'save') return withLook(refuse(previous, form, []), look)
  if (textIn(form, 'seen') !== look.seen)
    return withLook(
      refuse(previous, form, [
        { field: 'look', message: 'Something has changed since you looked. Look at it again, then save it' },
      ]),
      look,
    )
  const saved = await saveSession(ctx, { ...input, isDryRun: false })
  if (!saved.ok) return answer(previous, form, saved.error, { timeZone, today })
  return redirect(`/clinic/sessions/${saved.value.sessionId}?done=saved`)
}

/** What the words of an answer are said in: the clinic's zone, and its day (yyyy-mm-dd). */
type Clinic = { timeZone: string; today: string }

function answer(previous: FormState, form: FormData, error: SaveSessionError, clinic: Clinic): FormState {
  switch (error.code) {
    case 'faults':
      return refuse(previous, form, sayFaults(error.faults))
    case 'overlaps':
      return refuse(previous, form, [sayMeeting(error, 'opensAt')])
    case 'looked_at':
    case 'not_confirmed':
      return withLook(
        refuse(previous, form, [{ field: 'confirmed', message: confirmWords(error.effects.stranded.length) }]),
        shown(error, clinic),
      )
    default:
      return answerShared(previous, form, error, { field: 'opensAt', timeZone: clinic.timeZone })
  }
}

function withLook(state: FormState, look: ShownLook): FormState {
  return { ...state, values: { ...state.values, look: JSON.stringify(look) } }
}

function shown(
  { look, effects }: Extract<SaveSessionError, { code: 'looked_at' | 'not_confirmed' }>,
  { timeZone, today }: Clinic,
): ShownLook {
  const { session, siteName, roomName, dates, strays } = look
  const effectsShown = showEffects(effects, timeZone)
  return {
    summary: `${asLineStart(sessionWords(session, { site: siteName, room: roomName }, today))}.`,
    dates: dateLines(dates),
    strays: strays.map(longDate),
    effects: effectsShown,
    // A new session has another id each time it is looked at.
    seen: JSON.stringify([{ ...session, id: null }, effectsShown.marks]),
  }
}
