/** Which days, whose visits, which condition: kept in the address, so that a view can be kept and sent on. */
import Link from 'next/link'
import { Button } from '#app/_ui/button.tsx'
import { SelectField } from '#app/_ui/select-field.tsx'
import { TextField } from '#app/_ui/text-field.tsx'
import { TOPIC_WORDS, TOPICS, type Topic } from '#lib/domain/learning/topics.ts'
import type { Learning } from '#lib/usecases/read-learning.ts'
import styles from './learning.module.css'

const FAULTS = {
  not_a_date: 'Give both days as year-month-day, such as 2026-05-31. The usual half-year is shown',
  ends_before_it_begins: 'The last day lies before the first. The usual half-year is shown',
  too_long: 'At most two years can be looked at together. The usual half-year is shown',
} as const

type View = Pick<Learning, 'period' | 'fault' | 'clinicianId' | 'conditionId' | 'clinicians' | 'conditions'>

/** The query that leads to the same view again. */
export function queryOf({ period, clinicianId, conditionId }: View): string {
  const query = new URLSearchParams({ from: period.from, to: period.to })
  if (clinicianId !== null) query.set('clinician', clinicianId)
  if (conditionId !== null) query.set('condition', conditionId)
  return `?${query}`
}

export function Filters({ view, asked }: { view: View; asked: { from: string | null; to: string | null } }) {
  const { period, fault, clinicians, conditions, clinicianId, conditionId } = view
  return (
    <form method="get" className={styles.filters} aria-label="Narrow it down">
      <TextField
        name="from"
        label="From"
        width={10}
        value={fault === null ? period.from : (asked.from ?? '')}
        error={fault === null ? undefined : FAULTS[fault]}
      />
      <TextField
        name="to"
        label="To, that day included"
        width={10}
        value={fault === null ? period.to : (asked.to ?? '')}
      />
      <SelectField
        name="clinician"
        label="Clinician"
        none="Everybody"
        value={clinicianId ?? ''}
        options={clinicians.map(({ id, name }) => ({ value: id, label: name }))}
      />
      {conditions.length > 0 && (
        <SelectField
          name="condition"
          label="Suspected condition"
          none="Any"
          value={conditionId ?? ''}
          options={conditions.map(({ id, name }) => ({ value: id, label: name }))}
        />
      )}
      <Button look="plain">Show these</Button>
    </form>
  )
}

export function TopicLinks({ current, query }: { current: Topic | null; query: string }) {
  return (
    <nav aria-label="What is asked">
      <ul className={styles.topics}>
        {TOPICS.map((topic) => (
          <li key={topic}>
            <Link href={`/clinic/learning/${topic}${query}`} aria-current={topic === current ? 'page' : undefined}>
              {TOPIC_WORDS[topic].words}
            </Link>
          </li>
        ))}
      </ul>
    </nav>
  )
}
