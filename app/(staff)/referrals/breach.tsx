/** No start in time, in words: the breach, the first start there is, and what would help, each a click away. */
import Link from 'next/link'
import { TimeText } from '#app/_ui/time-text.tsx'
import { Temporal } from '#lib/base/time.ts'
import type { Breach } from '#lib/domain/booking/breach.ts'
import type { RelaxationKind } from '#lib/domain/calendar/demand.ts'
import { RELAXATION_WORDS, spanWords } from './[id]/book/words.ts'

const WHAT = { video: 'video start', in_person: 'room at any site' } as const

/** "No room at any site before …; the first is …, 19 hours late." */
export function BreachSentence({ breach, timeZone }: { breach: Breach; timeZone: string }) {
  const { mode, seeBy, firstAt } = breach
  return (
    <>
      No {WHAT[mode]} before <TimeText at={seeBy} timeZone={timeZone} />
      {firstAt === null ? (
        ', nor after it as far ahead as the clinic books.'
      ) : (
        <>
          ; the first is <TimeText at={firstAt} timeZone={timeZone} />, {lateWords(seeBy, firstAt)} late.
        </>
      )}
    </>
  )
}

type HelpProps = { breach: Breach; referralId: string; timeZone: string; mayBook: boolean }

/** Every single condition that gives a start in time; what is left when there is none. */
export function BreachHelp({ breach, referralId, timeZone, mayBook }: HelpProps) {
  const { helps, firstAt } = breach
  const words = (kind: RelaxationKind) =>
    mayBook ? <Link href={helpHref(referralId, kind)}>{RELAXATION_WORDS[kind].link}</Link> : RELAXATION_WORDS[kind].link
  return (
    <>
      {helps.length === 0 ? (
        <p>
          No single condition that may be set aside gives a start in time. Ask for room in a session, or call the
          patient and the referrer.
        </p>
      ) : (
        <>
          <p>In time it would be if one of these were set aside:</p>
          <ul>
            {helps.map(({ kind, startsAt }) => (
              <li key={kind}>
                {words(kind)}: <TimeText at={startsAt} timeZone={timeZone} />
              </li>
            ))}
          </ul>
        </>
      )}
      {firstAt !== null && <p>{words('after_see_by')}. That takes a reason, which goes on file.</p>}
    </>
  )
}

/** The search with one condition set aside. */
function helpHref(referralId: string, kind: RelaxationKind): string {
  const page = `/referrals/${referralId}`
  if (kind === 'say_where_patient_is') return `${page}/check`
  return kind === 'in_person' ? `${page}/book?mode=in_person` : `${page}/book?released=${kind}`
}

function lateWords(seeBy: string, firstAt: string): string {
  const late = Temporal.Instant.from(seeBy).until(Temporal.Instant.from(firstAt))
  return spanWords(Math.max(1, Math.floor(late.total('hours'))))
}
