import type { Metadata } from 'next'
import { signedInStaff } from '#app/_server/staff-page.ts'
import { PlainPage } from '#app/_ui/plain-page.tsx'

export const metadata: Metadata = { title: 'Not part of your role' }

export default async function NotAllowedPage() {
  const { actor } = await signedInStaff()
  return (
    <PlainPage heading="This is not part of your role">
      <p>
        You are signed in as {actor.role}. If you need this for your work, ask the person who keeps the accounts at your
        clinic. Nothing was changed.
      </p>
    </PlainPage>
  )
}
