/**
 * The frame of every patient page: one column, larger type, and at its foot, in the same place on each page, whom to call
 * (WCAG 2.2 SC 3.2.6).
 */
import type { ReactNode } from 'react'
import styles from './patient-frame.module.css'
import { PhoneLink } from './phone-link.tsx'
import { SkipLink } from './way-links.tsx'

type Contact = { name: string; phone: string; emergencyNumber: string }

type Props = {
  /** Null only where nobody can know which clinic a visitor came from. */
  clinic: Contact | null
  words: { skip: string; leave: string; idle: string; questions: string; emergency: string }
  /** Closes the page on this device; only where somebody has one open. */
  close?: (() => Promise<void>) | undefined
  /** Warns before the page closes by itself; only where somebody has one open. */
  warning?: ReactNode
  children: ReactNode
}

export function PatientFrame({ clinic, words, close, warning, children }: Props) {
  return (
    <div className={styles.frame}>
      <SkipLink>{words.skip}</SkipLink>
      {clinic && (
        <header className={styles.head}>
          <p>{clinic.name}</p>
        </header>
      )}
      <main id="main" tabIndex={-1} className={styles.main}>
        {children}
      </main>
      {warning}
      <footer className={styles.foot}>
        <p>
          {words.questions} {clinic && <PhoneLink number={clinic.phone}>{clinic.phone}</PhoneLink>}
        </p>
        {clinic && (
          <p>
            <PhoneLink number={clinic.emergencyNumber}>{words.emergency}</PhoneLink>
          </p>
        )}
        {close && (
          <form action={close}>
            <p className={styles.idle}>{words.idle}</p>
            <button type="submit" className={styles.leave}>
              {words.leave}
            </button>
          </form>
        )}
      </footer>
    </div>
  )
}
