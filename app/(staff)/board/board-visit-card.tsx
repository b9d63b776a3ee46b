/** One visit as it lies on the sheet: who, when, what for, and the reason it is not ready yet. */
import Link from 'next/link'
import { Mark } from '#app/_ui/mark.tsx'
import { TimeText } from '#app/_ui/time-text.tsx'
import { TASK_WORDS } from '#lib/domain/desk/task-words.ts'
import type { BoardVisit } from '#lib/domain/readiness/board-visit.ts'
import { SIDE_WORDS } from '../referrals/words.ts'
import styles from './board.module.css'
import { ReadinessList } from './readiness-list.tsx'

type Props = { visit: BoardVisit; timeZone: string }

export function BoardVisitCard({ visit, timeZone }: Props) {
  const { side, condition, closed, openers, helperWindow } = visit
  const clock = (at: string) => <TimeText at={at} timeZone={timeZone} show="clock" isZoneSaid />
  const [opener] = openers
  return (
    <article className={styles.visit} data-state={visit.worst}>
      <p className={styles.when}>
        {clock(visit.startsAt)} to {clock(visit.endsAt)}
        <span className={styles.clinicianNarrow}> · {visit.clinicianName}</span>
      </p>
      <h3 className={styles.who}>
        <Link href={`/visits/${visit.visitId}`}>{visit.patientName}</Link>
      </h3>
      <p>
        {SIDE_WORDS[side]} · {condition}
      </p>
      <p className={styles.soft}>
        {visit.mode === 'video'
          ? `Video, ${visit.stationCount} stations`
          : `In person, ${visit.siteName}, ${visit.roomName}`}
        {visit.disposition === 'video_with_gaps' && visit.mode === 'video' && ', with gaps'}
      </p>
      {visit.status === 'no_show' && <Mark state="cannot">Did not come</Mark>}
      {visit.openTasks.map((kind) => (
        <p key={kind}>
          <Mark state="cannot">{TASK_WORDS[kind].title}</Mark>
        </p>
      ))}
      <ReadinessList items={visit.items} />
      {helperWindow && (
        <p className={styles.soft}>
          Helper from {clock(helperWindow.from)} to {clock(helperWindow.to)}
        </p>
      )}
      {visit.interpreterName && <p className={styles.soft}>Interpreter {visit.interpreterName}</p>}
      {closed.length > 0 && (
        <details className={styles.closed}>
          <summary>{closed.length === 1 ? '1 station' : `${closed.length} stations`} can't be done</summary>
          <ul>
            {closed.map(({ title, why }) => (
              <li key={title}>
                {title}: {why}
              </li>
            ))}
          </ul>
          {opener && (
            <p>
              With {opener.say}: {opener.opens} more
            </p>
          )}
        </details>
      )}
    </article>
  )
}
