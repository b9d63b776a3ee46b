/**
 * The frame of every staff page: where one can go, who is signed in, the way out, and the warning before idle time runs
 * out. It guards nothing by itself: each page and action asks for its own context.
 */
import type { ReactNode } from 'react'
import { waysOf } from '#app/_server/staff-nav.ts'
import { signedInStaff } from '#app/_server/staff-page.ts'
import { Arrival } from '#app/_ui/arrival.tsx'
import { SkipLink } from '#app/_ui/way-links.tsx'
import { Wordmark } from '#app/_ui/wordmark.tsx'
import { WARN_BEFORE_MIN } from '#lib/domain/access/session-limits.ts'
import { IdleWarning } from './idle-warning.tsx'
import { signOut } from './session-actions.ts'
import { SignOutButton } from './sign-out-button.tsx'
import styles from './staff.module.css'
import { StaffNav } from './staff-nav.tsx'

export default async function StaffLayout({ children }: { children: ReactNode }) {
  const { actor, name, clinic, leftMs } = await signedInStaff()
  return (
    <div className={styles.book}>
      <SkipLink />
      <header className={styles.head}>
        <div className={styles.line}>
          <span className={styles.brand}>
            <Wordmark />
            <span className={styles.clinic}>{clinic.name}</span>
          </span>
          <StaffNav ways={waysOf(actor)} />
          <form action={signOut} className={styles.who}>
            <span>
              {name}, {actor.role}
            </span>
            <SignOutButton className={styles.out} />
          </form>
        </div>
      </header>
      <main id="main" tabIndex={-1} className={styles.main}>
        {children}
      </main>
      <Arrival />
      <IdleWarning leftMs={leftMs} warnBeforeMin={WARN_BEFORE_MIN} />
    </div>
  )
}
