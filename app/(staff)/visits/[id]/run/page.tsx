/**
 * The run sheet: beside the video window, in the order of the exam. Identity, place, contact and consent come first and are
 * confirmed or skipped with a reason; the stop stands at the top of every screen.
 */
import type { Metadata } from 'next'
import { notFound, redirect } from 'next/navigation'
import type { ReactNode } from 'react'
import { staffContext } from '#app/_server/staff-page.ts'
import { ButtonLink } from '#app/_ui/button.tsx'
import { SetUpFigure } from '#app/_ui/figures/set-up-figure.tsx'
import type { FormAction } from '#app/_ui/form-state.ts'
import { Notice } from '#app/_ui/notice.tsx'
import { Opener } from '#app/_ui/opener.tsx'
import { PhoneNumber } from '#app/_ui/phone-link.tsx'
import { TimeText } from '#app/_ui/time-text.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { CHECK_WORDS, type CheckItem } from '#lib/domain/outcomes/vocabulary.ts'
import { type RunSheet, readRunSheet } from '#lib/usecases/read-run-sheet.ts'
import { birthDateWords, complaintWords } from '../../../referrals/words.ts'
import { writeEntry } from './actions.ts'
import { EmergencySteps } from './emergency-steps.tsx'
import { Radios, TextLine } from './entry-fields.tsx'
import { EntryForm } from './entry-form.tsx'
import { LineState } from './line-state.tsx'
import styles from './run.module.css'
import { RunProvider } from './run-context.tsx'
import { SafetyStop } from './safety-stop.tsx'
import { StationBlock, WrittenBy } from './station-block.tsx'
import { Stopwatch } from './tools.tsx'

export const metadata: Metadata = { title: 'Run sheet' }

export default async function RunSheetPage({ params }: PageProps<'/visits/[id]/run'>) {
  const ctx = await staffContext('visit.read')
  const { id } = await params
  const result = await readRunSheet(ctx, { visitId: id })
  if (!result.ok) notFound()
  const sheet = result.value
  const { visit, clinic, record } = sheet
  // At the clinic nothing is run from a sheet; it is only ended and signed.
  if (visit.mode === 'in_person') redirect(`/visits/${id}/after`)
  const action = writeEntry.bind(null, id)
  const newId = () => ctx.newId('ent')
  const isLocked = record.signed !== null || !sheet.may.record || !sheet.isOpenYet || visit.status !== 'booked'
  const common = { action, newId, isLocked, timeZone: clinic.timeZone, language: sheet.patient.language }
  const numberOf = new Map(
    sheet.setUps.flatMap(({ stations }) => stations).map(({ station }, at) => [station.id, at + 1]),
  )

  return (
    <RunProvider visitId={id} staffId={ctx.actor.id}>
      <BackLink href={`/visits/${id}`}>The visit</BackLink>
      <Opener kicker="Run sheet">
        {visit.patientName}, <TimeText at={visit.startsAt} timeZone={clinic.timeZone} alsoIn={visit.patientTimeZone} />.{' '}
        {complaintWords(visit.side, visit.condition)}.
      </Opener>
      <div className={styles.bar}>
        <span className={styles.state}>
          <LineState />
          <Stopwatch label="Stopwatch" isNamed />
        </span>
        <SafetyStop action={action} entryId={newId()} isStopped={record.stoppedAt !== null} isLocked={isLocked}>
          <EmergencySteps sheet={sheet} />
        </SafetyStop>
      </div>
      <Locked sheet={sheet} />
      <section className={styles.part} aria-labelledby="first">
        <h2 id="first">First</h2>
        {sheet.openChecks.length > 0 && (
          <p>Each is confirmed, or skipped with a reason. The visit cannot be signed while one is open.</p>
        )}
        <div className={styles.turns}>
          {sheet.checks.map(({ item, stands }) => (
            <Check key={item} item={item} stands={stands} sheet={sheet} {...common} />
          ))}
        </div>
      </section>
      {sheet.setUps.map(({ setUpId, title, geometry, stations }, at) => (
        // A set-up can come twice, with another between.
        <section key={`${setUpId} ${stations[0]?.station.id}`} className={styles.part} aria-labelledby={`set-up-${at}`}>
          <h2 id={`set-up-${at}`}>{title}</h2>
          <details className={styles.drawing}>
            <summary>How it is set up</summary>
            <SetUpFigure geometry={geometry} locale="en" />
          </details>
          {stations.map((run) => (
            <StationBlock
              key={run.station.id}
              number={numberOf.get(run.station.id) ?? 0}
              run={run}
              complaint={visit.side}
              {...common}
            />
          ))}
        </section>
      ))}
      <section className={styles.part} aria-labelledby="last">
        <h2 id="last">At the end</h2>
        <p>
          A red flag that is told or seen now is written down in triage: it is screened at once and raises its alert.
        </p>
        <p className={styles.row}>
          <ButtonLink href={`/visits/${id}/after`} look="deed">
            End and sign
          </ButtonLink>
          <ButtonLink href={`/referrals/${visit.referralId}/triage`}>Note a red flag</ButtonLink>
        </p>
        {sheet.protocol.demonstration && (
          <p className={styles.soft}>
            Demonstration protocol: it needs sign-off by the clinic’s licensed lead before it is used on patients. It
            prepares and records; it makes no diagnosis.
          </p>
        )}
      </section>
    </RunProvider>
  )
}

function Locked({ sheet: { record, may, isOpenYet, visit, clinic } }: { sheet: RunSheet }) {
  if (record.signed !== null)
    return (
      <Notice kind="note" heading={`Signed by ${record.signed.by}`}>
        <p>
          <TimeText at={record.signed.at} timeZone={clinic.timeZone} />. What is learnt now is an addendum.
        </p>
      </Notice>
    )
  if (visit.status !== 'booked') return <Notice kind="caution" heading="This visit is not open" />
  if (!may.record) return <Notice kind="note" heading="To read only: the clinician of this visit records" />
  if (!isOpenYet) return <Notice kind="note" heading="To read only yet: entries open an hour before the start" />
  return null
}

type CheckProps = {
  item: CheckItem
  stands: RunSheet['checks'][number]['stands']
  sheet: RunSheet
  action: FormAction
  newId: () => string
  isLocked: boolean
}

const CHECK_STATE_WORDS = { confirmed: 'Confirmed', skipped: 'Skipped' } as const

function Check({ item, stands, sheet, action, newId, isLocked }: CheckProps) {
  const slot = `check-${item}`
  const field = (name: string) => ({ slot, name, stands: stands?.fields[name] ?? '' })
  return (
    <fieldset id={slot} className={styles.check} disabled={isLocked}>
      <legend>{CHECK_WORDS[item]}</legend>
      <p>{askOf(item, sheet)}</p>
      <EntryForm
        action={action}
        subject={{ kind: 'check', item }}
        base={stands?.version ?? 0}
        stands={stands?.said ?? null}
        writtenBy={stands && <WrittenBy stands={stands} timeZone={sheet.clinic.timeZone} />}
        measures={[]}
        entryId={newId()}
        isLocked={isLocked}
      >
        <Radios
          {...field('state')}
          label="Confirmed or skipped"
          isLabelHeard
          options={['confirmed', 'skipped']}
          words={CHECK_STATE_WORDS}
        />
        <TextLine {...field('because')} label="Why skipped, or what differs" />
      </EntryForm>
    </fieldset>
  )
}

/** What is on file, to be asked for in the patient's own words. */
function askOf(item: CheckItem, { visit, patient }: RunSheet): ReactNode {
  const missing = 'Nothing is on file: ask now.'
  const callBack = visit.callbackPhone ?? visit.patientPhone
  switch (item) {
    case 'identity':
      return patient.birthDate === null
        ? `${visit.patientName}. Ask for the name and the date of birth; none is on file.`
        : `${visit.patientName}, born ${birthDateWords(patient.birthDate)}. Ask for both; say who you are.`
    case 'place':
      return visit.placeAddress === null
        ? missing
        : `${visit.placeAddress}, ${visit.placeState}. Ask where they are now.`
    case 'emergency_contact':
      return visit.contactPhone === null ? (
        missing
      ) : (
        <>
          {visit.contactName}, <PhoneNumber number={visit.contactPhone} />. Call back:{' '}
          {callBack === null ? 'not given' : <PhoneNumber number={callBack} />}.
        </>
      )
    case 'consent':
      return patient.consentedAt === null
        ? 'No consent is on file: say what a visit by video can’t show, and ask.'
        : 'Consent is on file. Say what a visit by video can’t show, and ask again.'
  }
}
