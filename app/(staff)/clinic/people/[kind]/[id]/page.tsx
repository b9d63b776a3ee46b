/** One clinician or interpreter, new or known: who they are, where they may examine, and whether they work here. */
import type { Metadata } from 'next'
import Link from 'next/link'
import { notFound } from 'next/navigation'
import { z } from 'zod'
import { type StaffCtx, signedInStaff, staffContext } from '#app/_server/staff-page.ts'
import { Actions, Button, ButtonLink } from '#app/_ui/button.tsx'
import { DateFields } from '#app/_ui/date-fields.tsx'
import { DoneNotice } from '#app/_ui/done-notice.tsx'
import { EmptyState } from '#app/_ui/empty-state.tsx'
import { FormShell } from '#app/_ui/form-shell.tsx'
import { HiddenField } from '#app/_ui/hidden-field.tsx'
import { Notice } from '#app/_ui/notice.tsx'
import { Opener } from '#app/_ui/opener.tsx'
import { RuledItem, RuledList } from '#app/_ui/ruled.tsx'
import { Section, Split } from '#app/_ui/section.tsx'
import { SelectField } from '#app/_ui/select-field.tsx'
import { TextField } from '#app/_ui/text-field.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { invariant } from '#lib/base/invariant.ts'
import { US_STATES } from '#lib/domain/intake/us-states.ts'
import type { PersonKind } from '#lib/domain/staffing/person-draft.ts'
import { type PeopleView, readPeople } from '#lib/usecases/read-clinic-setup.ts'
import { plainDate, sessionWords } from '#lib/words/session-words.ts'
import { asLineStart } from '../../../../referrals/words.ts'
import styles from '../../../clinic.module.css'
import { EffectsNotice } from '../../../effects-notice.tsx'
import { stateName } from '../../words.ts'
import { keepLicence, keepPerson, standPerson, takeLicenceAway } from './actions.ts'

export const metadata: Metadata = { title: 'Person' }

const DONE = {
  added: 'Added.',
  saved: 'Saved.',
  licence: 'The licences are saved.',
  give_up: 'Noted. Nothing new is booked with them.',
  take_back: 'Noted. Visits can be booked with them again.',
} as const
/** Anything that isn't one of ours counts as not given: an address may be typed. */
const query = z.object({
  licence: z.string().nullable().catch(null),
})

export default async function PersonPage({ params, searchParams }: PageProps<'/clinic/people/[kind]/[id]'>) {
  const ctx = await staffContext('people.write')
  const { kind: folder, id } = await params
  const asked = await searchParams
  const { licence } = query.parse(asked)
  const kind = { clinicians: 'clinician', interpreters: 'interpreter' }[folder] as PersonKind | undefined
  if (!kind) notFound()
  const read = await readPeople(ctx)
  invariant(read.ok, 'the page has asked for the same permission')
  const isNew = id === 'new'
  const clinician = kind === 'clinician' ? read.value.clinicians.find((one) => one.id === id) : undefined
  const person = clinician ?? read.value.interpreters.find((one) => one.id === id && kind === 'interpreter')
  if (!isNew && !person) notFound()
  const { clinic } = await signedInStaff()
  return (
    <>
      <BackLink href="/clinic/people">People</BackLink>
      <Opener kicker={kind === 'clinician' ? 'Clinician' : 'Interpreter'}>
        {person ? (
          <Sentence person={person} clinician={clinician} today={read.value.today} />
        ) : (
          `Who is the new ${kind}?`
        )}
      </Opener>
      <DoneNotice words={DONE} done={asked.done} />
      {person && !person.isActive && <Notice kind="caution" heading="No longer works here" />}
      {!person ? (
        <PersonForm ctx={ctx} kind={kind} person={null} credentials="" timeZone={clinic.timeZone} />
      ) : (
        <Split beside={<Beside ctx={ctx} kind={kind} person={person} />}>
          {clinician && <Licences ctx={ctx} clinician={clinician} chosen={licence} today={read.value.today} />}
          <Section heading="Who they are">
            <PersonForm
              ctx={ctx}
              kind={kind}
              person={person}
              credentials={clinician?.credentials ?? ''}
              timeZone={person.timeZone}
            />
          </Section>
        </Split>
      )}
    </>
  )
}

type Clinician = PeopleView['clinicians'][number]
type Person = PeopleView['interpreters'][number]

function Sentence({ person, clinician, today }: { person: Person; clinician: Clinician | undefined; today: string }) {
  if (!clinician) return person.name
  const valid = clinician.licences.filter(
    ({ validFrom, validTo }) => validFrom <= today && (validTo === null || validTo >= today),
  )
  const states = [...new Set(valid.map(({ state }) => stateName(state)))]
  return (
    <>
      {person.name}
      {clinician.credentials !== '' && `, ${clinician.credentials}`}:{' '}
      {states.length === 0
        ? 'holds no licence today.'
        : `may examine patients in ${new Intl.ListFormat('en-US').format(states)}.`}
    </>
  )
}

type FormProps = { ctx: StaffCtx; kind: PersonKind; person: Person | null; credentials: string; timeZone: string }

function PersonForm({ ctx, kind, person, credentials, timeZone }: FormProps) {
  return (
    <FormShell action={keepPerson.bind(null, kind, person?.id ?? null)} commandKey={ctx.newId('cmd')}>
      {person && <HiddenField name="version" value={String(person.version)} />}
      <TextField name="name" label="Name" value={person?.name} width={20} />
      {kind === 'clinician' && (
        <TextField name="credentials" label="Credentials" hint="Like DPM or MD." value={credentials} width={10} />
      )}
      <TextField
        name="languages"
        label={kind === 'clinician' ? 'Languages they examine in' : 'Languages they interpret'}
        hint="Language tags with a space between two, like en es vi."
        value={person?.languages.join(' ') ?? (kind === 'clinician' ? 'en' : '')}
        width={20}
        spellCheck={false}
      />
      <TextField
        name="timeZone"
        label="Time zone they work in"
        hint="Its full name, like America/New_York."
        value={timeZone}
        width={20}
        spellCheck={false}
      />
      <EffectsNotice />
      <Actions>
        <Button>{person ? 'Save' : `Add this ${kind}`}</Button>
      </Actions>
    </FormShell>
  )
}

type LicencesProps = { ctx: StaffCtx; clinician: Clinician; chosen: string | null; today: string }

function Licences({ ctx, clinician, chosen, today }: LicencesProps) {
  const licence = clinician.licences.find(({ id }) => id === chosen) ?? null
  const here = `/clinic/people/clinicians/${clinician.id}`
  return (
    <Section heading="Licences" id="licences">
      <div className={styles.parts}>
        {clinician.licences.length === 0 ? (
          <EmptyState>No licence yet. Visits can be booked only where the patient’s state is licensed.</EmptyState>
        ) : (
          <RuledList label="Licences">
            {clinician.licences.map(({ id, state, validFrom, validTo }) => (
              <RuledItem
                key={id}
                end={
                  id !== licence?.id && (
                    <Link href={`${here}?licence=${id}#licences`}>
                      Change <span className={styles.hidden}>the licence of {stateName(state)}</span>
                    </Link>
                  )
                }
              >
                <strong>{stateName(state)}</strong>, {validFrom > today ? 'from' : 'since'} {plainDate(validFrom)}
                {validTo !== null && `, ${validTo < today ? 'ended' : 'until'} ${plainDate(validTo)}`}
              </RuledItem>
            ))}
          </RuledList>
        )}
        <FormShell
          key={licence?.id ?? 'new'}
          action={keepLicence.bind(null, clinician.id, licence?.id ?? null)}
          commandKey={ctx.newId('cmd')}
        >
          <h3>{licence ? `Change the licence of ${stateName(licence.state)}` : 'Add a licence'}</h3>
          <HiddenField name="clinicianVersion" value={String(clinician.version)} />
          <SelectField
            name="state"
            label="State"
            none="Choose a state"
            value={licence?.state}
            options={US_STATES.map(({ code, name }) => ({ value: code, label: name }))}
          />
          <DateFields name="validFrom" label="Valid from" value={licence?.validFrom} />
          <DateFields
            name="validTo"
            label="Valid to"
            hint="The last day on which it is valid."
            optional="if it has an end"
            value={licence?.validTo ?? undefined}
          />
          <EffectsNotice />
          <Actions>
            <Button look="plain">{licence ? 'Save this licence' : 'Add this licence'}</Button>
            {licence && <Link href={`${here}#licences`}>Leave it as it is</Link>}
          </Actions>
        </FormShell>
        {licence && (
          <FormShell action={takeLicenceAway.bind(null, clinician.id, licence.id)} commandKey={ctx.newId('cmd')}>
            <HiddenField name="clinicianVersion" value={String(clinician.version)} />
            <EffectsNotice />
            <Actions>
              <Button look="grave" id="away">
                Take it away: it was written by mistake
              </Button>
            </Actions>
          </FormShell>
        )}
      </div>
    </Section>
  )
}

function Beside({ ctx, kind, person }: { ctx: StaffCtx; kind: PersonKind; person: Person }) {
  const kept = person.sessions.filter(({ standing }) => standing !== 'ended')
  const deed = person.isActive ? 'give_up' : 'take_back'
  return (
    <>
      <Section
        heading="Sessions"
        aside={
          person.isActive && (
            <ButtonLink href={`/clinic/sessions/new?owner=${encodeURIComponent(`${kind} ${person.id}`)}`}>
              Add a session
            </ButtonLink>
          )
        }
      >
        {kept.length === 0 ? (
          <EmptyState>No session: nobody can be booked with them yet.</EmptyState>
        ) : (
          <RuledList label="Sessions">
            {kept.map(({ session, siteName, roomName, standing }) => (
              <RuledItem key={session.id}>
                <Link href={`/clinic/sessions/${session.id}`}>
                  {asLineStart(sessionWords(session, { site: siteName, room: roomName }))}
                </Link>
                {standing === 'paused' && ', paused'}
              </RuledItem>
            ))}
          </RuledList>
        )}
      </Section>
      <Section heading={person.isActive ? 'Leaving' : 'Coming back'}>
        <FormShell action={standPerson.bind(null, kind, person.id, deed)} commandKey={ctx.newId('cmd')}>
          <HiddenField name="personVersion" value={String(person.version)} />
          <p>
            {person.isActive
              ? 'Nothing new is booked with them. They stay on every visit that they had.'
              : 'Their sessions take visits again.'}
          </p>
          <EffectsNotice />
          <Actions>
            <Button look={person.isActive ? 'grave' : 'plain'} id="stand">
              {person.isActive ? `Note that ${person.name} has left` : `Note that ${person.name} is back`}
            </Button>
          </Actions>
        </FormShell>
      </Section>
    </>
  )
}
