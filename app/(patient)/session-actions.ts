'use server'

import { redirect } from 'next/navigation'
import { forgetPatient } from '#app/_server/patient-page.ts'

/** Ends the session of this device. What was answered stays, and the link opens it again. */
export async function closeMyPage(): Promise<void> {
  await forgetPatient()
  redirect('/link-needed')
}
