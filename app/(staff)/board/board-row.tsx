/** One visit on its line: who, when and what for; what is open and who acts; what can't be done, and what changed last. */
import Link from 'next/link'
import type { ReactNode } from 'react'
import { Mark } from '#app/_ui/mark.tsx'
import { TimeText } from '#app/_ui/time-text.tsx'
import { Temporal } from '#lib/base/time.ts'
import { TASK_WORDS } from '#lib/domain/desk/task-words.ts'
import { isOpen } from '#lib/domain/readiness/board-view.ts'
import { ITEM_WORDS, type ItemReadiness } from '#lib/domain/readiness/items.ts'
import type { ShownVisit } from '#lib/usecases/read-board.ts'
import { ageWords } from '#lib/words/time-words.ts'
import { complaintWords, DISPOSITION_WORDS } from '../referrals/words.ts'
import styles from './board.module.css'
import { changeWords } from './change-words.ts'

type Props = {
  visit: ShownVisit
  timeZone: string
  now: Temporal.Instant
  /** Opens or closes the visit; and opens it, whatever it is. */
  href: string
  openHref: string
  isOpened: boolean
  withClinician: boolean
  children: ReactNode
}

export function BoardRow({ visit, timeZone, now, href, openHref, isOpened, withClinician, children }: Props) {
  const clock = (at: string) => <TimeText at={at} timeZone={timeZone} show="clock" isZoneSaid />
  const { visitId, lastChange } = visit
  const panel = `${visitId}-open`
  return (
    <li>
      <article
        id={visitId}
        className={styles.row}
        data-visit={visitId}
        data-open-href={openHref}
        data-stamp={lastChange === null ? '' : `${lastChange.at} ${lastChange.action}`}
        data-state={visit.worst}
        aria-labelledby={`${visitId}-who`}
      >
        <div className={styles.line}>
          <p className={styles.when}>
            {clock(visit.startsAt)}
            <span className={styles.until}> to {clock(visit.endsAt)}</span>
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
                {visit.patientName}
              </Link>
            </h3>
            {withClinician && <p>{visit.clinicianName}</p>}
            <p>{complaintWords(visit.side, visit.condition)}</p>
            <p className={styles.soft}>{manner(visit)}</p>
            {visit.status === 'no_show' && <Mark state="cannot">Did not come</Mark>}
            {visit.status === 'done' && <Mark state="done">Seen</Mark>}
            {visit.openTasks.map((kind) => (
              <p key={kind}>
                <Mark state="cannot">{TASK_WORDS[kind].title}</Mark>
              </p>
            ))}
          </div>
          <Items items={visit.items} now={now} />
          <div className={styles.facts}>
            <Closed visit={visit} />
            {visit.helperWindow && (
              <p>
                Helper {clock(visit.helperWindow.from)} to {clock(visit.helperWindow.to)}
              </p>
            )}
            {visit.interpreterName && <p>Interpreter {visit.interpreterName}</p>}
            {visit.mode === 'video' && <p>{whereabouts(visit)}</p>}
            {lastChange && (
              <p className={styles.soft}>
                {capital(changeWords(lastChange.action))} {ageWords(Temporal.Instant.from(lastChange.at), now)} ago, by{' '}
                {lastChange.byKind === 'staff' ? lastChange.by : `the ${lastChange.by}`}
              </p>
            )}
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

/** What is open stands in full, what is done in one line behind it. */
function Items({ items, now }: { items: readonly ItemReadiness[]; now: Temporal.Instant }) {
  const open = items.filter(({ state }) => isOpen(state))
  const done = items.filter(({ state }) => state === 'done')
  return (
    <div className={styles.items}>
      {open.length > 0 && (
        <ul>
          {open.map((item) => (
            <li key={item.item}>
              <Mark state={item.state}>{itemWords(item, now)}</Mark>
            </li>
          ))}
        </ul>
      )}
      {done.length > 0 && (
        <p>
          <Mark state="done">{done.map(({ item }) => ITEM_WORDS[item]).join(', ')}</Mark>
        </p>
      )}
    </div>
  )
}

function itemWords({ item, state, actor, since }: ItemReadiness, now: Temporal.Instant): string {
  const how = state === 'late' ? ', late' : state === 'cannot' ? ', cannot' : ''
  const who = actor === 'nobody' ? '' : `: ${actor} acts`
  const age = since === null ? '' : `, ${ageWords(Temporal.Instant.from(since), now)}`
  return `${ITEM_WORDS[item]}${how}${who}${age}`
}

function Closed({ visit: { closed, openers } }: { visit: ShownVisit }) {
  const [opener] = openers
  if (closed.length === 0) return null
  return (
    <p>
      <strong>Can’t be done:</strong> {closed.map(({ title }) => title).join(', ')}
      {opener && `. With ${opener.say}: ${opener.opens} more`}
    </p>
  )
}

function manner(visit: ShownVisit): string {
  if (visit.mode === 'in_person') return `In person, ${visit.siteName}, ${visit.roomName}`
  const how = visit.disposition === null ? 'Video' : DISPOSITION_WORDS[visit.disposition]
  return `${visit.disposition?.startsWith('video') ? how : `Video; decided: ${how.toLowerCase()}`}, ${visit.stationCount} ${visit.stationCount === 1 ? 'station' : 'stations'}`
}

function whereabouts({ placeAddress, contactPhone, contactName }: ShownVisit): string {
  const place = placeAddress === null ? 'No place yet' : 'Place given'
  const contact = contactName === null || contactPhone === null ? 'no emergency contact yet' : 'emergency contact given'
  return `${place}, ${contact}`
}

function capital(words: string): string {
  return words.charAt(0).toUpperCase() + words.slice(1)
}
