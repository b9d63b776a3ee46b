/** The private calendar addresses of clinicians: make one, make a new one, take it back. */
import type { Metadata } from 'next'
import { staffContext } from '#app/_server/staff-page.ts'
import { Actions, Button } from '#app/_ui/button.tsx'
import { DoneNotice } from '#app/_ui/done-notice.tsx'
import { EmptyState } from '#app/_ui/empty-state.tsx'
import { FormShell } from '#app/_ui/form-shell.tsx'
import { Opener } from '#app/_ui/opener.tsx'
import { Section } from '#app/_ui/section.tsx'
import { TimeText } from '#app/_ui/time-text.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { invariant } from '#lib/base/invariant.ts'
import { type Calendars, readCalendars } from '#lib/usecases/read-calendars.ts'
import { makeAddress, takeBack } from './actions.ts'
import { AddressForm } from './address-form.tsx'
import styles from './calendar.module.css'

export const metadata: Metadata = { title: 'Calendars' }

const DONE = { ended: 'Taken back. The old address shows nothing any more.' }

export default async function CalendarPage({ searchParams }: PageProps<'/clinic/calendar'>) {
  const ctx = await staffContext('feed.write')
  const { done } = await searchParams
  const result = await readCalendars(ctx)
  invariant(result.ok, 'the page has asked for the same permission')
  const { calendars, timeZone, patientNames } = result.value
  const isOwnAlone = calendars.length === 1 && calendars[0]?.isOwn === true
  return (
    <>
      <BackLink href="/clinic">Clinic</BackLink>
      <Opener kicker="Calendars">
        {isOwnAlone
          ? 'Your visits in your own calendar program, kept up to date by itself.'
          : 'Each clinician’s visits in their own calendar program, kept up to date by itself.'}
      </Opener>
      <DoneNotice words={DONE} done={done} />
      <div className={styles.lead}>
        <p>
          A calendar has a private address. It shows when and where each visit is, and{' '}
          {patientNames ? 'who comes, because the clinic decided so' : 'never who comes or why'}. A new address ends the
          old one at once.
        </p>
        {calendars.length === 0 && (
          <EmptyState>No clinician works here. Once one is added, their calendar is here.</EmptyState>
        )}
      </div>
      {calendars.map((calendar) => (
        <CalendarSection
          key={calendar.clinicianId}
          calendar={calendar}
          timeZone={timeZone}
          newKey={() => ctx.newId('cmd')}
        />
      ))}
    </>
  )
}

type SectionProps = { calendar: Calendars['calendars'][number]; timeZone: string; newKey: () => string }

function CalendarSection({ calendar, timeZone, newKey }: SectionProps) {
  const { clinicianId, name, credentials, feed } = calendar
  return (
    <Section heading={`${name}, ${credentials}`} id={`end-${clinicianId}`}>
      <div className={styles.stack}>
        <p>
          {feed === null ? (
            'No address yet.'
          ) : (
            <>
              The address was made on <TimeText at={feed.createdAt} timeZone={timeZone} />
              {feed.createdBy !== null && ` by ${feed.createdBy}`}.
            </>
          )}
        </p>
        <AddressForm
          action={makeAddress.bind(null, clinicianId)}
          commandKey={newKey()}
          clinicianId={clinicianId}
          clinicianName={name}
          hasAddress={feed !== null}
        />
        {feed !== null && (
          <FormShell action={takeBack.bind(null, clinicianId)} commandKey={newKey()}>
            <Actions>
              <Button look="grave">Take the address back</Button>
            </Actions>
          </FormShell>
        )}
      </div>
    </Section>
  )
}
