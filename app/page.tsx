/** The bare address: it leads everybody to where their work or their visit is. */
import { redirect } from 'next/navigation'
import { currentPatient } from '#app/_server/patient-page.ts'
import { firstPageOf } from '#app/_server/staff-nav.ts'
import { currentStaff } from '#app/_server/staff-page.ts'

export default async function HomePage() {
  const staff = await currentStaff()
  if (staff) redirect(firstPageOf(staff.actor))
  redirect((await currentPatient()) ? '/my' : '/sign-in')
}
