/** The readiness board: one day of the clinic on a sheet, so that a clinician sees at a glance who is ready and who isn't. */
import type { Metadata } from 'next'
import Link from 'next/link'
import { staffContext } from '#app/_server/staff-page.ts'
import { EmptyState } from '#app/_ui/empty-state.tsx'
import { Figure, Opener } from '#app/_ui/opener.tsx'
import { invariant } from '#lib/base/invariant.ts'
import { Temporal } from '#lib/base/time.ts'
import type { BoardVisit } from '#lib/domain/readiness/board-visit.ts'
import { daySheet } from '#lib/domain/readiness/day-sheet.ts'
import type { ItemState } from '#lib/domain/readiness/items.ts'
import { readBoard, readBoardInput } from '#lib/usecases/read-board.ts'
import { clockWords, dayWords, zoneWords } from '#lib/words/time-words.ts'
import styles from './board.module.css'
import { BoardVisitCard } from './board-visit-card.tsx'

export const metadata: Metadata = { title: 'Readiness board' }

/** What a figure of the sentence filters by. */
const SHOWN = {
  ready: ['done', 'not_needed'],
  waiting: ['waiting'],
  late: ['late'],
  stuck: ['cannot'],
} as const satisfies Record<string, readonly ItemState[]>
type Show = keyof typeof SHOWN

export default async function BoardPage({ searchParams }: PageProps<'/board'>) {
  const ctx = await staffContext('board.read')
  const query = await searchParams
  const input = readBoardInput.safeParse({ day: query.day ?? null })
  const result = await readBoard(ctx, input.success ? input.data : { day: null })
  invariant(result.ok, 'whoever sees the page may read the board')
  const board = result.value
  const show = (Object.keys(SHOWN) as Show[]).find((each) => each === query.show) ?? null
  const clinicianId = typeof query.clinician === 'string' ? query.clinician : null

  const ofClinician = board.visits.filter((visit) => clinicianId === null || visit.clinicianId === clinicianId)
  const shown = ofClinician.filter((visit) => show === null || isShown(visit, show))
  const clinicians = [...new Map(board.visits.map((visit) => [visit.clinicianId, visit.clinicianName]))]
  const columns = clinicians.filter(([id]) => shown.some((visit) => visit.clinicianId === id))
  const day = Temporal.PlainDate.from(board.day)
  const noon = day.toZonedDateTime({ timeZone: board.timeZone, plainTime: '12:00' }).toInstant()
  const link = (change: Record<string, string | null>) =>
    boardLink({ day: board.day, show, clinician: clinicianId, ...change })

  return (
    <>
      <Opener kicker="Readiness board">
        {dayWords(noon, board.timeZone)}:{' '}
        <Figure href={link({ show: null })}>{count(ofClinician.length, 'visit')}</Figure>
        {ofClinician.length > 0 && (
          <>
            ,{' '}
            <Figure href={link({ show: 'ready' })}>
              {ofClinician.filter((visit) => isShown(visit, 'ready')).length} ready
            </Figure>
            ,{' '}
            <Figure href={link({ show: 'waiting' })}>
              {ofClinician.filter((visit) => isShown(visit, 'waiting')).length} waiting
            </Figure>
            ,{' '}
            <Figure href={link({ show: 'late' })}>
              {ofClinician.filter((visit) => isShown(visit, 'late')).length} late
            </Figure>
            {ofClinician.some((visit) => isShown(visit, 'stuck')) && (
              <>
                ,{' '}
                <Figure href={link({ show: 'stuck' })}>
                  {ofClinician.filter((visit) => isShown(visit, 'stuck')).length} that cannot go on as they are
                </Figure>
              </>
            )}
          </>
        )}
        .
      </Opener>
      <nav className={styles.days} aria-label="Days">
        <Link href={link({ day: day.subtract({ days: 1 }).toString() })}>Day before</Link>
        {board.day === board.today ? (
          <strong aria-current="date">Today</strong>
        ) : (
          <Link href={link({ day: null })}>Today</Link>
        )}
        <Link href={link({ day: day.add({ days: 1 }).toString() })}>Day after</Link>
        <span>All times in {zoneWords(noon, board.timeZone)}</span>
      </nav>
      {clinicians.length > 1 && (
        <nav className={styles.days} aria-label="Clinicians">
          {clinicianId === null ? (
            <strong aria-current="true">Everyone</strong>
          ) : (
            <Link href={link({ clinician: null })}>Everyone</Link>
          )}
          {clinicians.map(([id, name]) =>
            id === clinicianId ? (
              <strong key={id} aria-current="true">
                {name}
              </strong>
            ) : (
              <Link key={id} href={link({ clinician: id })}>
                {name}
              </Link>
            ),
          )}
        </nav>
      )}
      {shown.length === 0 ? (
        <EmptyState
          action={
            show !== null ? (
              <Link href={link({ show: null })}>Show all visits of this day</Link>
            ) : (
              <Link href="/desk">Go to the desk</Link>
            )
          }
        >
          {show !== null
            ? 'No visit of this day is in that state.'
            : 'No visits on this day. Visits appear here as soon as they are booked from the desk.'}
        </EmptyState>
      ) : (
        <DaySheet visits={shown} columns={columns} timeZone={board.timeZone} />
      )}
    </>
  )
}

function DaySheet({
  visits,
  columns,
  timeZone,
}: {
  visits: readonly BoardVisit[]
  columns: readonly [string, string][]
  timeZone: string
}) {
  const byId = new Map(visits.map((visit) => [visit.visitId, visit]))
  const rows = daySheet(
    visits,
    columns.map(([id]) => id),
    timeZone,
  )
  return (
    <div className={styles.scroll}>
      <table className={styles.sheet}>
        <caption className={styles.caption}>Visits by time and clinician</caption>
        <thead>
          <tr>
            <th scope="col">Time</th>
            {columns.map(([id, name]) => (
              <th key={id} scope="col">
                {name}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map((row) => (
            <tr key={row.at} data-hour={row.hour === null ? undefined : ''}>
              {row.hour !== null && (
                <th scope="rowgroup" rowSpan={12} className={styles.hour}>
                  {clockWords(Temporal.Instant.from(row.at), timeZone)}
                </th>
              )}
              {row.cells.map(({ clinicianId, span, visitId }) => {
                const visit = visitId === null ? undefined : byId.get(visitId)
                return (
                  <td key={clinicianId} rowSpan={span} data-free={visit ? undefined : ''}>
                    {visit && <BoardVisitCard visit={visit} timeZone={timeZone} />}
                  </td>
                )
              })}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  )
}

function isShown(visit: BoardVisit, show: Show): boolean {
  return (SHOWN[show] as readonly ItemState[]).includes(visit.worst)
}

function count(n: number, what: string): string {
  return n === 1 ? `1 ${what}` : `${n === 0 ? 'no' : n} ${what}s`
}

function boardLink(query: Record<string, string | null>): string {
  const set = Object.entries(query).filter((entry): entry is [string, string] => entry[1] !== null)
  return set.length === 0 ? '/board' : `/board?${new URLSearchParams(set)}`
}
