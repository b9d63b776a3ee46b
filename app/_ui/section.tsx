/** A part of a page under its own heading, begun by a rule across the page. */
import type { ReactNode } from 'react'
import styles from './section.module.css'

type Props = {
  heading: ReactNode
  /** What can be done with the whole part, at the end of the heading's line. */
  aside?: ReactNode
  id?: string | undefined
  children: ReactNode
}

export function Section({ heading, aside, id, children }: Props) {
  return (
    <section className={styles.section} id={id}>
      <div className={styles.head}>
        <h2>{heading}</h2>
        {aside}
      </div>
      {children}
    </section>
  )
}

/** Two parts beside each other where there is room: the work, and what helps to do it. */
export function Split({ children, beside }: { children: ReactNode; beside: ReactNode }) {
  return (
    <div className={styles.split}>
      <div className={styles.part}>{children}</div>
      <aside className={styles.part}>{beside}</aside>
    </div>
  )
}
