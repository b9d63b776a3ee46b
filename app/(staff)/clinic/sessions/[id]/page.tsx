/** One session: what it is in words, its next dates, the dates that differ, and what can be done with it. */
import type { Metadata } from 'next'
import Link from 'next/link'
import { notFound } from 'next/navigation'
import { Fragment } from 'react'
import { type StaffCtx, staffContext } from '#app/_server/staff-page.ts'
import { Actions, Button, ButtonLink } from '#app/_ui/button.tsx'
import { DateFields } from '#app/_ui/date-fields.tsx'
import { DoneNotice } from '#app/_ui/done-notice.tsx'
import { EmptyState } from '#app/_ui/empty-state.tsx'
import { FormShell } from '#app/_ui/form-shell.tsx'
import { HiddenField } from '#app/_ui/hidden-field.tsx'
import { Notice } from '#app/_ui/notice.tsx'
import { Opener } from '#app/_ui/opener.tsx'
import { RadioGroup } from '#app/_ui/radio-group.tsx'
import { KeyValueList, RuledItem, RuledList } from '#app/_ui/ruled.tsx'
import { Section, Split } from '#app/_ui/section.tsx'
import { SelectField } from '#app/_ui/select-field.tsx'
import { TextField } from '#app/_ui/text-field.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { may } from '#lib/domain/access/policy.ts'
import type { SessionException } from '#lib/domain/calendar/session.ts'
import { readSession, type SessionView } from '#lib/usecases/read-sessions.ts'
import { closesAt, longDate, plainDate, sessionWords } from '#lib/words/session-words.ts'
import { asLineStart } from '../../../referrals/words.ts'
import styles from '../../clinic.module.css'
import { EffectsNotice } from '../../effects-notice.tsx'
import { dateLines } from '../date-lines.ts'
import { ShownDates } from '../shown-dates.tsx'
import { changeDate, endIt, followRule, pauseOrResume } from './actions.ts'

export const metadata: Metadata = { title: 'Session' }

const DONE = {
  saved: 'Saved. New visits are booked by it from now on.',
  pause: 'Paused. Nothing new is booked in it; what is booked stays.',
  resume: 'It goes on.',
  end: 'Its end is set.',
  date: 'Saved. The other dates stay as they are.',
} as const

export default async function SessionPage({ params, searchParams }: PageProps<'/clinic/sessions/[id]'>) {
  const ctx = await staffContext('session.write')
  const { id } = await params
  const { done } = await searchParams
  const read = await readSession(ctx, { sessionId: id })
  if (!read.ok) notFound()
  const view = read.value
  const { session, siteName, roomName, standing } = view
  const isClinicians = session.owner.kind === 'clinician'
  const mayReplace = isClinicians && may(ctx.actor, 'visit.move')
  // Not fetched ahead: working out where a day's visits could go is work.
  const lines = dateLines(view.dates).map((line) => ({
    ...line,
    end: mayReplace && (
      <Link href={`/clinic/sessions/${id}/lost?on=${line.key}`} prefetch={false}>
        Re-place visits <span className={styles.hidden}>of {line.day}</span>
      </Link>
    ),
  }))
  return (
    <>
      <BackLink href="/clinic/sessions">Sessions</BackLink>
      <Opener kicker={`Session of ${view.ownerName}${isClinicians ? '' : ', interpreter'}`}>
        {asLineStart(sessionWords(session, { site: siteName, room: roomName }, view.today))}.
      </Opener>
      <DoneNotice words={DONE} done={done} />
      {standing === 'paused' && <Notice kind="caution" heading="Paused: nothing new is booked in it" />}
      {standing === 'ended' && <Notice kind="note" heading="This session has ended" />}
      {!view.isOwnerActive && (
        <Notice kind="caution" heading={`${view.ownerName} no longer works here: nothing is booked in it`} />
      )}
      <Split beside={<Aside ctx={ctx} view={view} />}>
        <Section heading="Next dates">
          {lines.length === 0 ? (
            <EmptyState>No date is to come.</EmptyState>
          ) : (
            <ShownDates label="Next dates" dates={lines} />
          )}
        </Section>
        {standing !== 'ended' && <SingleDates ctx={ctx} view={view} />}
      </Split>
    </>
  )
}

type Props = { ctx: StaffCtx; view: SessionView }

function SingleDates({ ctx, view: { session, version, choices } }: Props) {
  return (
    <Section heading="One date otherwise">
      <div className={styles.parts}>
        {session.exceptions.length > 0 && (
          <RuledList label="Dates that differ">
            {session.exceptions.map((exception) => (
              <RuledItem key={exception.onDate}>
                <p>
                  <strong>{longDate(exception.onDate)}</strong> {exceptionWords(exception)}
                </p>
                <FormShell action={followRule.bind(null, session.id, exception.onDate)} commandKey={ctx.newId('cmd')}>
                  <HiddenField name="version" value={String(version)} />
                  <EffectsNotice />
                  <Actions>
                    <Button look="plain" id={`rule-${exception.onDate}`}>
                      Open by the rule again <span className={styles.hidden}>on {longDate(exception.onDate)}</span>
                    </Button>
                  </Actions>
                </FormShell>
              </RuledItem>
            ))}
          </RuledList>
        )}
        <FormShell action={changeDate.bind(null, session.id)} commandKey={ctx.newId('cmd')}>
          <HiddenField name="version" value={String(version)} />
          <SelectField
            name="onDate"
            label="Date"
            none="Choose a date"
            options={choices.map((date) => ({
              value: date.onDate,
              label: `${longDate(date.onDate)}${date.isOpen ? '' : ' (closed)'}`,
            }))}
          />
          <div className={`${styles.fields} ${styles.kinds}`}>
            <RadioGroup
              name="kind"
              label="What happens on it"
              options={[
                { value: 'closed', label: 'It is closed' },
                { value: 'moved', label: 'It moves to another date' },
                { value: 'shortened', label: 'It has other hours' },
              ]}
            />
            <div data-for="moved">
              <DateFields name="toDate" label="It moves to" />
            </div>
            <div data-for="moved shortened">
              <div className={styles.row}>
                <TextField name="opensAt" label="Opens at" value={session.opensAt} width={10} />
                <TextField name="closesAt" label="Closes at" value={closesAt(session)} width={10} />
              </div>
            </div>
          </div>
          <EffectsNotice />
          <Actions>
            <Button look="plain">Change this date</Button>
          </Actions>
        </FormShell>
      </div>
    </Section>
  )
}

function exceptionWords(exception: SessionException): string {
  if (exception.kind === 'closed') return 'is closed'
  const hours = `${exception.opensAt} to ${closesAt(exception)}`
  return exception.kind === 'moved' ? `moves to ${longDate(exception.toDate)}, ${hours}` : `is open ${hours}`
}

/** Broken only between its parts. */
function Rule({ rule }: { rule: string }) {
  return (
    <code>
      {rule.split(/(?<=[;,])/).map((part) => (
        <Fragment key={part}>
          {part}
          <wbr />
        </Fragment>
      ))}
    </code>
  )
}

function Aside({ ctx, view }: Props) {
  const { session, version, standing } = view
  const minutes = (many: number) => (many === 0 ? 'None' : `${many} minutes`)
  return (
    <>
      <Section
        heading="How it is kept"
        aside={standing !== 'ended' && <ButtonLink href={`/clinic/sessions/${session.id}/change`}>Change</ButtonLink>}
      >
        <KeyValueList
          items={[
            { name: 'First date', value: plainDate(session.startsOn) },
            { name: 'Last date', value: session.validTo === null ? 'No end' : plainDate(session.validTo) },
            { name: 'Time zone', value: session.timeZone },
            { name: 'Starts', value: `Every ${session.grainMin} minutes` },
            { name: 'Free before a visit', value: minutes(session.bufferBeforeMin) },
            { name: 'Free after a visit', value: minutes(session.bufferAfterMin) },
            { name: 'Shortest notice', value: minutes(session.noticeMin) },
            ...(session.urgentMin === 0
              ? []
              : [
                  {
                    name: 'Kept for urgent visits',
                    value: `The last ${session.urgentMin} minutes${
                      session.urgentReleaseHours === 0
                        ? ''
                        : `, until ${session.urgentReleaseHours} working hours before it opens`
                    }`,
                  },
                ]),
            ...(session.rule === null ? [] : [{ name: 'Rule (RFC 5545)', value: <Rule rule={session.rule} /> }]),
          ]}
        />
      </Section>
      {standing !== 'ended' && (
        <Section heading={standing === 'paused' ? 'Go on' : 'Pause'}>
          <FormShell
            action={pauseOrResume.bind(null, session.id, standing === 'paused' ? 'resume' : 'pause')}
            commandKey={ctx.newId('cmd')}
          >
            <HiddenField name="version" value={String(version)} />
            <p>
              {standing === 'paused'
                ? 'New visits can be booked in it again.'
                : 'Nothing new is booked in it until it goes on; what is booked stays.'}
            </p>
            <EffectsNotice />
            <Actions>
              <Button look="plain" id={standing === 'paused' ? 'resume' : 'pause'}>
                {standing === 'paused' ? 'Let it go on' : 'Pause this session'}
              </Button>
            </Actions>
          </FormShell>
        </Section>
      )}
      {standing !== 'ended' && (
        <Section heading="End">
          <FormShell action={endIt.bind(null, session.id)} commandKey={ctx.newId('cmd')}>
            <HiddenField name="version" value={String(version)} />
            <DateFields name="lastOn" label="Last date on which it opens" value={view.todayThere} />
            <EffectsNotice />
            <Actions>
              <Button look="grave">End this session</Button>
            </Actions>
          </FormShell>
        </Section>
      )}
    </>
  )
}
