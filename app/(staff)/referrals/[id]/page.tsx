/** One referral: what has to happen next, what is missing, and everything that is known of it. */

import type { Metadata } from 'next'
import { notFound } from 'next/navigation'
import { staffContext } from '#app/_server/staff-page.ts'
import { Actions, Button, ButtonLink } from '#app/_ui/button.tsx'
import { DoneNotice } from '#app/_ui/done-notice.tsx'
import { FormShell } from '#app/_ui/form-shell.tsx'
import { Notice } from '#app/_ui/notice.tsx'
import { Opener } from '#app/_ui/opener.tsx'
import { PhoneNumber } from '#app/_ui/phone-link.tsx'
import { KeyValueList, RuledItem, RuledList } from '#app/_ui/ruled.tsx'
import { Section, Split } from '#app/_ui/section.tsx'
import { TextareaField } from '#app/_ui/textarea-field.tsx'
import { TimeText } from '#app/_ui/time-text.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { fullName } from '#lib/base/plain-text.ts'
import { Temporal } from '#lib/base/time.ts'
import { NEXT_STEP_WORDS, type NextStep } from '#lib/domain/desk/next-step.ts'
import { TASK_WORDS } from '#lib/domain/desk/task-words.ts'
import { MISSING_WORDS } from '#lib/domain/intake/referral-draft.ts'
import { type ReferralPage as Page, readReferral } from '#lib/usecases/read-referral.ts'
import { BreachHelp, BreachSentence } from '../breach.tsx'
import styles from '../referral.module.css'
import { awayWords, birthDateWords, complaintWords, PRIORITY_WORDS } from '../words.ts'
import { close, endTask, reopen } from './actions.ts'
import { AnswersSection, AssessmentSection, HistorySection, MessagesSection, VisitsSection } from './parts.tsx'
import { SamePerson } from './same-person.tsx'

export const metadata: Metadata = { title: 'Referral' }

const DONE = {
  added: 'The referral is in.',
  known: 'This referral was here before. Nothing was added.',
  triaged: 'The triage is saved.',
  details: 'The details are saved.',
  task: 'Noted. The task is off the desk.',
  same: 'The referral now belongs to the record that was there.',
  different: 'Kept apart: they are two people.',
  closed: 'The referral is closed.',
  reopened: 'The referral is open again.',
} as const

export default async function ReferralPage({ params, searchParams }: PageProps<'/referrals/[id]'>) {
  const ctx = await staffContext('referral.read')
  const { id: referralId } = await params
  const { done } = await searchParams
  const result = await readReferral(ctx, { referralId })
  if (!result.ok) notFound()
  const page = result.value
  const now = ctx.now()
  return (
    <>
      <BackLink href="/desk">Desk</BackLink>
      <Opener kicker="Referral">
        <Sentence page={page} now={now} />
      </Opener>
      <div className={styles.lines}>
        <DoneNotice words={DONE} done={done} />
        <EmergencyCall page={page} />
        <NextDeed page={page} />
      </div>
      <Split
        beside={
          <>
            <Who page={page} />
            <Why page={page} />
            <MessagesSection page={page} />
            {page.may.close &&
              (page.referral.stage === 'closed' ? (
                <ReopenForm referralId={referralId} />
              ) : (
                <CloseForm referralId={referralId} />
              ))}
          </>
        }
      >
        <SamePerson page={page} />
        <OtherTasks page={page} now={now} />
        <Missing page={page} />
        <AssessmentSection page={page} />
        <VisitsSection page={page} />
        <AnswersSection page={page} />
        <HistorySection page={page} />
      </Split>
    </>
  )
}

/** Who, with what, by when, and what to do. In an emergency the date months ahead is no news. */
function Sentence({ page: { referral, patient, step, timeZone }, now }: { page: Page; now: Temporal.Instant }) {
  const { seeBy } = referral
  const isDated = seeBy !== null && step !== 'closed' && !referral.isStopped
  return (
    <>
      {patient.givenName} {patient.familyName}.{' '}
      {complaintWords(referral.side, referral.condition ?? referral.conditionText)}.{' '}
      {isDated && (
        <>
          To be seen by <TimeText at={seeBy} timeZone={timeZone} />
          {step === 'booked' && !referral.isLate ? '' : ` (${awayWords(Temporal.Instant.from(seeBy), now, timeZone)})`}.{' '}
        </>
      )}
      {step === 'closed' ? 'Closed.' : `Next: ${sentence(NEXT_STEP_WORDS[step].heading.toLowerCase())}`}
    </>
  )
}

/** The call that comes before everything else, with the advice to give and a place to write down what was said. */
function EmergencyCall({ page: { tasks, patient, clinic, referral, may } }: { page: Page }) {
  const calls = tasks.filter(({ kind, done }) => done === null && kind === 'emergency_call')
  return calls.map((task) => (
    <section key={task.id} id="call">
      <Notice kind="emergency" heading={`Call the patient now${task.flag ? `: ${task.flag.title}` : ''}`}>
        <p>
          {patient.phone === null ? (
            'No phone number is known. Ask the referrer.'
          ) : (
            <>
              Phone <PhoneNumber number={patient.phone} />
            </>
          )}
          {referral.referrerPhone !== null && (
            <>
              {' '}
              (referrer <PhoneNumber number={referral.referrerPhone} />)
            </>
          )}
          . Emergency number: {clinic.emergencyNumber}.
        </p>
        {task.flag && (
          <>
            <p>Say: “{task.flag.advice[patient.language]}”</p>
            {patient.language !== 'en' && <p>In English: “{task.flag.advice.en}”</p>}
          </>
        )}
        <p>
          Nothing else goes on with this referral until somebody has called. This is no diagnosis: the flag is what was
          answered.
        </p>
        {may.acknowledge && (
          <FormShell action={endTask.bind(null, referral.id, task.id)}>
            <TextareaField name={`note-${task.id}`} label="What was said" rows={3} />
            <Actions>
              <Button>I have called; go on</Button>
            </Actions>
          </FormShell>
        )}
      </Notice>
    </section>
  ))
}

/** Where the next step is done. Steps that are done on this page have none. */
function NextDeed({ page }: { page: Page }) {
  const { step, referral, may } = page
  const ways: Partial<Record<NextStep, { path: string; words: string; isAllowed: boolean }>> = {
    triage: { path: 'triage', words: 'Triage this referral', isAllowed: may.triage },
    complete_details: { path: 'patient', words: 'Complete the details', isAllowed: may.editPatient },
    invite: { path: 'check', words: 'Invite to the home check', isAllowed: may.invite },
    chase: { path: 'check', words: 'Fill in the home check by phone', isAllowed: may.invite },
    ask_again: { path: 'check', words: 'Ask what is left', isAllowed: may.invite },
    book_video: { path: 'book', words: 'Find a start by video', isAllowed: may.book },
    book_in_person: { path: 'book', words: 'Find a start at the clinic', isAllowed: may.book },
    rebook: { path: 'book', words: 'Find another start', isAllowed: may.book },
  }
  // Whoever calls about an urgent sign finds the start in the same call; an emergency is called about first.
  const isUrgent = step === 'call_now' && !referral.isStopped && page.assessment?.disposition === 'urgent_in_person'
  const isBooked = page.visits.some(({ status }) => status === 'booked')
  const way = ways[isUrgent && !isBooked ? 'book_in_person' : step]
  return (
    <>
      <p>{NEXT_STEP_WORDS[step].todo}</p>
      <Actions>
        {way?.isAllowed && (
          <ButtonLink look="deed" href={`/referrals/${referral.id}/${way.path}`}>
            {way.words}
          </ButtonLink>
        )}
        {step !== 'triage' && referral.stage !== 'closed' && !referral.isStopped && may.triage && (
          <ButtonLink href={`/referrals/${referral.id}/triage`}>Triage again</ButtonLink>
        )}
        {page.assessment && <ButtonLink href={`/referrals/${referral.id}/screening`}>Look at the screening</ButtonLink>}
        {may.book && (referral.stage === 'screened' || referral.stage === 'booked') && !referral.isStopped && (
          <ButtonLink href={`/clinic/standby?referral=${referral.id}`}>Standby list</ButtonLink>
        )}
      </Actions>
    </>
  )
}

function Missing({ page: { missing, referral, may } }: { page: Page }) {
  if (missing.length === 0 || referral.stage === 'closed') return null
  return (
    <Section
      heading="What is missing"
      aside={may.editPatient && <ButtonLink href={`/referrals/${referral.id}/patient`}>Fill it in</ButtonLink>}
    >
      <RuledList label="What is missing">
        {missing.map((one) => (
          <RuledItem key={one}>
            <strong>{MISSING_WORDS[one].what}</strong>. {MISSING_WORDS[one].why}
          </RuledItem>
        ))}
      </RuledList>
    </Section>
  )
}

/** Tasks that are not answered elsewhere on the page. */
function OtherTasks({ page: { tasks, referral, timeZone, may }, now }: { page: Page; now: Temporal.Instant }) {
  const open = tasks.filter(({ kind, done }) => done === null && kind !== 'emergency_call' && kind !== 'match')
  if (open.length === 0) return null
  return (
    <Section heading="To do">
      {open.map((task) => (
        <Notice
          key={task.id}
          kind={task.kind === 'urgent_flag' || task.kind === 'see_by_breach' ? 'urgent' : 'caution'}
          heading={TASK_WORDS[task.kind].title}
          level={3}
        >
          {task.breach && (
            <>
              <p>
                <BreachSentence breach={task.breach} now={now} timeZone={timeZone} />
              </p>
              <BreachHelp
                breach={task.breach}
                referralId={referral.id}
                now={now}
                timeZone={timeZone}
                mayBook={may.book}
              />
            </>
          )}
          <p>
            {!task.breach && TASK_WORDS[task.kind].todo}
            {task.flag && ` Flag: ${task.flag.title}.`}
            {task.dueAt !== null && !task.breach && (
              <>
                {' '}
                Until <TimeText at={task.dueAt} timeZone={timeZone} />.
              </>
            )}
          </p>
          {may.acknowledge && (
            <FormShell action={endTask.bind(null, referral.id, task.id)}>
              <TextareaField name={`note-${task.id}`} label="What was done" rows={2} />
              <Actions>
                <Button look="plain">Take it off the desk</Button>
              </Actions>
            </FormShell>
          )}
        </Notice>
      ))}
    </Section>
  )
}

function Who({ page: { patient, referral, sites, may } }: { page: Page }) {
  const address = [patient.addressLine, patient.city, [patient.state, patient.postalCode].filter(Boolean).join(' ')]
    .filter(Boolean)
    .join(', ')
  return (
    <Section
      heading="Who"
      aside={may.editPatient && <ButtonLink href={`/referrals/${referral.id}/patient`}>Change</ButtonLink>}
    >
      <KeyValueList
        items={[
          { name: 'Name', value: fullName(patient) },
          { name: 'Born', value: birthDateWords(patient.birthDate) },
          {
            name: 'Phone',
            value: patient.phone === null ? 'not known' : <PhoneNumber number={patient.phone} />,
          },
          { name: 'E-mail', value: patient.email ?? 'none' },
          { name: 'Reads', value: patient.language === 'es' ? 'Spanish' : 'English' },
          { name: 'Interpreter', value: patient.interpreterLanguage ?? 'not needed' },
          { name: 'Lives at', value: address === '' ? 'not known' : address },
          { name: 'Time zone', value: patient.timeZone ?? 'not known' },
          {
            name: 'Would rather come to',
            value: sites.find(({ id }) => id === patient.preferredSiteId)?.name ?? 'not said',
          },
        ]}
      />
    </Section>
  )
}

function Referrer({ referrerName, referrerPhone }: Pick<Page['referral'], 'referrerName' | 'referrerPhone'>) {
  if (referrerPhone === null) return referrerName ?? 'not told'
  return (
    <>
      {referrerName !== null && `${referrerName}, `}
      <PhoneNumber number={referrerPhone} />
    </>
  )
}

function Why({ page: { referral, timeZone } }: { page: Page }) {
  return (
    <Section heading="The referral">
      <KeyValueList
        items={[
          { name: 'Reason', value: referral.reason },
          { name: 'Suspected by the referrer', value: referral.conditionText ?? 'not told' },
          { name: 'ICD-10-CM', value: referral.icd10.length === 0 ? 'none' : referral.icd10.join(' ') },
          { name: 'Urgency', value: PRIORITY_WORDS[referral.priority] },
          {
            name: 'From',
            value: <Referrer {...referral} />,
          },
          { name: 'Reached the clinic', value: <TimeText at={referral.receivedAt} timeZone={timeZone} show="day" /> },
          ...(referral.externalId === null ? [] : [{ name: 'Their number', value: referral.externalId }]),
          ...(referral.closedBecause === null ? [] : [{ name: 'Closed because', value: referral.closedBecause }]),
        ]}
      />
    </Section>
  )
}

function CloseForm({ referralId }: { referralId: string }) {
  return (
    <Section heading="Close it">
      <details>
        <summary>Close this referral</summary>
        <FormShell action={close.bind(null, referralId)}>
          <TextareaField
            name="because"
            label="Why it is closed"
            rows={2}
            hint="What was still to be sent to the patient is not sent."
          />
          <Actions>
            <Button look="grave">Close this referral</Button>
          </Actions>
        </FormShell>
      </details>
    </Section>
  )
}

function ReopenForm({ referralId }: { referralId: string }) {
  return (
    <Section heading="Take it up again">
      <FormShell action={reopen.bind(null, referralId)}>
        <TextareaField
          name="because"
          label="Why it is opened again"
          rows={2}
          hint="It is screened anew from what is known. Its see-by time stays the one it had."
        />
        <Actions>
          <Button look="plain">Open this referral again</Button>
        </Actions>
      </FormShell>
    </Section>
  )
}

/** A question keeps its mark; anything else ends with a full stop. */
function sentence(words: string): string {
  return words.endsWith('?') ? words : `${words}.`
}
