'use server'

import { patientContext } from '#app/_server/patient-page.ts'
import { saveRehearsal, saveRehearsalInput } from '#lib/usecases/save-rehearsal.ts'

/** Keeps the numbers of one try. False: not kept, which the page says; nothing depends on it. */
export async function keepReadings(key: string, readings: unknown): Promise<boolean> {
  const ctx = await patientContext()
  const input = saveRehearsalInput.safeParse({ key, readings })
  if (!input.success) return false
  return (await saveRehearsal(ctx, ctx.actor.referralId, input.data)).ok
}
