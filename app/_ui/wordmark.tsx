/** The program's name as its own hand draws it: a measured line, and at its far end the mark for done. */
import styles from './wordmark.module.css'

export function Wordmark() {
  return (
    <span className={styles.wordmark}>
      <svg
        viewBox="0 0 40 16"
        fill="none"
        stroke="currentColor"
        strokeWidth="1.75"
        strokeLinecap="round"
        aria-hidden="true"
        className={styles.step}
      >
        <path d="M2 3 V13 M2 8 H28" />
        <circle cx="34" cy="8" r="5" />
        <circle cx="34" cy="8" r="2" fill="currentColor" stroke="none" />
      </svg>
      Farstep
    </span>
  )
}
