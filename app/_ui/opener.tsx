/** How every staff page begins: one true sentence that a person would say, its figures leading to what they count. */
import Link from 'next/link'
import type { ReactNode } from 'react'
import styles from './opener.module.css'

type Props = {
  /** What page this is, in a word or two, above the sentence. */
  kicker?: string | undefined
  children: ReactNode
}

/** The page's heading is the sentence itself. */
export function Opener({ kicker, children }: Props) {
  return (
    <header className={styles.opener}>
      {kicker !== undefined && <p className={styles.kicker}>{kicker}</p>}
      <h1 className={styles.sentence}>{children}</h1>
    </header>
  )
}

/** A figure of the sentence: `<Figure href="/board?show=late">2 late</Figure>`. */
export function Figure({ href, children }: { href: string; children: ReactNode }) {
  return (
    <Link href={href} className={styles.figure}>
      {children}
    </Link>
  )
}
