/** Lines of the day-book: lists and tables on ruled paper. */
import type { ReactNode } from 'react'
import styles from './ruled.module.css'

/** A list with a rule between its lines. Children are `RuledItem`s. */
export function RuledList({ children, label }: { children: ReactNode; label?: string | undefined }) {
  return (
    <ul className={styles.list} aria-label={label}>
      {children}
    </ul>
  )
}

type ItemProps = {
  children: ReactNode
  /** Stands before the line in a column of its own: a time, a mark. */
  lead?: ReactNode
  /** Stands at the end of the line: a link, a button. */
  end?: ReactNode
  id?: string | undefined
}

export function RuledItem({ children, lead, end, id }: ItemProps) {
  return (
    <li className={styles.item} id={id} data-lead={lead === undefined ? undefined : ''}>
      {lead !== undefined && <div className={styles.lead}>{lead}</div>}
      <div className={styles.body}>{children}</div>
      {end !== undefined && <div className={styles.end}>{end}</div>}
    </li>
  )
}

type TableProps = {
  /** What the table shows; heard first, and seen unless a heading already says it. */
  caption: string
  isCaptionHidden?: boolean
  head: readonly ReactNode[]
  /** The rows: `<tr>`s; a row's first cell is `<th scope="row">` where it names the row. */
  children: ReactNode
}

/** A table that scrolls by itself where the page is too narrow for it. */
export function RuledTable({ caption, isCaptionHidden = false, head, children }: TableProps) {
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a part that scrolls must be reachable by keyboard (WCAG 2.1.1)
    <section className={styles.scroll} aria-label={caption} tabIndex={0}>
      <table className={styles.table}>
        <caption className={isCaptionHidden ? styles.hidden : styles.caption}>{caption}</caption>
        <thead>
          <tr>
            {head.map((cell, index) => (
              // biome-ignore lint/suspicious/noArrayIndexKey: columns neither move nor change
              <th key={index} scope="col">
                {cell}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>{children}</tbody>
      </table>
    </section>
  )
}

export type KeyValue = {
  name: string
  value: ReactNode
  /** Where the answer is changed; `what` completes "Change …" for those who hear links alone. */
  change?: { href: string; what: string } | undefined
}

/** Names and what they stand at, such as the answers before the last step. */
export function KeyValueList({ items, changeWord = 'Change' }: { items: readonly KeyValue[]; changeWord?: string }) {
  return (
    <dl className={styles.pairs}>
      {items.map(({ name, value, change }) => (
        <div key={name} className={styles.pair}>
          <dt>{name}</dt>
          <dd>{value}</dd>
          {change && (
            <dd className={styles.change}>
              <a href={change.href}>
                {changeWord} <span className={styles.hidden}>{change.what}</span>
              </a>
            </dd>
          )}
        </div>
      ))}
    </dl>
  )
}
