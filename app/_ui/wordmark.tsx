/** The program's name as its own hand draws it: a step, far ahead on the same line. */
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
        <path d="M1 14 H39" />
        <path d="M7 14 V9" />
        <path d="M7 9 C 14 2, 26 2, 33 11" strokeDasharray="0.1 3.4" />
        <path d="M33 14 V11" />
      </svg>
      Farstep
    </span>
  )
}
