/** Ways past and back: over the navigation for those who come by keyboard, and to the page before. */
import Link from 'next/link'
import type { ReactNode } from 'react'
import styles from './way-links.module.css'

/** The first thing the keyboard meets on every page. The layout's main part has the id `main`. */
export function SkipLink({ children = 'Skip to the page' }: { children?: ReactNode }) {
  return (
    <a href="#main" className={styles.skip}>
      {children}
    </a>
  )
}

/** Stands above the page's heading and leads to the question or page before, with its answers filled in. */
export function BackLink({ href, children = 'Back' }: { href: string; children?: ReactNode }) {
  return (
    <p className={styles.back}>
      <Link href={href}>
        <span aria-hidden="true">←</span>
        {children}
      </Link>
    </p>
  )
}
