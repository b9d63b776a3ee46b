/** Who works here: clinicians with their licences, interpreters with their languages, and who did before. */
import type { Metadata } from 'next'
import Link from 'next/link'
import { staffContext } from '#app/_server/staff-page.ts'
import { ButtonLink } from '#app/_ui/button.tsx'
import { EmptyState } from '#app/_ui/empty-state.tsx'
import { Mark } from '#app/_ui/mark.tsx'
import { Opener } from '#app/_ui/opener.tsx'
import { RuledItem, RuledList } from '#app/_ui/ruled.tsx'
import { Section } from '#app/_ui/section.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { invariant } from '#lib/base/invariant.ts'
import { type PeopleView, readPeople } from '#lib/usecases/read-clinic-setup.ts'
import { longDate, zonePlace } from '#lib/words/session-words.ts'
import { count } from '../../referrals/words.ts'
import styles from '../clinic.module.css'
import { languageNames, licenceLine } from './words.ts'

export const metadata: Metadata = { title: 'People' }

export default async function PeoplePage() {
  const ctx = await staffContext('people.write')
  const read = await readPeople(ctx)
  invariant(read.ok, 'the page has asked for the same permission')
  const { today, clinicians, interpreters } = read.value
  const [here, gone] = [true, false].map((isActive) => ({
    clinicians: clinicians.filter((person) => person.isActive === isActive),
    interpreters: interpreters.filter((person) => person.isActive === isActive),
  })) as [Group, Group]
  const goneCount = gone.clinicians.length + gone.interpreters.length
  return (
    <>
      <BackLink href="/clinic">Clinic</BackLink>
      <Opener kicker="People">
        {count(here.clinicians.length, 'clinician')} and {count(here.interpreters.length, 'interpreter')} work here.
      </Opener>
      <Section
        heading="Clinicians"
        aside={<ButtonLink href="/clinic/people/clinicians/new">Add a clinician</ButtonLink>}
      >
        {here.clinicians.length === 0 ? (
          <EmptyState>No clinician works here yet. Without one nobody can be booked.</EmptyState>
        ) : (
          <RuledList label="Clinicians">
            {here.clinicians.map((person) => (
              <Clinician key={person.id} person={person} today={today} />
            ))}
          </RuledList>
        )}
      </Section>
      <Section
        heading="Interpreters"
        aside={<ButtonLink href="/clinic/people/interpreters/new">Add an interpreter</ButtonLink>}
      >
        {here.interpreters.length === 0 ? (
          <EmptyState>
            No interpreter works here. Patients who need one can only be booked with a clinician who speaks their
            language.
          </EmptyState>
        ) : (
          <RuledList label="Interpreters">
            {here.interpreters.map((person) => (
              <Interpreter key={person.id} person={person} />
            ))}
          </RuledList>
        )}
      </Section>
      {goneCount > 0 && (
        <Section heading="No longer here">
          <RuledList label="No longer here">
            {gone.clinicians.map((person) => (
              <Clinician key={person.id} person={person} today={today} />
            ))}
            {gone.interpreters.map((person) => (
              <Interpreter key={person.id} person={person} />
            ))}
          </RuledList>
        </Section>
      )}
    </>
  )
}

type Group = Pick<PeopleView, 'clinicians' | 'interpreters'>

function Clinician({ person, today }: { person: PeopleView['clinicians'][number]; today: string }) {
  const { id, name, credentials, languages, timeZone, licences, sessions } = person
  const known = licences.filter(({ validTo }) => validTo === null || validTo >= today)
  return (
    <RuledItem end={<Sessions owner={`clinician ${id}`} sessions={sessions} />}>
      <p>
        <Link href={`/clinic/people/clinicians/${id}`} className={styles.name}>
          {name}
        </Link>
        {credentials !== '' && `, ${credentials}`}
      </p>
      <p className={styles.soft}>
        {languageNames(languages)} · {zonePlace(timeZone)}
      </p>
      {known.length === 0 ? (
        <p>
          <Mark state="cannot">No licence: can be booked nowhere</Mark>
        </p>
      ) : (
        <p className={styles.soft}>Licensed in {known.map((licence) => licenceLine(licence, today)).join('; ')}</p>
      )}
    </RuledItem>
  )
}

function Interpreter({
  person: { id, name, languages, timeZone, sessions },
}: {
  person: PeopleView['interpreters'][number]
}) {
  return (
    <RuledItem end={<Sessions owner={`interpreter ${id}`} sessions={sessions} />}>
      <p>
        <Link href={`/clinic/people/interpreters/${id}`} className={styles.name}>
          {name}
        </Link>
      </p>
      <p className={styles.soft}>
        Interprets {languageNames(languages)} · {zonePlace(timeZone)}
      </p>
    </RuledItem>
  )
}

function Sessions({ owner, sessions }: { owner: string; sessions: PeopleView['clinicians'][number]['sessions'] }) {
  const kept = sessions.filter(({ standing }) => standing !== 'ended')
  const next = kept
    .filter(({ standing }) => standing === 'active')
    .flatMap((line) => line.next ?? [])
    .sort((a, b) => a.start - b.start)[0]
  return (
    <span className={styles.soft}>
      <Link href={`/clinic/sessions?person=${encodeURIComponent(owner)}`}>
        {kept.length === 0 ? 'No session' : count(kept.length, 'session')}
      </Link>
      {next && `, next ${longDate(next.date)}`}
    </span>
  )
}
