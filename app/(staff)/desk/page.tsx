/** The desk: every open referral under what has to happen next, oldest see-by first. */
import type { Metadata } from 'next'
import Link from 'next/link'
import { Fragment } from 'react'
import { z } from 'zod'
import { staffContext } from '#app/_server/staff-page.ts'
import { ButtonLink } from '#app/_ui/button.tsx'
import { EmptyState } from '#app/_ui/empty-state.tsx'
import { Mark } from '#app/_ui/mark.tsx'
import { Figure, Opener } from '#app/_ui/opener.tsx'
import { RuledItem, RuledList } from '#app/_ui/ruled.tsx'
import { Section } from '#app/_ui/section.tsx'
import { TimeText } from '#app/_ui/time-text.tsx'
import { invariant } from '#lib/base/invariant.ts'
import { Temporal } from '#lib/base/time.ts'
import { LONGEST_QUEST } from '#lib/domain/desk/find-patient.ts'
import { NEXT_STEP_WORDS, NEXT_STEPS, type NextStep } from '#lib/domain/desk/next-step.ts'
import { MISSING_WORDS } from '#lib/domain/intake/referral-draft.ts'
import { type Desk, type DeskLine, readDesk } from '#lib/usecases/read-desk.ts'
import { BreachSentence } from '../referrals/breach.tsx'
import { awayWords, complaintWords, count } from '../referrals/words.ts'
import { findOnPhone } from './actions.ts'
import styles from './desk.module.css'
import { FindPatient } from './find-patient.tsx'

export const metadata: Metadata = { title: 'Desk' }

/** Anything that isn't one of ours counts as not given: an address may be typed. */
const query = z.object({
  show: z
    .enum([...NEXT_STEPS, 'late'])
    .nullable()
    .catch(null),
})

export default async function DeskPage({ searchParams }: PageProps<'/desk'>) {
  const ctx = await staffContext('referral.read')
  const { show } = query.parse(await searchParams)
  const result = await readDesk(ctx, { show })
  invariant(result.ok, 'the page has asked for the same permission')
  const desk = result.value
  return (
    <>
      <Opener kicker="Desk">
        <Sentence desk={desk} />
      </Opener>
      <FindPatient action={findOnPhone} longest={LONGEST_QUEST} />
      {show !== null && (
        <p className={styles.filter}>
          Shown: {show === 'late' ? 'past the see-by time' : NEXT_STEP_WORDS[show].heading}.{' '}
          <Link href="/desk">Show everything</Link>
        </p>
      )}
      {desk.groups.length === 0 && (
        <EmptyState action={<ButtonLink href="/referrals/new">Type a referral</ButtonLink>}>
          {show === null
            ? 'No referral is open. What comes in is listed here under what has to happen next.'
            : 'Nothing stands here at the moment.'}
        </EmptyState>
      )}
      {desk.groups.map(({ step, lines }) => (
        <Section
          key={step}
          id={step}
          heading={`${NEXT_STEP_WORDS[step].heading} (${lines.length})`}
          aside={<span className={styles.todo}>{NEXT_STEP_WORDS[step].todo}</span>}
        >
          <RuledList label={NEXT_STEP_WORDS[step].heading}>
            {lines.map((line) => (
              <Line key={line.referralId} line={line} timeZone={desk.timeZone} now={ctx.now()} />
            ))}
          </RuledList>
        </Section>
      ))}
    </>
  )
}

/** How a step is counted in the sentence; steps with nothing to do are left out of it. */
const COUNTED: Partial<Record<NextStep, string>> = {
  call_now: 'to call now',
  decide_match: 'to tell apart',
  triage: 'to triage',
  rebook: 'to book again',
  book_in_person: 'to book in person',
  ask_again: 'to ask again',
  chase: 'to chase',
  complete_details: 'to complete',
  book_video: 'to book by video',
  invite: 'to invite',
}

function Sentence({ desk: { counts } }: { desk: Desk }) {
  const parts: { show: string; words: string }[] = NEXT_STEPS.flatMap((step) => {
    const words = COUNTED[step]
    const many = counts.byStep[step] ?? 0
    return words === undefined || many === 0 ? [] : [{ show: step, words: `${many} ${words}` }]
  })
  if (counts.late > 0) parts.push({ show: 'late', words: `${counts.late} past the see-by time` })
  if (counts.open === 0) return 'No referral is open.'
  const open = `${count(counts.open, 'referral')} ${counts.open === 1 ? 'is' : 'are'} open`
  if (parts.length === 0) return `${open}, and nothing has to be done now.`
  return (
    <>
      {open}:{' '}
      {parts.map(({ show, words }, index) => (
        <Fragment key={show}>
          {index > 0 && (index === parts.length - 1 ? ' and ' : ', ')}
          <Figure href={`/desk?show=${show}`}>{words}</Figure>
        </Fragment>
      ))}
      .
    </>
  )
}

function Line({ line, timeZone, now }: { line: DeskLine; timeZone: string; now: Temporal.Instant }) {
  const { referralId, name, seeBy, isLate, missing, visitStartsAt } = line
  return (
    <RuledItem
      lead={
        line.step === 'call_now' ? (
          <Mark state="late">Now</Mark>
        ) : seeBy === null ? (
          <span className={styles.quiet}>
            Came <TimeText at={line.receivedAt} timeZone={timeZone} show="day" />
          </span>
        ) : (
          <div className={styles.when}>
            <Mark state={isLate ? 'late' : line.step === 'booked' ? 'done' : 'waiting'}>
              <TimeText at={seeBy} timeZone={timeZone} show="day" />
              <span className={styles.away}>{awayWords(Temporal.Instant.from(seeBy), now, timeZone)}</span>
            </Mark>
          </div>
        )
      }
      end={
        visitStartsAt !== null && (
          <span className={styles.quiet}>
            Visit <TimeText at={visitStartsAt} timeZone={timeZone} show="day_and_clock" isZoneSaid />
          </span>
        )
      }
    >
      <p>
        <Link href={`/referrals/${referralId}`} className={styles.name}>
          {name}
        </Link>{' '}
        <span>{complaintWords(line.side, line.condition)}</span>
      </p>
      <p className={styles.reason}>{line.reason}</p>
      {line.breach && (
        <p className={styles.breach}>
          <BreachSentence breach={line.breach} now={now} timeZone={timeZone} />{' '}
          <Link href={`/referrals/${referralId}/book`}>See what would help</Link>
        </p>
      )}
      {missing.length > 0 && (
        <p className={styles.quiet}>
          Missing: {missing.map((one) => MISSING_WORDS[one].what.toLowerCase()).join(', ')}
        </p>
      )}
    </RuledItem>
  )
}
