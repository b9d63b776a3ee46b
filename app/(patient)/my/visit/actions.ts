'use server'

import { redirect } from 'next/navigation'
import { patientContext } from '#app/_server/patient-page.ts'
import { confirmItem, confirmItemInput } from '#lib/usecases/confirm-item.ts'

/** "I have these things", "My helper will be there". A visit that has gone meanwhile shows on the page it returns to. */
export async function confirm(visitId: string, item: string): Promise<void> {
  const ctx = await patientContext()
  const input = confirmItemInput.safeParse({ visitId, item, state: 'confirmed' })
  if (input.success) await confirmItem(ctx, input.data)
  redirect('/my/visit?saved=1')
}
