/** A page that explains why there is nothing to do here: no codes, what happened, what to do next, whom to call. */
import type { ReactNode } from 'react'
import styles from './plain-page.module.css'

/** The whole sheet, for pages outside the staff and patient frames. */
export function PlainSheet({ heading, children }: { heading: string; children: ReactNode }) {
  return (
    <main id="main" className={styles.sheet}>
      <PlainPage heading={heading}>{children}</PlainPage>
    </main>
  )
}

export function PlainPage({ heading, children }: { heading: string; children: ReactNode }) {
  return (
    <div className={styles.words}>
      <h1>{heading}</h1>
      {children}
    </div>
  )
}
