/**
 * A session is lost: before and after of every visit, what each move costs the patient and why, and one deed that does all
 * of it. What the coordinator decides by hand stands in the address, so that it can be worked out again at any time.
 */
import type { Metadata } from 'next'
import Link from 'next/link'
import { notFound } from 'next/navigation'
import { z } from 'zod'
import { highsSolver } from '#app/_server/solver.ts'
import { staffContext } from '#app/_server/staff-page.ts'
import { readStart, startValue } from '#app/_server/start-value.ts'
import { Actions, Button, ButtonLink } from '#app/_ui/button.tsx'
import { FormShell } from '#app/_ui/form-shell.tsx'
import { Mark } from '#app/_ui/mark.tsx'
import { Notice } from '#app/_ui/notice.tsx'
import { Opener } from '#app/_ui/opener.tsx'
import { RuledItem, RuledList } from '#app/_ui/ruled.tsx'
import { Section, Split } from '#app/_ui/section.tsx'
import { SelectField } from '#app/_ui/select-field.tsx'
import { TextareaField } from '#app/_ui/textarea-field.tsx'
import { TimeText } from '#app/_ui/time-text.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import {
  lostTimeAsked,
  type PlannedMove,
  type PlanReplacementInput,
  planReplacement,
  type ReplacementPlan,
} from '#lib/usecases/plan-replacement.ts'
import { longDate } from '#lib/words/session-words.ts'
import { asLineStart } from '../../../../referrals/words.ts'
import { approve } from './actions.ts'
import styles from './lost.module.css'
import { BY_PHONE, choiceWords, costWords, count, decidedField, noStartWords, totalWords } from './words.ts'

export const metadata: Metadata = { title: 'Lost session' }

const text = z.string().nullable().catch(null)
const query = z.object({
  on: text,
  from: text,
  at: text,
  done: z
    .string()
    .regex(/^\d+\.\d+$/)
    .nullable()
    .catch(null),
})

export default async function LostSessionPage({ params, searchParams }: PageProps<'/clinic/sessions/[id]/lost'>) {
  const ctx = await staffContext('session.lose')
  const { id: sessionId } = await params
  const asked = await searchParams
  const { on, from, at, done } = query.parse(asked)
  const session = `/clinic/sessions/${encodeURIComponent(sessionId)}`
  if (done !== null) return <Done done={done} session={session} />
  const lost = lostTimeAsked.safeParse(
    from !== null
      ? { kind: 'from', fromDate: from }
      : at !== null
        ? { kind: 'at', at }
        : { kind: 'opening', onDate: on },
  )
  if (!lost.success) notFound()
  const decided = readDecided(asked)
  const result = await planReplacement(ctx, highsSolver, { sessionId, lost: lost.data, decided })
  if (!result.ok) {
    if (result.error.code === 'session_not_found') notFound()
    return (
      <>
        <BackLink href={session}>Session</BackLink>
        <Opener kicker="Lost session">Nothing is lost: this session does not open then, or it is over.</Opener>
        <Actions>
          <ButtonLink href={session}>Open the session</ButtonLink>
        </Actions>
      </>
    )
  }
  const plan = result.value
  const moving = plan.moves.filter(({ after }) => after !== null).length
  const left = plan.moves.length - moving
  return (
    <>
      <BackLink href={session}>Session</BackLink>
      <Opener kicker="Lost session">
        <Sentence plan={plan} />
      </Opener>
      {!plan.isProven && (
        <Notice kind="caution" heading="There was no time to prove that this is the best way">
          <p>It is a good one. Work it out again in a minute, or go on with it.</p>
        </Notice>
      )}
      <Split beside={<Deed plan={plan} moving={moving} left={left} commandKey={ctx.newId('cmd')} />}>
        <Section heading={plan.moves.length === 0 ? 'No visit is booked then' : 'Before and after'}>
          {plan.moves.length > 0 && (
            <form method="get" className={styles.form}>
              <LostFields lost={plan.lost} />
              <RuledList label="Visits that lose their time">
                {plan.moves.map((move) => (
                  <Move key={move.visitId} move={move} clinicTimeZone={plan.clinicTimeZone} />
                ))}
              </RuledList>
              <p className={styles.soft}>What you choose counts once it is worked out again.</p>
              <Actions>
                <Button look="plain">Work it out again</Button>
              </Actions>
            </form>
          )}
        </Section>
      </Split>
    </>
  )
}

function readDecided(asked: Record<string, string | string[] | undefined>): PlanReplacementInput['decided'] {
  const decided: PlanReplacementInput['decided'] = {}
  for (const [field, value] of Object.entries(asked)) {
    if (!field.startsWith(decidedField('')) || typeof value !== 'string') continue
    const start = value === BY_PHONE ? BY_PHONE : readStart(value, [])
    if (start) decided[field.slice(decidedField('').length)] = start
  }
  return decided
}

function LostFields({ lost }: { lost: ReplacementPlan['lost'] }) {
  return lost.kind === 'opening' ? (
    <input type="hidden" name="on" value={lost.onDate} />
  ) : (
    <input type="hidden" name="from" value={lost.fromDate} />
  )
}

/** One sentence that a person would say. */
function Sentence({ plan: { session, openings, moves, lost } }: { plan: ReplacementPlan }) {
  const [first] = openings
  const { timeZone } = session.session
  const who = `${session.ownerName}${session.session.owner.kind === 'interpreter' ? ', interpreter,' : ''}`
  return (
    <>
      {who} is not there{lost.kind === 'opening' && ' on'}{' '}
      {first && (
        <>
          {lost.kind === 'from' && openings.length > 1 && 'from '}
          <TimeText at={first.start} timeZone={timeZone} isZoneSaid />
          {lost.kind === 'opening' && (
            <>
              {' '}
              to <TimeText at={first.end} timeZone={timeZone} show="clock" />
            </>
          )}
          {lost.kind === 'from' && openings.length > 1 && `, and for ${count(openings.length - 1, 'opening')} after it`}
        </>
      )}
      :{' '}
      {moves.length === 0
        ? 'no visit loses its time.'
        : `${count(moves.length, 'visit')} ${moves.length === 1 ? 'loses its' : 'lose their'} time.`}
    </>
  )
}

function Move({ move, clinicTimeZone }: { move: PlannedMove; clinicTimeZone: string }) {
  const { before, after, timeZone } = move
  const field = decidedField(move.visitId)
  const isLate = after !== null && after.cost.missed > 0
  return (
    <RuledItem
      id={move.visitId}
      lead={
        after === null ? (
          <Mark state="late">No start</Mark>
        ) : isLate ? (
          <Mark state="late">Too late</Mark>
        ) : (
          <Mark state="done">Moves</Mark>
        )
      }
    >
      <div className={styles.move}>
        <h3 className={styles.name}>
          <Link href={`/visits/${move.visitId}`}>{move.patientName}</Link>
        </h3>
        <dl className={styles.pair}>
          <div>
            <dt>Before</dt>
            <dd>
              <TimeText at={before.startsAt} timeZone={timeZone} alsoIn={clinicTimeZone} />, with {before.clinicianName}
              <Where {...before} mode={move.mode} />
            </dd>
          </div>
          <div>
            <dt>After</dt>
            <dd>
              {after === null ? (
                move.noStart && noStartWords(move.noStart)
              ) : (
                <>
                  <strong>
                    <TimeText at={after.startsAt} timeZone={timeZone} alsoIn={clinicTimeZone} />
                  </strong>
                  , with {after.clinicianName}
                  <Where {...after} mode={move.mode} />
                </>
              )}
            </dd>
          </div>
          <div>
            <dt>Cost</dt>
            <dd>
              {after === null
                ? move.seeBy === null
                  ? 'Not placed.'
                  : 'Not seen by its see-by time, unless you find another way.'
                : `${asLineStart(costWords(move, after))}.`}
            </dd>
          </div>
        </dl>
        <SelectField
          name={field}
          label={`For ${move.patientName}`}
          none="Whatever is best for all of them"
          value={move.noStart === 'by_phone' ? BY_PHONE : move.isDecided && after ? startValue(after) : ''}
          options={[
            ...move.choices.map((start) => ({ value: startValue(start), label: `Keep ${choiceWords(move, start)}` })),
            { value: BY_PHONE, label: 'Leave it where it is: I call the patient' },
          ]}
        />
      </div>
    </RuledItem>
  )
}

function Where({
  place,
  interpreterName,
  mode,
}: {
  place: string | null
  interpreterName: string | null
  mode: PlannedMove['mode']
}) {
  return (
    <>
      {mode === 'video' ? ', by video' : place !== null && `, ${place}`}
      {interpreterName !== null && `; ${interpreterName} interprets`}
    </>
  )
}

type DeedProps = { plan: ReplacementPlan; moving: number; left: number; commandKey: string }

function Deed({ plan, moving, left, commandKey }: DeedProps) {
  const { session, lost, moves, total, heldCount } = plan
  const approved = {
    sessionId: session.session.id,
    version: session.version,
    lost,
    visits: moves.map(({ visitId, version, after }) => ({ visitId, version, start: after && startValue(after) })),
  }
  return (
    <Section heading="All of it, or nothing">
      <div className={styles.form}>
        {moving > 0 && <p>{asLineStart(totalWords(total, left))}.</p>}
        <ul>
          <li>{lost.kind === 'opening' ? 'This opening is closed.' : 'The session ends the day before.'}</li>
          {moving > 0 && (
            <li>
              {count(moving, 'visit')} {moving === 1 ? 'moves' : 'move'};{' '}
              {moving === 1 ? 'the patient is' : 'the patients are'} told by mail and{' '}
              {moving === 1 ? 'the calendar entry follows' : 'their calendar entries follow'}.
            </li>
          )}
          {left > 0 && (
            <li>
              {count(left, 'visit')} {left === 1 ? 'stays' : 'stay'} where {left === 1 ? 'it is' : 'they are'}, with a
              task to call {left === 1 ? 'the patient' : 'each patient'}.
            </li>
          )}
          {heldCount > 0 && (
            <li>
              {count(heldCount, 'start')} that somebody is holding this minute {heldCount === 1 ? 'is' : 'are'} given
              back.
            </li>
          )}
        </ul>
        <p>
          {lost.kind === 'opening' ? (
            <Link href={`/clinic/sessions/${session.session.id}/lost?from=${lost.onDate}`}>
              It is lost from this date on, for good
            </Link>
          ) : (
            <Link href={`/clinic/sessions/${session.session.id}/lost?on=${lost.fromDate}`}>
              Only the opening of {longDate(lost.fromDate)} is lost
            </Link>
          )}
        </p>
        <FormShell action={approve.bind(null, approved)} commandKey={commandKey}>
          <TextareaField
            name="because"
            label="Why the time is lost"
            hint="Kept on file; patients don't see it."
            rows={2}
          />
          <Actions>
            <Button look={moving === 0 && left > 0 ? 'grave' : 'deed'}>
              {moving === 0 ? 'Close this time' : `Close this time and move ${count(moving, 'visit')}`}
            </Button>
          </Actions>
        </FormShell>
      </div>
    </Section>
  )
}

function Done({ done, session }: { done: string; session: string }) {
  const [moved = 0, byPhone = 0] = done.split('.').map(Number)
  return (
    <div className={styles.form}>
      <BackLink href={session}>Session</BackLink>
      <Opener kicker="Lost session">
        Done: {moved === 0 ? 'no visit had to move' : `${count(moved, 'visit')} moved, and the patients are told`}.
      </Opener>
      {byPhone > 0 && (
        <Notice kind="urgent" heading={`${count(byPhone, 'patient')} to call`}>
          <p>
            {byPhone === 1 ? 'One visit stands' : 'These visits stand'} where nobody is there any more. The task is on
            the <Link href="/desk">desk</Link>.
          </p>
        </Notice>
      )}
      <Actions>
        <ButtonLink href="/board">Readiness board</ButtonLink>
        <ButtonLink href="/tray">Mail tray</ButtonLink>
        <ButtonLink href={session}>Session</ButtonLink>
      </Actions>
    </div>
  )
}
