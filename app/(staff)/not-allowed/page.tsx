import type { Metadata } from 'next'
import { signedInStaff } from '#app/_server/staff-page.ts'

export const metadata: Metadata = { title: 'Not part of your role' }

export default async function NotAllowedPage() {
  const { actor } = await signedInStaff()
  return (
    <>
      <h1>This is not part of your role</h1>
      <p>
        You are signed in as {actor.role}. If you need this for your work, ask the person who keeps the accounts at your
        clinic. Nothing was changed.
      </p>
    </>
  )
}
