'use server'

import { revalidatePath } from 'next/cache'
import { redirect } from 'next/navigation'
import { staffContext } from '#app/_server/staff-page.ts'
import { readStart } from '#app/_server/start-value.ts'
import { type FormState, refuse } from '#app/_ui/form-state.ts'
import type { LostTime } from '#lib/domain/replacement/lost-time.ts'
import { becauseInput, replaceVisits } from '#lib/usecases/replace-visits.ts'
import { refusalWords } from './words.ts'

/** What the page showed: every argument still comes from the browser and is checked again by the use case. */
export type Approved = {
  sessionId: string
  version: number
  lost: LostTime
  visits: { visitId: string; version: number; start: string | null }[]
}

/** Closes the lost time and moves what was approved. */
export async function approve(approved: Approved, previous: FormState, form: FormData): Promise<FormState> {
  const ctx = await staffContext('session.lose')
  const page = `/clinic/sessions/${encodeURIComponent(approved.sessionId)}/lost`
  const key = `${String(form.get('commandKey') ?? '')}:replace`
  const because = becauseInput.safeParse(form.get('because'))
  if (!because.success)
    return refuse(previous, form, [{ field: 'because', message: 'Write down why the time is lost' }])
  const visits = approved.visits.map(({ start, ...visit }) => ({
    ...visit,
    start: start === null ? null : readStart(start, []),
  }))
  const done = await replaceVisits(ctx, { ...approved, key, because: because.data, visits })
  if (!done.ok) {
    revalidatePath(page)
    return refuse(previous, form, [{ field: 'because', message: refusalWords(done.error) }])
  }
  redirect(`${page}?done=${done.value.moved}.${done.value.byPhone}`)
}
