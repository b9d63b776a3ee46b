/** The clinic itself: when people work, who and where they are, and what of it can be changed. */
import type { Metadata } from 'next'
import Link from 'next/link'
import { clinicWaysOf } from '#app/_server/staff-nav.ts'
import { signedInStaff, staffContext } from '#app/_server/staff-page.ts'
import { Opener } from '#app/_ui/opener.tsx'
import { RuledItem, RuledList } from '#app/_ui/ruled.tsx'
import styles from './clinic.module.css'

export const metadata: Metadata = { title: 'Clinic' }

export default async function ClinicPage() {
  const { actor } = await staffContext('session.write')
  const { clinic } = await signedInStaff()
  return (
    <>
      <Opener kicker={clinic.name}>
        {actor.role === 'clinician'
          ? 'When you work, and what follows from it.'
          : 'When the clinic works, who works here, and where.'}
      </Opener>
      <RuledList label="Ways">
        {clinicWaysOf(actor).map(({ href, words, what }) => (
          <RuledItem key={href}>
            <p>
              <Link href={href} className={styles.way}>
                {words}
              </Link>
            </p>
            <p className={styles.soft}>{what}</p>
          </RuledItem>
        ))}
      </RuledList>
    </>
  )
}
