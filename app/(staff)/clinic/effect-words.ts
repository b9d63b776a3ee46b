/** What a change takes from visits that are booked, in words that cross to the browser with the form's answer. */
import type { FormState } from '#app/_ui/form-state.ts'
import { Temporal } from '#lib/base/time.ts'
import type { Loss } from '#lib/domain/booking/stranded.ts'
import type { Effects } from '#lib/usecases/steps/change-clinic.ts'
import { instantWords } from '#lib/words/time-words.ts'
import { count } from '../referrals/words.ts'

export const LOSS_WORDS: Readonly<Record<Loss, string>> = {
  clinician_gone: 'the clinician no longer works here',
  session_closed: 'the clinician has no session open at this time',
  other_mode: 'the session no longer takes visits of this kind',
  other_place: 'the session is at another site or in another room',
  room_gone: 'the room is no longer used',
  no_licence: 'the clinician holds no licence where the patient will be on that day',
  interpreter_gone: 'the interpreter is not there at this time',
  language_gone: 'nobody in the visit speaks the patient’s language',
}

export type ShownEffects = {
  lines: { visitId: string; href: string | null; when: string; who: string; why: string }[]
  /** What the box below them stands for. */
  marks: string
  held: string | null
  regained: string | null
}

export function showEffects({ stranded, heldCount, regainedCount }: Effects, timeZone: string): ShownEffects {
  return {
    lines: stranded.map(({ visitId, patientName, clinicianName, mode, startsAt, losses }) => ({
      visitId,
      href: patientName === null ? null : `/visits/${visitId}`,
      when: instantWords(Temporal.Instant.from(startsAt), timeZone),
      who: `${patientName ?? 'A patient'}, ${mode === 'video' ? 'by video' : 'in person'} with ${clinicianName}`,
      why: losses.map((loss) => LOSS_WORDS[loss]).join('; '),
    })),
    marks: stranded.map(({ mark }) => mark).join(' '),
    held:
      heldCount === 0
        ? null
        : `${count(heldCount, 'start')} ${heldCount === 1 ? 'is' : 'are'} being held at this moment and can no longer be booked.`,
    regained:
      regainedCount === 0
        ? null
        : `${count(regainedCount, 'visit')} that had lost ${regainedCount === 1 ? 'its' : 'their'} place ${regainedCount === 1 ? 'fits' : 'fit'} again.`,
  }
}

/** The form as it was left, with the visits that have to be looked at before it is saved. */
export function askToConfirm(state: FormState, effects: Effects, timeZone: string): FormState {
  const shown = showEffects(effects, timeZone)
  return {
    ...state,
    values: { ...state.values, effects: JSON.stringify(shown) },
    errors: [{ field: 'confirmed', message: confirmWords(shown.lines.length) }],
  }
}

export function confirmWords(visits: number): string {
  if (visits === 0) return 'The visits concerned have changed meanwhile: none loses its place any more. Save it again'
  return visits === 1
    ? 'One booked visit would lose its place. Look at it, then tick that you have seen it'
    : `${visits} booked visits would lose their place. Look at them, then tick that you have seen them`
}
