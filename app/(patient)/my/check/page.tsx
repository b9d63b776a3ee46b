import { redirect } from 'next/navigation'
import { openCheck } from './open-check.ts'
import { onwards } from './way.ts'

/** Goes on where the home check was left. */
export default async function CheckPage() {
  const { view } = await openCheck()
  redirect(onwards(view.next, null))
}
