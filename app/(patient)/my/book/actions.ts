'use server'

import { revalidatePath } from 'next/cache'
import { redirect } from 'next/navigation'
import { currentPatientOrLink, patientContext } from '#app/_server/patient-page.ts'
import { readStart } from '#app/_server/start-value.ts'
import { type FormState, refuse } from '#app/_ui/form-state.ts'
import type { RelaxationKind } from '#lib/domain/calendar/demand.ts'
import { bookVisit } from '#lib/usecases/book-visit.ts'
import { cancelVisit } from '#lib/usecases/cancel-visit.ts'
import { holdStart } from '#lib/usecases/hold-start.ts'
import { moveVisit } from '#lib/usecases/move-visit.ts'
import { releaseHold } from '#lib/usecases/release-hold.ts'
import { wordsFor } from '#lib/words/words.ts'
import { type Refused, refusalWords } from './words.ts'

const keyOf = (form: FormData, deed: string) => `${String(form.get('commandKey') ?? '')}:${deed}`

/** Keeps the chosen time for a few minutes; the same page then asks whether it is right. */
export async function keepTime(
  asked: { released: RelaxationKind[]; timeZone: string },
  previous: FormState,
  form: FormData,
): Promise<FormState> {
  const ctx = await patientContext()
  const start = readStart(form.get('start'), asked.released)
  if (!start) return nothingChosen(previous, form)
  const { referralId } = ctx.actor
  const held = await holdStart(ctx, { key: keyOf(form, 'hold'), referralId, start })
  if (!held.ok) return refused(held.error, asked.timeZone, previous, form)
  // The address says that a time was kept, so that the page can tell when it no longer is.
  redirect('/my/book?kept=1')
}

/** Books the time that is kept. */
export async function bookKept(
  kept: { visitId: string; start: string; timeZone: string },
  previous: FormState,
  form: FormData,
): Promise<FormState> {
  const ctx = await patientContext()
  // What the patient released to find this time, they release for it too.
  const start = readStart(kept.start, ['other_patient_times'])
  if (!start) return nothingChosen(previous, form)
  const { referralId } = ctx.actor
  const booked = await bookVisit(ctx, { key: keyOf(form, 'book'), referralId, heldVisitId: kept.visitId, start })
  // The page that asked is gone with the time it kept: the one with what is free now says what happened.
  if (!booked.ok && booked.error.code === 'hold_gone') redirect('/my/book?kept=1')
  if (!booked.ok) return refused(booked.error, kept.timeZone, previous, form)
  redirect('/my/book?done=booked')
}

/** Gives the kept time back and shows the others. */
export async function letGo(visitId: string): Promise<void> {
  const ctx = await patientContext()
  await releaseHold(ctx, { referralId: ctx.actor.referralId, visitId })
  redirect('/my/book')
}

/** Moves the patient's visit to the chosen time. */
export async function moveMine(
  asked: { visitId: string; version: number; released: RelaxationKind[]; timeZone: string },
  previous: FormState,
  form: FormData,
): Promise<FormState> {
  const ctx = await patientContext()
  const { visitId, version, released, timeZone } = asked
  const start = readStart(form.get('start'), released)
  if (!start) return nothingChosen(previous, form)
  const moved = await moveVisit(ctx, { key: keyOf(form, 'move'), visitId, version, start })
  if (!moved.ok) return refused(moved.error, timeZone, previous, form)
  redirect('/my/book?done=moved')
}

/** Cancels the patient's visit. */
export async function cancelMine(
  visit: { visitId: string; version: number; timeZone: string },
  previous: FormState,
  form: FormData,
): Promise<FormState> {
  const ctx = await patientContext()
  const { visitId, version } = visit
  const because = wordsFor('en')('booking.cancel.reason')
  const cancelled = await cancelVisit(ctx, { key: keyOf(form, 'cancel'), visitId, version, because })
  if (!cancelled.ok) return refused(cancelled.error, visit.timeZone, previous, form)
  redirect('/my/book?done=cancelled')
}

async function nothingChosen(previous: FormState, form: FormData): Promise<FormState> {
  const t = wordsFor((await currentPatientOrLink()).language)
  return refuse(previous, form, [{ field: 'start', message: t('booking.pick.missing') }])
}

/** The same page with what is free now, and what happened in plain words. */
async function refused(error: Refused, timeZone: string, previous: FormState, form: FormData): Promise<FormState> {
  const { language } = await currentPatientOrLink()
  revalidatePath('/my/book')
  return refuse(previous, form, [{ field: 'start', message: refusalWords(error, timeZone, language) }])
}
