'use server'

import { redirect } from 'next/navigation'
import { forgetSession } from '#app/_server/auth.ts'
import { contextOf } from '#app/_server/runtime.ts'
import { currentStaff } from '#app/_server/staff-page.ts'
import { endSession } from '#lib/usecases/end-session.ts'

/** Ends the session everywhere and forgets the cookie. */
export async function signOut(): Promise<void> {
  const session = await currentStaff()
  if (session) await endSession(contextOf(session.actor), { sessionId: session.sessionId })
  await forgetSession()
  redirect('/sign-in?signed-out')
}
