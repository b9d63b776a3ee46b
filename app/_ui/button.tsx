/** What can be done here, in words that name the deed. Buttons stand on the left, in one row. */
import Link from 'next/link'
import type { ReactNode } from 'react'
import styles from './button.module.css'

type Look = 'deed' | 'plain' | 'grave'

type ButtonProps = {
  children: ReactNode
  /** `deed`: what the page is for, one per form. `plain`: any other. `grave`: takes something away. */
  look?: Look
  /** Sent with the form, where one form has several deeds. */
  name?: string
  value?: string
  type?: 'submit' | 'button'
  /** Where a message about a form without fields leads to. */
  id?: string
  formAction?: (form: FormData) => void | Promise<void>
  /** Only in a client component. */
  onClick?: () => void
}

/** A button of a form. It is never disabled: let people press it and say what is missing. */
export function Button({ children, look = 'deed', type = 'submit', ...rest }: ButtonProps) {
  return (
    <button {...rest} type={type} className={styles.button} data-look={look}>
      {children}
    </button>
  )
}

/** A way to another page that should be seen as clearly as a deed. */
export function ButtonLink({ children, look = 'plain', href }: { children: ReactNode; look?: Look; href: string }) {
  return (
    <Link href={href} className={styles.button} data-look={look}>
      {children}
    </Link>
  )
}

/** The row of deeds at the end of a form. */
export function Actions({ children }: { children: ReactNode }) {
  return <div className={styles.actions}>{children}</div>
}
