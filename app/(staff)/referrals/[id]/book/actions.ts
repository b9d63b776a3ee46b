'use server'

import { revalidatePath } from 'next/cache'
import { redirect } from 'next/navigation'
import { redirectToPart } from '#app/_server/redirect-to-part.ts'
import { staffContext } from '#app/_server/staff-page.ts'
import { readStart } from '#app/_server/start-value.ts'
import { type FormState, refuse } from '#app/_ui/form-state.ts'
import type { RelaxationKind } from '#lib/domain/calendar/demand.ts'
import { bookVisit } from '#lib/usecases/book-visit.ts'
import { cancelVisit, cancelVisitInput } from '#lib/usecases/cancel-visit.ts'
import { holdStart } from '#lib/usecases/hold-start.ts'
import { moveVisit } from '#lib/usecases/move-visit.ts'
import { releaseHold } from '#lib/usecases/release-hold.ts'
import { becauseField, refusalWords } from './words.ts'

/** What the page has bound: every argument still comes from the browser and is checked again by the use case. */
export type Asked = {
  referralId: string
  released: RelaxationKind[]
  timeZone: string
  /** The form's own name for its start: several forms share the page. */
  field: 'start' | 'look'
  /** The search that stands in the address, so that the page comes back as it was. */
  search: string
}

const NOTHING_CHOSEN = 'Choose a start'
const keyOf = (form: FormData, deed: string) => `${String(form.get('commandKey') ?? '')}:${deed}`

/** Books the chosen start, or holds it, by the button that was pressed. */
export async function takeStart(asked: Asked, previous: FormState, form: FormData): Promise<FormState> {
  const ctx = await staffContext('visit.book')
  const { referralId, released, timeZone, field } = asked
  const start = readStart(form.get(field), released, form.get('because'))
  if (!start) return refuse(previous, form, [{ field, message: NOTHING_CHOSEN }])

  if (form.get('deed') === 'hold') {
    const held = await holdStart(ctx, { key: keyOf(form, 'hold'), referralId, start })
    if (!held.ok) return lost(asked, previous, form, refusalWords(held.error, timeZone), fieldOf(held.error, field))
    redirectToPart(`${pageOf(referralId)}${asked.search}#held`)
  }
  const booked = await bookVisit(ctx, { key: keyOf(form, 'book'), referralId, heldVisitId: null, start })
  if (!booked.ok) return lost(asked, previous, form, refusalWords(booked.error, timeZone), fieldOf(booked.error, field))
  redirect(`${pageOf(referralId)}?done=booked`)
}

/** Books what is held. */
export async function bookHeld(
  asked: Asked,
  heldVisitId: string,
  startText: string,
  previous: FormState,
  form: FormData,
): Promise<FormState> {
  const ctx = await staffContext('visit.book')
  const { referralId, released, timeZone } = asked
  const start = readStart(startText, released)
  if (!start) return refuse(previous, form, [{ field: 'held', message: NOTHING_CHOSEN }])
  const booked = await bookVisit(ctx, { key: keyOf(form, 'book-held'), referralId, heldVisitId, start })
  if (!booked.ok) return lost(asked, previous, form, refusalWords(booked.error, timeZone), 'held')
  redirect(`${pageOf(referralId)}?done=booked`)
}

/** Gives a held start back. Whether it had run out meanwhile makes no difference. */
export async function letGo({ referralId, search }: Asked, visitId: string): Promise<void> {
  const ctx = await staffContext('visit.book')
  await releaseHold(ctx, { referralId, visitId })
  redirect(`${pageOf(referralId)}${search === '' ? '?' : `${search}&`}done=let_go`)
}

/** Moves the booked visit to the chosen start. */
export async function moveBooked(
  asked: Asked,
  visit: { visitId: string; version: number },
  previous: FormState,
  form: FormData,
): Promise<FormState> {
  const ctx = await staffContext('visit.move')
  const start = readStart(form.get('start'), asked.released, form.get('because'))
  if (!start) return refuse(previous, form, [{ field: 'start', message: NOTHING_CHOSEN }])
  const moved = await moveVisit(ctx, { ...visit, key: keyOf(form, 'move'), start })
  if (!moved.ok)
    return lost(asked, previous, form, refusalWords(moved.error, asked.timeZone), fieldOf(moved.error, 'start'))
  redirect(`${pageOf(asked.referralId)}?done=moved`)
}

/** Cancels a booked visit, with the reason that goes on file. */
export async function cancelBooked(
  asked: Asked,
  visit: { visitId: string; version: number },
  previous: FormState,
  form: FormData,
): Promise<FormState> {
  const ctx = await staffContext('visit.cancel')
  const field = becauseField(visit.visitId)
  const input = cancelVisitInput.safeParse({ ...visit, key: keyOf(form, 'cancel'), because: form.get(field) })
  if (!input.success) return refuse(previous, form, [{ field, message: 'Write down why it is cancelled' }])
  const cancelled = await cancelVisit(ctx, input.data)
  if (!cancelled.ok) return lost(asked, previous, form, refusalWords(cancelled.error, asked.timeZone), field)
  redirect(`${pageOf(asked.referralId)}?done=cancelled`)
}

/** A reason that is missing is written where it is asked for; everything else is said at the start itself. */
function fieldOf(error: { code: string }, field: Asked['field']): string {
  return error.code === 'reason_needed' ? 'because' : field
}

/** The same page with what is free now, and why the deed was refused. */
function lost(
  asked: Asked,
  previous: FormState,
  form: FormData,
  message: string,
  field: string = asked.field,
): FormState {
  revalidatePath(pageOf(asked.referralId))
  return refuse(previous, form, [{ field, message }])
}

function pageOf(referralId: string): string {
  return `/referrals/${encodeURIComponent(referralId)}/book`
}
