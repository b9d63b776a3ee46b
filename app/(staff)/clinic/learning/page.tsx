/** What the clinic learns from its own visits: where to look first, and the ways that promise more than homes keep. */
import type { Metadata } from 'next'
import Link from 'next/link'
import { staffContext } from '#app/_server/staff-page.ts'
import { Actions, Button } from '#app/_ui/button.tsx'
import { DoneNotice } from '#app/_ui/done-notice.tsx'
import { EmptyState } from '#app/_ui/empty-state.tsx'
import { FormShell } from '#app/_ui/form-shell.tsx'
import { Figure, Opener } from '#app/_ui/opener.tsx'
import { RuledItem, RuledList } from '#app/_ui/ruled.tsx'
import { Section } from '#app/_ui/section.tsx'
import { TextareaField } from '#app/_ui/textarea-field.tsx'
import { TimeText } from '#app/_ui/time-text.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { invariant } from '#lib/base/invariant.ts'
import { may } from '#lib/domain/access/policy.ts'
import { isOpen } from '#lib/domain/learning/suggestions.ts'
import { TOPIC_WORDS, TOPICS } from '#lib/domain/learning/topics.ts'
import { type LearningOverview, readLearningOverview } from '#lib/usecases/read-learning-overview.ts'
import { noteReview } from './actions.ts'
import styles from './learning.module.css'
import { percent, periodWords } from './words.ts'

export const metadata: Metadata = { title: 'What the clinic learns' }

const DONE = { reviewed: 'Noted as reviewed. The way rests until as many tries again are counted.' }

export default async function LearningPage({ searchParams }: PageProps<'/clinic/learning'>) {
  const ctx = await staffContext('learning.read')
  const { done } = await searchParams
  const result = await readLearningOverview(ctx)
  invariant(result.ok, 'the page has asked for the same permission')
  const { period, totals, suggestions } = result.value
  const due = totals.done + totals.missed
  const [open, rested] = [suggestions.filter(isOpen), suggestions.filter((each) => !isOpen(each))]
  const mayReview = may(ctx.actor, 'learning.review')
  return (
    <>
      <BackLink href="/clinic">Clinic</BackLink>
      <Opener kicker="What the clinic learns">
        {periodWords(period)}:{' '}
        {due === 0 ? (
          'no visit is over yet.'
        ) : (
          <>
            <Figure href="/clinic/learning/visits">{totals.done} visits took place</Figure>,{' '}
            <Figure href="/clinic/learning/missed">{totals.missed} were missed</Figure>, and{' '}
            {open.length === 0 ? (
              'no way of examining is to be reviewed.'
            ) : (
              <>
                <Figure href="#review">{open.length === 1 ? '1 way' : `${open.length} ways`} of examining</Figure>{' '}
                {open.length === 1 ? 'is' : 'are'} to be reviewed.
              </>
            )}
          </>
        )}
      </Opener>
      <DoneNotice words={DONE} done={done} />
      <Section heading="To be reviewed by the clinic’s lead" id="review">
        {open.length === 0 ? (
          <EmptyState>
            Nothing. A way of doing a station appears here when it was done clearly less often than screening promised.
          </EmptyState>
        ) : (
          <RuledList label="Ways to be reviewed">
            {open.map((each) => (
              <RuledItem key={`${each.stationId} ${each.wayId}`} id={fieldOf(each)}>
                <Said suggestion={each} />
                {each.reviewed && <Review suggestion={each} timeZone={result.value.timeZone} />}
                {mayReview && (
                  <FormShell
                    action={noteReview.bind(null, {
                      protocolId: each.protocolId,
                      protocolVersion: each.protocolVersion,
                      stationId: each.stationId,
                      wayId: each.wayId,
                    })}
                  >
                    <TextareaField
                      name={`because-${fieldOf(each)}`}
                      label={`Reviewed, because (${each.station}, ${each.way})`}
                      hint="What you found and what follows. The protocol changes only by a new version that you sign off."
                      rows={2}
                    />
                    <Actions>
                      <Button look="plain">Note as reviewed</Button>
                    </Actions>
                  </FormShell>
                )}
              </RuledItem>
            ))}
          </RuledList>
        )}
        {rested.length > 0 && (
          <>
            <h3 className={styles.list}>Reviewed, and resting until as many tries again are counted</h3>
            <RuledList label="Ways that were reviewed">
              {rested.map((each) => (
                <RuledItem key={`${each.stationId} ${each.wayId}`}>
                  <Said suggestion={each} />
                  <Review suggestion={each} timeZone={result.value.timeZone} />
                </RuledItem>
              ))}
            </RuledList>
          </>
        )}
      </Section>
      <Section heading="What can be asked">
        <RuledList label="Questions">
          {TOPICS.map((topic) => (
            <RuledItem key={topic}>
              <p>
                <Link href={`/clinic/learning/${topic}`} className={styles.way}>
                  {TOPIC_WORDS[topic].words}
                </Link>
              </p>
              <p className={styles.note}>{TOPIC_WORDS[topic].asks}</p>
            </RuledItem>
          ))}
        </RuledList>
      </Section>
    </>
  )
}

type Suggestion = LearningOverview['suggestions'][number]

/** Names the field of one way's review: several forms share the page. */
function fieldOf({ stationId, wayId }: Suggestion): string {
  return `${stationId}-${wayId}`
}

function Said({ suggestion }: { suggestion: Suggestion }) {
  const { station, stationId, protocolId, protocolVersion, way, done, of, share } = suggestion
  return (
    <p>
      <Link href={`/clinic/protocol/${protocolId}/${protocolVersion}/stations/${stationId}`} className={styles.way}>
        {station}
      </Link>
      , {way}: done in {done} of {of} tries that screening said were possible (95 % between {percent(share.low)} and{' '}
      {percent(share.high)}).
    </p>
  )
}

function Review({ suggestion: { reviewed }, timeZone }: { suggestion: Suggestion; timeZone: string }) {
  if (reviewed === null) return null
  return (
    <p className={styles.note}>
      Reviewed on <TimeText at={reviewed.at} timeZone={timeZone} /> by {reviewed.by}, at {reviewed.done} of{' '}
      {reviewed.of}: “{reviewed.because}”
    </p>
  )
}
