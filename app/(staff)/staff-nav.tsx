'use client'

/** The ways in words, one line. Where one is stands underlined; that is all this needs a browser for. */
import Link from 'next/link'
import { usePathname } from 'next/navigation'
import styles from './staff.module.css'

export function StaffNav({ ways }: { ways: readonly { href: string; words: string }[] }) {
  const path = usePathname()
  return (
    <nav aria-label="Farstep" className={styles.nav}>
      <ul>
        {ways.map(({ href, words }) => (
          <li key={href}>
            <Link href={href} aria-current={path === href || path.startsWith(`${href}/`) ? 'page' : undefined}>
              {words}
            </Link>
          </li>
        ))}
      </ul>
    </nav>
  )
}
