/** Dates of a session, each with its hours and what is different about it. */
import type { ReactNode } from 'react'
import { RuledItem, RuledList } from '#app/_ui/ruled.tsx'
import styles from '../clinic.module.css'

export type ShownDate = { key: string; day: string; hours: string; isOpen: boolean; notes: string[]; end?: ReactNode }

export function ShownDates({ label, dates }: { label: string; dates: readonly ShownDate[] }) {
  return (
    <RuledList label={label}>
      {dates.map(({ key, day, hours, isOpen, notes, end }) => (
        <RuledItem key={key} end={end}>
          <p className={styles.dated} data-closed={isOpen ? undefined : ''}>
            {isOpen ? <strong>{day}</strong> : <span>{day}</span>}{' '}
            <span className={styles.hours}>{isOpen ? hours : <s>{hours}</s>}</span>
          </p>
          {notes.map((note) => (
            <p key={note} className={styles.soft}>
              {note}.
            </p>
          ))}
        </RuledItem>
      ))}
    </RuledList>
  )
}
