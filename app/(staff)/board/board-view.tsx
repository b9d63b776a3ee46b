'use client'

/**
 * The board as it is drawn, on the server first and then in the browser, out of words that were read together. It reads
 * itself again by those words alone: whatever else is on the page stays as it is. Only an open visit is read with the page,
 * because its forms are made on the server.
 */
import Form from 'next/form'
import Link from 'next/link'
import { type ReactNode, useMemo, useState } from 'react'
import { Button } from '#app/_ui/button.tsx'
import { EmptyState } from '#app/_ui/empty-state.tsx'
import { Figure, Opener } from '#app/_ui/opener.tsx'
import { invariant } from '#lib/base/invariant.ts'
import type { BoardAddress } from './address.ts'
import styles from './board.module.css'
import { AFRESH, boardHref, queryOf } from './board-href.ts'
import { BoardKeys } from './board-keys.tsx'
import { BoardLive, type ReadFrom, type Reading } from './board-live.tsx'
import { BoardRows } from './board-rows.tsx'
import type { BoardWords } from './board-words.ts'

type Props = {
  /** As the page was read, and where it can be read again. */
  reading: Reading
  from: ReadFrom
  address: BoardAddress
  /** Which of the visits is open, if it stands on this board. */
  openedId: string | null
  /** What stands below the line of the open visit. */
  children: ReactNode
}

export function BoardView({ reading, from, address, openedId, children }: Props) {
  const [again, setAgain] = useState<{ reading: Reading; afterMs: number } | null>(null)
  // Once the page itself is read anew, what was read before it is over.
  const { words, askedAtMs } = again?.afterMs === reading.askedAtMs ? again.reading : reading
  const board: BoardWords = useMemo(() => JSON.parse(words), [words])
  return (
    <>
      <Sentence board={board} address={address} />
      <Days board={board} address={address} />
      <Filters board={board} address={address} />
      <div className={styles.about}>
        <BoardLive
          day={board.day}
          askedAtMs={askedAtMs}
          readAt={board.readAt}
          // The forms of an open visit are made on the server.
          from={openedId === null ? from : null}
          onRead={(fresh) => setAgain({ reading: fresh, afterMs: reading.askedAtMs })}
        />
        <p>All times in {board.zone}</p>
        <BoardKeys />
      </div>
      {board.groups.length === 0 ? (
        <Nothing board={board} address={address} />
      ) : (
        <Visits groups={board.groups} closedHref={from.address} openedId={openedId}>
          {children}
        </Visits>
      )}
      <Pages board={board} address={address} />
    </>
  )
}

type PartProps = { board: BoardWords; address: BoardAddress }

/** Whoever's visits, of whatever kind, as a board is opened. */
const UNCHOSEN = { ...AFRESH, clinicianId: null, mode: null, missing: null, sort: 'clinician' } as const

const FIGURE_WORDS = {
  ready: 'ready',
  waiting: 'waiting',
  late: 'late',
  stuck: 'that cannot go on as they are',
} as const satisfies Record<Exclude<keyof BoardWords['counts'], 'all'>, string>
const FIGURES = Object.keys(FIGURE_WORDS) as (keyof typeof FIGURE_WORDS)[]

function Sentence({ board: { counts, dayName }, address }: PartProps) {
  return (
    <Opener kicker="Readiness board">
      {dayName}: <Figure href={boardHref(address, { ...AFRESH, show: null })}>{count(counts.all, 'visit')}</Figure>
      {counts.all > 0 &&
        FIGURES.filter((show) => show !== 'stuck' || counts.stuck > 0).map((show) => (
          <span key={show}>
            ,{' '}
            <Figure href={boardHref(address, { ...AFRESH, show })}>
              {counts[show]} {FIGURE_WORDS[show]}
            </Figure>
          </span>
        ))}
      .
    </Opener>
  )
}

function Days({ board: { days, dayBefore, dayAfter }, address }: PartProps) {
  const to = (day: string | null) => boardHref(address, { ...AFRESH, day })
  return (
    <nav className={styles.days} aria-label="Days">
      <Link href={to(dayBefore)}>Day before</Link>
      {days.map(({ day, name, visits, isShown }) => {
        const label =
          visits === null ? (
            name
          ) : (
            <>
              {name}: {visits}
              <span className={styles.heard}>{visits === 1 ? ' visit' : ' visits'}</span>
            </>
          )
        return isShown ? (
          <strong key={name} aria-current="date">
            {label}
          </strong>
        ) : (
          <Link key={name} href={to(day)} prefetch={false}>
            {label}
          </Link>
        )
      })}
      <Link href={to(dayAfter)}>Day after</Link>
    </nav>
  )
}

/** Everything by which one may choose, as fields of the address; `show` is chosen by the figures above. */
function Filters({ board, address }: PartProps) {
  const kept = queryOf({ ...address, ...UNCHOSEN })
  const select = (name: string, label: string, value: string, options: readonly [string, string][]) => (
    <label>
      {label}
      {/* Another address is another choice: the field shows what is so, not what was typed. */}
      <select key={`${name} ${value}`} name={name} defaultValue={value} className={styles.select}>
        {options.map(([option, words]) => (
          <option key={option} value={option}>
            {words}
          </option>
        ))}
      </select>
    </label>
  )
  return (
    <Form action="/board" className={styles.filters} role="search" aria-label="Choose visits">
      {kept.map(([name, value]) => (
        <input key={name} type="hidden" name={name} value={value} />
      ))}
      {select('clinician', 'Clinician', address.clinicianId ?? '', [
        ['', 'Everyone'],
        ...board.clinicians.map(({ id, name, visits }): [string, string] => [id, `${name}, ${visits}`]),
      ])}
      {select('mode', 'How', address.mode ?? '', [
        ['', 'By video and in person'],
        ['video', 'By video'],
        ['in_person', 'In person'],
      ])}
      {select('missing', 'Missing', address.missing ?? '', [
        ['', 'Anything or nothing'],
        ...board.missable.map(({ item, name }): [string, string] => [item, name]),
      ])}
      {select('sort', 'Order', address.sort, [
        ['clinician', 'Clinician, then time'],
        ['time', 'Time'],
        ['state', 'Least ready first'],
      ])}
      <Button look="plain">Show these</Button>
    </Form>
  )
}

function Nothing({ board: { clinicians }, address }: PartProps) {
  const dayTotal = clinicians.reduce((sum, { visits }) => sum + visits, 0)
  if (dayTotal === 0)
    return (
      <EmptyState action={<Link href="/desk">Go to the desk</Link>}>
        No visits on this day. Visits appear here as soon as they are booked from the desk.
      </EmptyState>
    )
  const { show, clinicianId, mode, missing } = address
  const isFiltered = [show, clinicianId, mode, missing].some((choice) => choice !== null)
  invariant(isFiltered, 'a day with visits shows them unless a filter leaves none')
  const everything = boardHref(address, { ...UNCHOSEN, show: null })
  return (
    <EmptyState action={<Link href={everything}>Show all visits of this day</Link>}>
      {dayTotal === 1 ? 'The one visit of this day is' : `None of this day’s ${dayTotal} visits is`}{' '}
      {dayTotal === 1 ? 'not ' : ''}
      what you chose above.
    </EmptyState>
  )
}

type VisitsProps = Pick<BoardWords, 'groups'> & Pick<Props, 'openedId' | 'children'> & { closedHref: string }

function Visits({ groups, closedHref, openedId, children }: VisitsProps) {
  return groups.map(({ clinician, rows }) => {
    const heading = `group-${clinician?.id ?? 'all'}`
    return (
      <section key={heading} aria-labelledby={heading} className={styles.group}>
        <h2 id={heading} className={clinician ? styles.clinician : styles.heard}>
          {clinician?.name ?? 'Visits'}
          {clinician && <span className={styles.soft}> {count(clinician.visits, 'visit')}</span>}
        </h2>
        <BoardRows rows={rows} closedHref={closedHref} openedId={openedId} withClinician={clinician === null}>
          {children}
        </BoardRows>
      </section>
    )
  })
}

function Pages({ board: { page, pages, matching }, address }: PartProps) {
  if (pages === 1) return null
  return (
    <nav className={styles.days} aria-label="Pages">
      {page > 1 && <Link href={boardHref(address, { ...AFRESH, page: page - 1 })}>Page before</Link>}
      <span>
        Page {page} of {pages}, {matching} visits
      </span>
      {page < pages && <Link href={boardHref(address, { ...AFRESH, page: page + 1 })}>Next page</Link>}
    </nav>
  )
}

function count(n: number, what: string): string {
  return n === 1 ? `1 ${what}` : `${n === 0 ? 'no' : n} ${what}s`
}
