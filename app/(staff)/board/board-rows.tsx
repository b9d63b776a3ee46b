'use client'

/** Visits on their lines: who, when and what for; what is open and who acts; what can't be done, and what changed last. */
import Link from 'next/link'
import type { ReactNode } from 'react'
import { Mark } from '#app/_ui/mark.tsx'
import styles from './board.module.css'
import type { Clock, RowWords } from './row-words.ts'

type RowsProps = {
  rows: readonly RowWords[]
  /** The address of the board without an open visit. */
  closedHref: string
  openedId: string | null
  withClinician: boolean
  /** What stands below the line of the open visit. */
  children: ReactNode
}

export function BoardRows({ rows, closedHref, openedId, withClinician, children }: RowsProps) {
  return (
    <ol className={styles.rows}>
      {rows.map((row) => {
        const isOpened = row.visitId === openedId
        const openHref = `${closedHref}${closedHref.includes('?') ? '&' : '?'}open=${encodeURIComponent(row.visitId)}`
        return (
          <BoardRow
            key={row.visitId}
            row={row}
            href={isOpened ? closedHref : openHref}
            openHref={openHref}
            isOpened={isOpened}
            withClinician={withClinician}
          >
            {isOpened && children}
          </BoardRow>
        )
      })}
    </ol>
  )
}

type Props = {
  row: RowWords
  /** Opens or closes the visit; and opens it, whatever it is. */
  href: string
  openHref: string
  isOpened: boolean
  withClinician: boolean
  children: ReactNode
}

function BoardRow({ row, href, openHref, isOpened, withClinician, children }: Props) {
  const { visitId } = row
  const panel = `${visitId}-open`
  return (
    <li>
      <article
        id={visitId}
        className={styles.row}
        data-visit={visitId}
        data-open-href={openHref}
        data-stamp={row.stamp}
        data-state={row.state}
        aria-labelledby={`${visitId}-who`}
      >
        <div className={styles.line}>
          <p className={styles.when}>
            <Time {...row.from} />
            <span className={styles.until}>
              {' '}
              to <Time {...row.to} />
            </span>
          </p>
          <div>
            <h3 className={styles.who}>
              <Link
                id={`${visitId}-who`}
                href={href}
                prefetch={false}
                scroll={false}
                aria-expanded={isOpened}
                aria-controls={isOpened ? panel : undefined}
                data-row=""
              >
                {row.patientName}
              </Link>
            </h3>
            {withClinician && <p>{row.clinicianName}</p>}
            <p>{row.complaint}</p>
            <p className={styles.soft}>{row.manner}</p>
            {row.outcome === 'no_show' && <Mark state="cannot">Did not come</Mark>}
            {row.outcome === 'done' && <Mark state="done">Seen</Mark>}
            {row.tasks.map((title) => (
              <p key={title}>
                <Mark state="cannot">{title}</Mark>
              </p>
            ))}
          </div>
          <div className={styles.items}>
            {row.open.length > 0 && (
              <ul>
                {row.open.map(({ state, words }) => (
                  <li key={words}>
                    <Mark state={state}>{words}</Mark>
                  </li>
                ))}
              </ul>
            )}
            {row.done !== '' && (
              <p>
                <Mark state="done">{row.done}</Mark>
              </p>
            )}
          </div>
          <div className={styles.facts}>
            {row.closed !== '' && (
              <p>
                <strong>Can’t be done:</strong> {row.closed}
              </p>
            )}
            {row.helper && (
              <p>
                Helper <Time {...row.helper.from} /> to <Time {...row.helper.to} />
              </p>
            )}
            {row.interpreterName && <p>Interpreter {row.interpreterName}</p>}
            {row.whereabouts && <p>{row.whereabouts}</p>}
            {row.lastChange && <p className={styles.soft}>{row.lastChange}</p>}
          </div>
        </div>
        {isOpened && (
          <div id={panel} className={styles.panel}>
            {children}
          </div>
        )}
      </article>
    </li>
  )
}

function Time({ at, words }: Clock) {
  return <time dateTime={at}>{words}</time>
}
