/** Something that must be read before going on. Its weight is said in words and drawn in rules, never by colour alone. */
import type { ReactNode } from 'react'
import styles from './notice.module.css'

export type NoticeKind = 'note' | 'caution' | 'urgent' | 'emergency'

type Props = {
  kind: NoticeKind
  /** What is the matter, such as "Call the patient now". It says the weight in words. */
  heading: string
  children?: ReactNode
  /** Where the page has no headings above it yet. */
  level?: 1 | 2 | 3
}

/** `note`: good to know. `caution`: look before you go on. `urgent`: today. `emergency`: now. */
export function Notice({ kind, heading, children, level = 2 }: Props) {
  const Heading = `h${level}` as const
  return (
    <section className={styles.notice} data-kind={kind} aria-label={heading}>
      <Heading className={styles.heading}>
        {kind !== 'note' && <Sign kind={kind} />}
        {heading}
      </Heading>
      {children !== undefined && <div>{children}</div>}
    </section>
  )
}

/** One, two or three strokes: the more there are, the less time. */
function Sign({ kind }: { kind: Exclude<NoticeKind, 'note'> }) {
  const strokes = { caution: [10], urgent: [7, 13], emergency: [4, 10, 16] }[kind]
  return (
    <svg className={styles.sign} viewBox="0 0 20 20" stroke="currentColor" strokeWidth="3" aria-hidden="true">
      {strokes.map((x) => (
        <path key={x} d={`M${x} 2 V12 M${x} 15 V18`} />
      ))}
    </svg>
  )
}
