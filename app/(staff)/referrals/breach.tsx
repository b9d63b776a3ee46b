/** No start in time, in words: the breach, the first start there is, and what would help, each a click away. */
import Link from 'next/link'
import { TimeText } from '#app/_ui/time-text.tsx'
import { Temporal } from '#lib/base/time.ts'
import type { Breach } from '#lib/domain/booking/breach.ts'
import type { RelaxationKind } from '#lib/domain/calendar/demand.ts'
import { RELAXATION_WORDS, spanWords } from './[id]/book/words.ts'

const WHAT = { video: 'video start', in_person: 'room at any site' } as const

type SentenceProps = { breach: Breach; now: Temporal.Instant; timeZone: string }

/** "No room at any site before …; the first is …, 19 hours late." Or, afterwards: "The see-by time, …, passed 3 hours ago; …" */
export function BreachSentence({ breach, now, timeZone }: SentenceProps) {
  const { mode, seeBy, firstAt } = breach
  const limit = <TimeText at={seeBy} timeZone={timeZone} />
  const lateBy = (then: Temporal.Instant) => at(seeBy).until(then).total('hours')
  const first = firstAt !== null && (
    <>
      <TimeText at={firstAt} timeZone={timeZone} />, {spanWords(Math.max(1, Math.floor(lateBy(at(firstAt)))))} late.
    </>
  )
  if (isPast(seeBy, now)) {
    const hours = Math.floor(lateBy(now))
    return (
      <>
        The see-by time, {limit}, passed {hours < 1 ? 'less than an hour' : spanWords(hours)} ago;{' '}
        {first ? (
          <>
            the first {WHAT[mode]} is {first}
          </>
        ) : (
          `there is no ${WHAT[mode]} as far ahead as the clinic books.`
        )}
      </>
    )
  }
  return (
    <>
      No {WHAT[mode]} before {limit}
      {first ? <>; the first is {first}</> : ', nor after it as far ahead as the clinic books.'}
    </>
  )
}

type HelpProps = SentenceProps & { referralId: string; mayBook: boolean }

/** Every single condition that still gives a start in time; what is left when there is none. */
export function BreachHelp({ breach, referralId, now, timeZone, mayBook }: HelpProps) {
  const { seeBy, firstAt } = breach
  const helps = breach.helps.filter(({ startsAt }) => !isPast(startsAt, now))
  const words = (kind: RelaxationKind) =>
    mayBook ? <Link href={helpHref(referralId, kind)}>{RELAXATION_WORDS[kind].link}</Link> : RELAXATION_WORDS[kind].link
  return (
    <>
      {helps.length === 0 ? (
        <p>
          {isPast(seeBy, now)
            ? 'No start can be in time any more. Call the patient and the referrer now, and ask for room in the next session.'
            : 'No single condition that may be set aside gives a start in time. Ask for room in a session, or call the patient and the referrer.'}
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

function at(iso: string): Temporal.Instant {
  return Temporal.Instant.from(iso)
}

function isPast(iso: string, now: Temporal.Instant): boolean {
  return Temporal.Instant.compare(at(iso), now) < 0
}
