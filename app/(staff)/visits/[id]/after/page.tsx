/** After the visit: what stands, how it goes on, the signature; and once signed, the note, its files and what is added. */
import type { Metadata } from 'next'
import Link from 'next/link'
import { notFound } from 'next/navigation'
import { staffContext } from '#app/_server/staff-page.ts'
import { Actions, Button, ButtonLink } from '#app/_ui/button.tsx'
import { CheckboxGroup } from '#app/_ui/checkbox-group.tsx'
import { DateFields } from '#app/_ui/date-fields.tsx'
import { EmptyState } from '#app/_ui/empty-state.tsx'
import { FormShell } from '#app/_ui/form-shell.tsx'
import { Notice } from '#app/_ui/notice.tsx'
import { Opener } from '#app/_ui/opener.tsx'
import { RadioGroup } from '#app/_ui/radio-group.tsx'
import { RuledItem, RuledList, RuledTable } from '#app/_ui/ruled.tsx'
import { Section } from '#app/_ui/section.tsx'
import { TextareaField } from '#app/_ui/textarea-field.tsx'
import { TimeText } from '#app/_ui/time-text.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { Temporal } from '#lib/base/time.ts'
import { suggestedFollowUp } from '#lib/domain/outcomes/next-step.ts'
import {
  CHECK_WORDS,
  FOLLOW_UP_WORDS,
  FOLLOW_UPS,
  VISIT_OUTCOME_WORDS,
  type VisitOutcome,
} from '#lib/domain/outcomes/vocabulary.ts'
import { type RunSheet, readRunSheet } from '#lib/usecases/read-run-sheet.ts'
import { dateWords } from '#lib/words/time-words.ts'
import { IMPORTANCE_WORDS } from '../../../referrals/[id]/screening/words.ts'
import { count, SIDE_WORDS } from '../../../referrals/words.ts'
import { NotSentYet } from '../run/not-sent-yet.tsx'
import { RunProvider } from '../run/run-context.tsx'
import styles from '../visit.module.css'
import { addToRecord, noteNoShow, sign } from './actions.ts'

export const metadata: Metadata = { title: 'After the visit' }

export default async function AfterPage({ params }: PageProps<'/visits/[id]/after'>) {
  const ctx = await staffContext('visit.read')
  const { id } = await params
  const result = await readRunSheet(ctx, { visitId: id })
  if (!result.ok) notFound()
  const sheet = result.value
  const { visit, clinic, record } = sheet
  const isOpen = visit.status === 'booked'
  const mayNoShow = isOpen && sheet.may.noShow && sheet.hasStarted && record.beganAt === null

  return (
    <>
      <BackLink href={`/visits/${id}`}>The visit</BackLink>
      <Opener kicker="After the visit">
        {visit.patientName}, <TimeText at={visit.startsAt} timeZone={clinic.timeZone} alsoIn={visit.patientTimeZone} />:{' '}
        {record.outcome === null ? 'not signed yet' : VISIT_OUTCOME_WORDS[record.outcome].toLowerCase()}.
      </Opener>
      {record.signed !== null && (
        <Signed sheet={sheet} addAction={addToRecord.bind(null, id)} addKey={ctx.newId('cmd')} />
      )}
      {isOpen && sheet.may.record && (
        <RunProvider visitId={id} staffId={ctx.actor.id}>
          <NotSentYet runSheet={`/visits/${id}/run`} />
        </RunProvider>
      )}
      {mayNoShow && (
        <Section heading="The patient did not come">
          <FormShell action={noteNoShow.bind(null, id)} commandKey={ctx.newId('cmd')}>
            <TextareaField name="tried" label="What was tried to reach them" rows={2} />
            <Actions>
              <Button look="plain">Say that nobody came</Button>
            </Actions>
          </FormShell>
        </Section>
      )}
      <Written sheet={sheet} />
      {isOpen && sheet.may.record && sheet.isOpenYet && (
        <Sign sheet={sheet} action={sign.bind(null, id, sheet.revision)} commandKey={ctx.newId('cmd')} />
      )}
      {isOpen && !sheet.isOpenYet && (
        <Notice kind="note" heading="Nothing can be said of this visit before an hour ahead of its start" />
      )}
    </>
  )
}

function Written({ sheet: { setUps, checks, open, openChecks, visit, record } }: { sheet: RunSheet }) {
  const stations = setUps.flatMap((group) => group.stations)
  const isEmpty = isNothingWritten({ setUps, checks })
  if (visit.mode === 'in_person') return null
  return (
    <Section
      heading="What is written down"
      aside={visit.status === 'booked' && <Link href={`/visits/${visit.visitId}/run`}>Back to the run sheet</Link>}
    >
      {record.stoppedAt !== null && <Notice kind="emergency" heading="This visit was stopped for safety" level={3} />}
      {record.signed === null && (
        <p>
          {openChecks.length === 0
            ? 'Identity, place, contact and consent are settled.'
            : `Still to confirm or skip: ${openChecks.map((item) => CHECK_WORDS[item].toLowerCase()).join(', ')}.`}{' '}
          {open.length === 0
            ? 'Everything planned has an entry.'
            : `Of what was planned, ${count(open.length, 'part')} ${open.length === 1 ? 'has' : 'have'} no entry yet.`}
        </p>
      )}
      {isEmpty ? (
        <EmptyState>Nothing yet. What is entered on the run sheet stands here.</EmptyState>
      ) : (
        <RuledTable
          caption="What came of each station"
          isCaptionHidden
          head={['Check or station', 'Side', 'What came of it']}
        >
          {checks.map(({ item, stands }) => (
            <tr key={item}>
              <th scope="row">{CHECK_WORDS[item]}</th>
              <td />
              <td>{stands?.said ?? 'Open'}</td>
            </tr>
          ))}
          {stations.flatMap(({ station, turns }) =>
            turns.map(({ side, stands }) => (
              <tr key={`${station.id} ${side}`}>
                <th scope="row">{station.title}</th>
                <td>{SIDE_WORDS[side]}</td>
                <td>{stands?.said ?? 'No entry'}</td>
              </tr>
            )),
          )}
        </RuledTable>
      )}
    </Section>
  )
}

function isNothingWritten({ setUps, checks }: Pick<RunSheet, 'setUps' | 'checks'>): boolean {
  const turns = setUps.flatMap(({ stations }) => stations.flatMap((each) => each.turns))
  return [...checks, ...turns].every(({ stands }) => stands === null)
}

type SignProps = { sheet: RunSheet; action: Parameters<typeof FormShell>[0]['action']; commandKey: string }

const OUTCOMES = ['completed', 'left_early', 'technical_failure', 'stopped_for_safety'] as const

function Sign({ sheet, action, commandKey }: SignProps) {
  const { left, open, record, followUpLimits, hasOtherVisit, visit } = sheet
  const isStopped = record.stoppedAt !== null
  const outcome: VisitOutcome = isStopped ? 'stopped_for_safety' : 'completed'
  const limit = followUpLimits[isStopped ? 'stopped_for_safety' : 'completed']
  const outcomes = OUTCOMES.filter((each) => (each === 'stopped_for_safety') === isStopped)
  return (
    <Section heading="Sign">
      <FormShell action={action} commandKey={commandKey}>
        <RadioGroup
          name="outcome"
          label="How the visit ended"
          value={isStopped ? 'stopped_for_safety' : undefined}
          options={outcomes.map((each) => ({ value: each, label: VISIT_OUTCOME_WORDS[each] }))}
        />
        {open.length > 0 && !isStopped && (
          <CheckboxGroup
            name="rest"
            label={`${count(open.length, 'planned part')} without an entry`}
            hint={isNothingWritten(sheet) ? undefined : 'They stand above as “No entry”'}
            options={[{ value: 'no_time', label: 'There was no time for it' }]}
          />
        )}
        <TextareaField
          name="note"
          label="Note"
          hint="What else was found, and what happened"
          optional="optional for a completed visit"
          rows={4}
        />
        {hasOtherVisit ? (
          <p>
            Another visit of this patient is booked. It stays as it is.{' '}
            <input type="hidden" name="followUp" value="none" />
          </p>
        ) : (
          <>
            <RadioGroup
              name="followUp"
              label="How it goes on"
              value={suggestedFollowUp(outcome, left)}
              options={FOLLOW_UPS.filter((kind) => !isStopped || kind === 'in_person' || kind === 'call').map(
                (kind) => ({
                  value: kind,
                  label: FOLLOW_UP_WORDS[kind],
                }),
              )}
            />
            {left.length > 0 && (
              <CheckboxGroup
                name="stations"
                label="At the clinic is still to be examined"
                values={left.filter(({ importance }) => importance !== 'optional').map(({ stationId }) => stationId)}
                options={left.map(({ stationId, title, importance, why }) => ({
                  value: stationId,
                  label: title,
                  hint: `${IMPORTANCE_WORDS[importance]}; ${why === 'planned' ? 'planned, not done' : 'the home did not allow it'}`,
                }))}
              />
            )}
            <DateFields
              name="seeByOn"
              label="At the clinic by"
              hint={`At the latest ${dateWords(Temporal.PlainDate.from(limit))}. It can be brought forward, not put off.`}
              value={limit}
            />
            <TextareaField
              name="because"
              label="Why it goes on so"
              hint="When nothing follows: why nothing more is needed"
              optional="optional when something follows"
              rows={2}
            />
          </>
        )}
        <p>Signing locks the record of {visit.patientName}. What is learnt later is added to it.</p>
        <Actions>
          <Button>Sign and lock</Button>
        </Actions>
      </FormShell>
    </Section>
  )
}

type SignedProps = { sheet: RunSheet; addAction: Parameters<typeof FormShell>[0]['action']; addKey: string }

function Signed({ sheet, addAction, addKey }: SignedProps) {
  const { visit, record, followUp, addenda, clinic } = sheet
  if (record.signed === null) return null
  return (
    <>
      <Section heading="Signed" id="signed">
        <p>
          By {record.signed.by}, <TimeText at={record.signed.at} timeZone={clinic.timeZone} />. The record is locked.
        </p>
        {record.note !== '' && <p>{record.note}</p>}
        <Actions>
          <ButtonLink href={`/visits/${visit.visitId}/note/pdf`}>Note as PDF</ButtonLink>
          <ButtonLink href={`/visits/${visit.visitId}/note/text`}>Note as text</ButtonLink>
          <ButtonLink href={`/visits/${visit.visitId}/note/fhir`}>Note as FHIR R4</ButtonLink>
        </Actions>
      </Section>
      {followUp !== null && (
        <Section heading="How it goes on">
          <p>
            {FOLLOW_UP_WORDS[followUp.kind]}
            {followUp.seeBy !== null && (
              <>
                {' '}
                by <TimeText at={followUp.seeBy} timeZone={clinic.timeZone} />
              </>
            )}
            {followUp.because === null ? '.' : `. ${followUp.because}`}
          </p>
          {followUp.referralId !== null && (
            <Actions>
              {sheet.may.book && (
                <ButtonLink href={`/referrals/${followUp.referralId}/book`} look="deed">
                  Book the follow-up
                </ButtonLink>
              )}
              <ButtonLink href={`/referrals/${followUp.referralId}`}>Open its referral</ButtonLink>
            </Actions>
          )}
          {(followUp.kind === 'call' || followUp.kind === 'by_video') && (
            <p>
              It is on the desk under “After a visit”.{' '}
              <Link href={`/referrals/${visit.referralId}`}>Open the referral</Link>
            </p>
          )}
        </Section>
      )}
      <Section heading="Addenda">
        {addenda.length === 0 ? (
          <p>Nothing was added.</p>
        ) : (
          <RuledList label="Addenda">
            {addenda.map(({ id, text, by, at }) => (
              <RuledItem key={id}>
                <p>{text}</p>
                <p className={styles.soft}>
                  By {by}, <TimeText at={at} timeZone={clinic.timeZone} />
                </p>
              </RuledItem>
            ))}
          </RuledList>
        )}
        {sheet.may.record && (
          <FormShell action={addAction} commandKey={addKey}>
            <TextareaField name="addendum" label="Add to the record" rows={2} />
            <Actions>
              <Button look="plain">Add it</Button>
            </Actions>
          </FormShell>
        )}
      </Section>
    </>
  )
}
