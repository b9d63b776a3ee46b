/** The sentence at the top of each page: the figure that answers its question, with what it is of. */
import { Temporal } from '#lib/base/time.ts'
import type { DaysTable, LearningTable, ShareTable, TrendTable } from '#lib/domain/learning/report.ts'
import type { Topic } from '#lib/domain/learning/topics.ts'
import type { Learning } from '#lib/usecases/read-learning.ts'

/** "May 26 to November 25, 2026" */
export function periodWords({ from, to }: Learning['period']): string {
  const [first, last] = [Temporal.PlainDate.from(from), Temporal.PlainDate.from(to)]
  const options = { day: 'numeric', month: 'long' } as const
  const year = first.year === last.year ? {} : ({ year: 'numeric' } as const)
  return `${first.toLocaleString('en-US', { ...options, ...year })} to ${last.toLocaleString('en-US', { ...options, year: 'numeric' })}`
}

/** "November 2026", of 2026-11 */
export function monthWords(month: string): string {
  return Temporal.PlainYearMonth.from(month)
    .toPlainDate({ day: 1 })
    .toLocaleString('en-US', { month: 'long', year: 'numeric' })
}

export function percent(share: number): string {
  const value = share * 100
  return `${value > 0 && value < 10 ? value.toFixed(1) : Math.round(value)} %`
}

export function sentenceOf(topic: Topic, { tables, period }: Learning): string {
  const when = periodWords(period)
  switch (topic) {
    case 'stations':
      return whole(
        tables,
        'by-way',
        (done, of, share) =>
          `${when}: of ${of} station tries that screening said were possible, ${done} were done (${share}).`,
        `${when}: no station was tried.`,
      )
    case 'visits':
      return whole(
        tables,
        'took-place',
        (done, of, share) => `${when}: of ${of} visits that were booked, ${done} took place (${share}).`,
        `${when}: no visit is over.`,
      )
    case 'readiness':
      return whole(
        tables,
        'by-readiness',
        (done, of, share) => `${when}: of ${of} video visits whose readiness is known, ${done} took place (${share}).`,
        `${when}: of no visit is it known how ready it was a day before.`,
      )
    case 'missed':
      return whole(
        tables,
        'all',
        (missed, of, share) => `${when}: ${missed} of ${of} visits were missed (${share}).`,
        `${when}: no visit was due.`,
      )
    case 'days':
      return days(
        tables.find((table): table is DaysTable => table.id === 'to-visit'),
        when,
      )
    case 'waits':
      return trend(tables.find((table): table is TrendTable => table.kind === 'trend'))
    case 'reminders':
      return whole(
        tables,
        'day-before',
        (missed, of, share) =>
          `${when}: ${missed} of ${of} visits were missed (${share}), set beside the reminders that went out.`,
        `${when}: no visit was due.`,
      )
  }
}

function whole(
  tables: readonly LearningTable[],
  id: string,
  say: (count: string, of: string, share: string) => string,
  none: string,
): string {
  const table = tables.find((each): each is ShareTable => each.id === id && each.kind === 'share')
  const sum = (what: 'count' | 'of') => (table?.lines ?? []).reduce((total, { share }) => total + share[what], 0)
  const [count, of] = [sum('count'), sum('of')]
  return of === 0 ? none : say(count.toLocaleString('en-US'), of.toLocaleString('en-US'), percent(count / of))
}

function days(table: DaysTable | undefined, when: string): string {
  const all = table?.lines[0]?.spread
  if (!all || all.of + all.pending === 0) return `${when}: no referral came in.`
  if (all.median === null) return `${when}: none of ${all.pending} referrals has been seen yet.`
  return `${when}: half of ${all.of} referrals were seen within ${all.median} days, nine in ten within ${all.nineTenths}; ${all.pending} still wait.`
}

function trend(table: TrendTable | undefined): string {
  const last = table?.lines.at(-1)
  if (!table || !last) return 'No wait has been written down in these days yet.'
  const parts = table.series.map((name, index) => {
    const value = last.values[index] ?? null
    return `${name.toLowerCase()} ${value === null ? 'not open' : `${value} days`}`
  })
  return `In the week from ${Temporal.PlainDate.from(last.on).toLocaleString('en-US', { day: 'numeric', month: 'long' })} the third open start was this far away: ${parts.join(', ')}.`
}
