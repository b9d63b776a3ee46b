/** Every session by whose it is: how it stands, in words, and when it opens next. */
import type { Metadata } from 'next'
import Link from 'next/link'
import { Fragment } from 'react'
import { z } from 'zod'
import { staffContext } from '#app/_server/staff-page.ts'
import { Button, ButtonLink } from '#app/_ui/button.tsx'
import { EmptyState } from '#app/_ui/empty-state.tsx'
import { Mark } from '#app/_ui/mark.tsx'
import { Figure, Opener } from '#app/_ui/opener.tsx'
import { RuledItem, RuledList } from '#app/_ui/ruled.tsx'
import { Section } from '#app/_ui/section.tsx'
import { SelectField } from '#app/_ui/select-field.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { readSessions, type SessionLine, type SessionsView } from '#lib/usecases/read-sessions.ts'
import { longDate, sessionWords } from '#lib/words/session-words.ts'
import { asLineStart, count } from '../../referrals/words.ts'
import styles from '../clinic.module.css'

export const metadata: Metadata = { title: 'Sessions' }

const STANDINGS = ['active', 'paused', 'ended'] as const
/** Anything that isn't one of ours counts as not given: an address may be typed. */
const query = z.object({
  show: z.enum(STANDINGS).nullable().catch(null),
  person: z.string().nullable().catch(null),
})

export default async function SessionsPage({ searchParams }: PageProps<'/clinic/sessions'>) {
  const ctx = await staffContext('session.write')
  const { show, person } = query.parse(await searchParams)
  const view = await readSessions(ctx)
  const people = peopleOf(view)
  const chosen = people.find(({ value }) => value === person) ?? null
  // What has ended is history: it is shown when somebody asks for it.
  const shown = view.sessions.filter(
    ({ standing, session: { owner } }) =>
      (chosen === null || `${owner.kind} ${owner.id}` === chosen.value) &&
      (show === null ? standing !== 'ended' : standing === show),
  )
  const add = `/clinic/sessions/new${chosen ? `?owner=${encodeURIComponent(chosen.value)}` : ''}`
  return (
    <>
      <BackLink href="/clinic">Clinic</BackLink>
      <Opener kicker="Sessions">
        <Sentence sessions={view.sessions} />
      </Opener>
      <div className={styles.top}>
        <ButtonLink href={add} look="deed">
          Add a session
        </ButtonLink>
        {people.length > 1 && (
          <form action="/clinic/sessions" className={styles.row}>
            <SelectField name="person" label="Person" none="Everybody" value={chosen?.value} options={people} />
            {show !== null && <input type="hidden" name="show" value={show} />}
            <Button look="plain">Show</Button>
          </form>
        )}
      </div>
      {(show !== null || chosen !== null) && (
        <p>
          Shown: {[show, chosen?.label].filter(Boolean).join(', ')}.{' '}
          <Link href="/clinic/sessions">Show everything</Link>
        </p>
      )}
      {shown.length === 0 && (
        <EmptyState>
          {view.sessions.length === 0
            ? 'No session yet. What is added here is where visits can be booked.'
            : 'Nothing stands here at the moment.'}
        </EmptyState>
      )}
      {[...Map.groupBy(shown, ({ session: { owner } }) => `${owner.kind} ${owner.id}`)].map(([owner, lines]) => (
        <Section
          key={owner}
          heading={`${lines[0]?.ownerName}${owner.startsWith('interpreter') ? ', interpreter' : ''}`}
          aside={lines[0]?.isOwnerActive ? undefined : <Mark state="cannot">No longer works here</Mark>}
        >
          <RuledList label={`Sessions of ${lines[0]?.ownerName}`}>
            {lines.map((line) => (
              <Line key={line.session.id} line={line} today={view.today} />
            ))}
          </RuledList>
        </Section>
      ))}
    </>
  )
}

const MARKS = { active: 'done', paused: 'waiting', ended: 'not_needed' } as const
const WORDS = { active: 'Active', paused: 'Paused', ended: 'Ended' } as const

function Line({ line: { session, siteName, roomName, standing, next }, today }: { line: SessionLine; today: string }) {
  return (
    <RuledItem
      lead={<Mark state={MARKS[standing]}>{WORDS[standing]}</Mark>}
      end={
        standing !== 'ended' && (
          <span className={styles.soft}>
            {next === null ? 'No date to come' : `Next ${longDate(next.date)}, ${next.opensAt}`}
          </span>
        )
      }
    >
      <Link href={`/clinic/sessions/${session.id}`}>
        {asLineStart(sessionWords(session, { site: siteName, room: roomName }, today))}
      </Link>
    </RuledItem>
  )
}

function Sentence({ sessions }: { sessions: readonly SessionLine[] }) {
  if (sessions.length === 0) return 'No session yet.'
  const parts = STANDINGS.flatMap((standing) => {
    const many = sessions.filter((line) => line.standing === standing).length
    return many === 0 ? [] : [{ standing, many }]
  })
  return (
    <>
      {count(sessions.length, 'session')}:{' '}
      {parts.map(({ standing, many }, index) => (
        <Fragment key={standing}>
          {index > 0 && (index === parts.length - 1 ? ' and ' : ', ')}
          <Figure href={`/clinic/sessions?show=${standing}`}>
            {many} {standing}
          </Figure>
        </Fragment>
      ))}
      .
    </>
  )
}

/** Everybody who has a session, also those who no longer work here, and everybody who may be given one. */
function peopleOf({ sessions, owners }: SessionsView): { value: string; label: string }[] {
  const names = new Map<string, string>()
  for (const { session, ownerName } of sessions) names.set(`${session.owner.kind} ${session.owner.id}`, ownerName)
  for (const { owner, name } of owners) names.set(`${owner.kind} ${owner.id}`, name)
  return [...names]
    .map(([value, name]) => ({ value, label: value.startsWith('interpreter') ? `${name}, interpreter` : name }))
    .sort((a, b) => a.label.localeCompare(b.label))
}
