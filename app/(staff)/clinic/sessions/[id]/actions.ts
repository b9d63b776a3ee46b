'use server'

import { redirect } from 'next/navigation'
import { type StaffCtx, signedInStaff, staffContext } from '#app/_server/staff-page.ts'
import { type FormError, type FormState, refuse } from '#app/_ui/form-state.ts'
import { changeSessionDate, type ExceptionFault, type RawException } from '#lib/usecases/change-session-date.ts'
import { steerSession, steerSessionInput } from '#lib/usecases/steer-session.ts'
import { answerShared } from '../../answer.ts'
import { dateIn, marksIn, textIn, versionIn } from '../../read-form.ts'
import { sayMeeting } from '../../session-form.ts'

/** Pauses a session or lets it go on. */
export async function pauseOrResume(
  sessionId: string,
  kind: 'pause' | 'resume',
  previous: FormState,
  form: FormData,
): Promise<FormState> {
  const ctx = await staffContext('session.write')
  return steer(ctx, sessionId, { kind }, kind, previous, form)
}

/** Ends a session with its last date. */
export async function endIt(sessionId: string, previous: FormState, form: FormData): Promise<FormState> {
  const ctx = await staffContext('session.write')
  return steer(ctx, sessionId, { kind: 'end', lastOn: dateIn(form, 'lastOn') }, 'lastOn', previous, form)
}

async function steer(
  ctx: StaffCtx,
  sessionId: string,
  deed: { kind: string; lastOn?: string },
  field: string,
  previous: FormState,
  form: FormData,
): Promise<FormState> {
  const { timeZone } = (await signedInStaff()).clinic
  const input = steerSessionInput.safeParse({
    key: textIn(form, 'commandKey'),
    sessionId,
    version: versionIn(form),
    deed,
    isDryRun: false,
    confirmed: marksIn(form),
  })
  const say = (message: string) => refuse(previous, form, [{ field, message }])
  if (!input.success) return say('Enter the last date on which it opens')
  const result = await steerSession(ctx, input.data)
  if (result.ok) return redirect(`/clinic/sessions/${sessionId}?done=${deed.kind}`)
  switch (result.error.code) {
    case 'overlaps':
      return refuse(previous, form, [sayMeeting(result.error, field)])
    case 'not_possible_now':
      return say('This session stands otherwise than this page shows. Open the page again')
    case 'last_date_is_past':
      return say('This date is past. Enter yesterday to end it at once, or a later date')
    default:
      return answerShared(previous, form, result.error, { field, timeZone })
  }
}

/** Closes, moves or shortens one date. */
export async function changeDate(sessionId: string, previous: FormState, form: FormData): Promise<FormState> {
  const ctx = await staffContext('session.write')
  const kind = textIn(form, 'kind')
  return writeDate(
    ctx,
    sessionId,
    {
      onDate: textIn(form, 'onDate'),
      kind: (['closed', 'moved', 'shortened'] as const).find((each) => each === kind) ?? '',
      toDate: dateIn(form, 'toDate'),
      opensAt: textIn(form, 'opensAt'),
      closesAt: textIn(form, 'closesAt'),
    },
    'onDate',
    previous,
    form,
  )
}

/** Lets one date follow the rule again. */
export async function followRule(
  sessionId: string,
  onDate: string,
  previous: FormState,
  form: FormData,
): Promise<FormState> {
  const ctx = await staffContext('session.write')
  const raw: RawException = { onDate, kind: null, toDate: '', opensAt: '', closesAt: '' }
  return writeDate(ctx, sessionId, raw, `rule-${onDate}`, previous, form)
}

async function writeDate(
  ctx: StaffCtx,
  sessionId: string,
  raw: RawException,
  field: string,
  previous: FormState,
  form: FormData,
): Promise<FormState> {
  const { timeZone } = (await signedInStaff()).clinic
  const result = await changeSessionDate(ctx, {
    key: textIn(form, 'commandKey'),
    sessionId,
    version: versionIn(form) ?? 0,
    raw,
    isDryRun: false,
    confirmed: marksIn(form),
  })
  if (result.ok) return redirect(`/clinic/sessions/${sessionId}?done=date`)
  switch (result.error.code) {
    case 'faults':
      return refuse(
        previous,
        form,
        result.error.faults.map(
          (fault): FormError => ({
            field: raw.kind === null ? field : fault.field,
            message: faultWords(fault),
          }),
        ),
      )
    case 'overlaps':
      return refuse(previous, form, [sayMeeting(result.error, raw.kind === null ? field : 'opensAt')])
    default:
      return answerShared(previous, form, result.error, { field, timeZone })
  }
}

function faultWords({ field, code }: ExceptionFault): string {
  switch (code) {
    case 'required':
      return {
        onDate: 'Choose the date',
        kind: 'Choose what happens on that date',
        toDate: 'Enter the date to which it moves',
        opensAt: 'Enter when it opens',
        closesAt: 'Enter when it closes',
      }[field]
    case 'not_a_date':
      return 'Enter a day, a month and a year that make a date'
    case 'not_a_time':
      return 'Enter a time on the clock, like 09:00 or 1:30 pm'
    case 'before_opens':
      return 'It closes before it opens. Enter a later time'
    case 'not_in_rule':
      return 'The session does not open on this date'
    case 'past':
      return 'This date is past'
    case 'longer_than_rule':
      return 'That is longer than the session is. Move the date instead, or change the session'
  }
}
