/**
 * The readiness board: one day of the clinic, line by line, so that a clinician sees at a glance who is ready, who isn't and
 * what to do about it, without leaving the page.
 */
import type { Metadata } from 'next'
import Form from 'next/form'
import Link from 'next/link'
import type { ReactNode } from 'react'
import { type StaffCtx, staffContext } from '#app/_server/staff-page.ts'
import { Button } from '#app/_ui/button.tsx'
import { EmptyState } from '#app/_ui/empty-state.tsx'
import { Notice } from '#app/_ui/notice.tsx'
import { Figure, Opener } from '#app/_ui/opener.tsx'
import { invariant } from '#lib/base/invariant.ts'
import { Temporal } from '#lib/base/time.ts'
import { MATRIX } from '#lib/domain/access/policy.ts'
import { MISSABLE, type Show } from '#lib/domain/readiness/board-view.ts'
import { ITEM_WORDS } from '#lib/domain/readiness/items.ts'
import type { Board, ShownVisit } from '#lib/usecases/read-board.ts'
import { clockWords, dayWords, zoneWords } from '#lib/words/time-words.ts'
import { CallAct, ConfirmAct, InPersonAct, SendAct } from './acts.tsx'
import {
  ACTS,
  type Act,
  AFRESH,
  type BoardAddress,
  boardHref,
  type Done,
  queryOf,
  readAddress,
  readAskedWays,
} from './address.ts'
import styles from './board.module.css'
import { BoardKeys } from './board-keys.tsx'
import { BoardLive } from './board-live.tsx'
import { BoardRows } from './board-rows.tsx'
import { OpenedVisit } from './opened-visit.tsx'
import { PlanAct } from './plan-act.tsx'
import { type BoardGroup, readSharedBoard } from './shared-board.ts'

export const metadata: Metadata = { title: 'Readiness board' }

export default async function BoardPage({ searchParams }: PageProps<'/board'>) {
  const ctx = await staffContext('board.read')
  const query = await searchParams
  const address = readAddress(query)
  // Before it is read, so that nothing that is said meanwhile is missed.
  const askedAt = ctx.now()
  const { board, groups } = await readSharedBoard(ctx, address)
  const now = Temporal.Instant.from(board.now)
  const noon = noonOf(board.day, board.timeZone)

  return (
    <>
      <Sentence board={board} address={address} noon={noon} />
      <Days board={board} address={address} />
      <Filters board={board} address={address} />
      <div className={styles.about}>
        <BoardLive day={board.day} readAtMs={askedAt.epochMilliseconds} readAt={clockWords(now, board.timeZone)} />
        <p>All times in {zoneWords(noon, board.timeZone)}</p>
        <BoardKeys />
      </div>
      {board.visits.length === 0 ? (
        <Nothing board={board} address={address} />
      ) : (
        <Visits groups={groups} address={address}>
          {(visit) => (
            <Opened ctx={ctx} visit={visit} board={board} address={address} asked={readAskedWays(query)} now={now} />
          )}
        </Visits>
      )}
      <Pages board={board} address={address} />
    </>
  )
}

const FIGURE_WORDS: Record<Show, string> = {
  ready: 'ready',
  waiting: 'waiting',
  late: 'late',
  stuck: 'that cannot go on as they are',
}

function Sentence({ board, address, noon }: { board: Board; address: BoardAddress; noon: Temporal.Instant }) {
  const { counts } = board
  const figures = (Object.keys(FIGURE_WORDS) as Show[]).filter((show) => show !== 'stuck' || counts.stuck > 0)
  return (
    <Opener kicker="Readiness board">
      {dayWords(noon, board.timeZone)}:{' '}
      <Figure href={boardHref(address, { ...AFRESH, show: null })}>{count(counts.all, 'visit')}</Figure>
      {counts.all > 0 &&
        figures.map((show) => (
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

function Days({ board, address }: { board: Board; address: BoardAddress }) {
  const to = (day: string) => boardHref(address, { ...AFRESH, day: day === board.today ? null : day })
  const shown = Temporal.PlainDate.from(board.day)
  const isAhead = board.days.some(({ day }) => day === board.day)
  const words = (day: string) => (day === board.today ? 'Today' : shortDay(day, board.timeZone))
  return (
    <nav className={styles.days} aria-label="Days">
      <Link href={to(shown.subtract({ days: 1 }).toString())}>Day before</Link>
      {!isAhead && <strong aria-current="date">{words(board.day)}</strong>}
      {board.days.map(({ day, visits }) => {
        const label = (
          <>
            {words(day)}: {visits}
            <span className={styles.heard}>{visits === 1 ? ' visit' : ' visits'}</span>
          </>
        )
        return day === board.day ? (
          <strong key={day} aria-current="date">
            {label}
          </strong>
        ) : (
          <Link key={day} href={to(day)} prefetch={false}>
            {label}
          </Link>
        )
      })}
      <Link href={to(shown.add({ days: 1 }).toString())}>Day after</Link>
    </nav>
  )
}

/** Everything by which one may choose, as fields of the address; `show` is chosen by the figures above. */
function Filters({ board, address }: { board: Board; address: BoardAddress }) {
  const kept = queryOf({ ...address, ...AFRESH, clinicianId: null, mode: null, missing: null, sort: 'clinician' })
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
        ...MISSABLE.map((item): [string, string] => [item, ITEM_WORDS[item]]),
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

function Nothing({ board, address }: { board: Board; address: BoardAddress }) {
  const isFiltered =
    address.show !== null || address.clinicianId !== null || address.mode !== null || address.missing !== null
  const dayTotal = board.clinicians.reduce((sum, { visits }) => sum + visits, 0)
  if (dayTotal === 0)
    return (
      <EmptyState action={<Link href="/desk">Go to the desk</Link>}>
        No visits on this day. Visits appear here as soon as they are booked from the desk.
      </EmptyState>
    )
  invariant(isFiltered, 'a day with visits shows them unless a filter leaves none')
  return (
    <EmptyState
      action={<Link href={boardHref(readAddress({}), { day: address.day })}>Show all visits of this day</Link>}
    >
      {dayTotal === 1 ? 'The one visit of this day is' : `None of this day’s ${dayTotal} visits is`}{' '}
      {dayTotal === 1 ? 'not ' : ''}
      what you chose above.
    </EmptyState>
  )
}

function Visits({
  groups,
  address,
  children,
}: {
  groups: readonly BoardGroup[]
  address: BoardAddress
  children: (visit: ShownVisit) => ReactNode
}) {
  const closedHref = boardHref(address, { open: null, act: null, did: null })
  return groups.map(({ clinician, visits, rows }) => {
    const heading = `group-${clinician?.id ?? 'all'}`
    const opened = visits.find(({ visitId }) => visitId === address.open)
    return (
      <section key={heading} aria-labelledby={heading} className={styles.group}>
        <h2 id={heading} className={clinician ? styles.clinician : styles.heard}>
          {clinician?.name ?? 'Visits'}
          {clinician && <span className={styles.soft}> {count(clinician.visits, 'visit')}</span>}
        </h2>
        <BoardRows
          rows={rows}
          closedHref={closedHref}
          openedId={opened?.visitId ?? null}
          withClinician={clinician === null}
        >
          {opened && children(opened)}
        </BoardRows>
      </section>
    )
  })
}

const DONE_WORDS: Record<Done, string> = {
  confirmed: 'Written down as confirmed by phone.',
  sent: 'The patient is being asked again by mail.',
  planned: 'The exam is changed. It says above what the visit is now.',
  moved: 'This patient now comes to the clinic. The visit stands at its new time.',
  asked_for_start: 'Decided: in person. A task asks the desk to find a start.',
}

function Opened({
  ctx,
  visit,
  board,
  address,
  asked,
  now,
}: {
  ctx: StaffCtx
  visit: ShownVisit
  board: Board
  address: BoardAddress
  asked: Record<string, string | null> | null
  now: Temporal.Instant
}) {
  // At the clinic there is nothing to prepare at home, and no plan to change.
  const possible = visit.status !== 'booked' ? [] : visit.mode === 'video' ? ACTS : ACTS.filter((act) => act === 'call')
  const acts = possible.filter((act) => MATRIX[NEEDS[act]][ctx.actor.role] !== 'never')
  const act = address.act !== null && acts.includes(address.act) ? address.act : null
  const props = { ctx, visit, board, address }
  return (
    <OpenedVisit visit={visit} timeZone={board.timeZone} now={now} address={address} acts={acts}>
      {address.did !== null && (
        <div role="status">
          <Notice kind="note" heading={DONE_WORDS[address.did]} level={3} />
        </div>
      )}
      {act === 'call' && <CallAct {...props} />}
      {act === 'send' && <SendAct {...props} />}
      {act === 'confirm' && <ConfirmAct {...props} />}
      {act === 'plan' && <PlanAct ctx={ctx} visitId={visit.visitId} address={address} asked={asked} />}
      {act === 'in-person' && <InPersonAct {...props} />}
    </OpenedVisit>
  )
}

const NEEDS = {
  call: 'visit.read',
  send: 'missing.send',
  confirm: 'readiness.confirm',
  plan: 'plan.adjust',
  'in-person': 'screening.overrule',
} as const satisfies Record<Act, string>

function Pages({ board, address }: { board: Board; address: BoardAddress }) {
  if (board.pages === 1) return null
  return (
    <nav className={styles.days} aria-label="Pages">
      {board.page > 1 && <Link href={boardHref(address, { ...AFRESH, page: board.page - 1 })}>Page before</Link>}
      <span>
        Page {board.page} of {board.pages}, {board.matching} visits
      </span>
      {board.page < board.pages && (
        <Link href={boardHref(address, { ...AFRESH, page: board.page + 1 })}>Next page</Link>
      )}
    </nav>
  )
}

function noonOf(day: string, timeZone: string): Temporal.Instant {
  return Temporal.PlainDate.from(day).toZonedDateTime({ timeZone, plainTime: '12:00' }).toInstant()
}

/** "Mon, Dec 1" */
function shortDay(day: string, timeZone: string): string {
  const [weekday = '', date = ''] = dayWords(noonOf(day, timeZone), timeZone).split(', ')
  const [month = '', number = ''] = date.split(' ')
  return `${weekday.slice(0, 3)}, ${month.slice(0, 3)} ${number}`
}

function count(n: number, what: string): string {
  return n === 1 ? `1 ${what}` : `${n === 0 ? 'no' : n} ${what}s`
}
