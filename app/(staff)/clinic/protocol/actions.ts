'use server'

import { notFound, redirect } from 'next/navigation'
import { staffContext } from '#app/_server/staff-page.ts'
import { type FormState, refuse } from '#app/_ui/form-state.ts'
import { startDraft } from '#lib/usecases/start-draft.ts'
import { addressOf } from './words.ts'

/** Makes a draft of the next version, and opens it. */
export async function beginDraft(id: string, previous: FormState, form: FormData): Promise<FormState> {
  const ctx = await staffContext('protocol.write')
  const result = await startDraft(ctx, { id })
  if (result.ok) return redirect(addressOf({ id, version: result.value.version }))
  switch (result.error.code) {
    case 'not_allowed':
      return redirect('/not-allowed')
    case 'not_found':
      return notFound()
    case 'draft_there':
      return refuse(previous, form, [
        { field: 'begin', message: 'There is a draft already, perhaps a colleague’s. Open the page again to see it' },
      ])
  }
}
