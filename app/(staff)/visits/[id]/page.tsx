/** One visit: what is ready, what is not and who acts, the exam in its order, and whom to call. */

import type { Metadata } from 'next'
import Link from 'next/link'
import { notFound } from 'next/navigation'
import { staffContext } from '#app/_server/staff-page.ts'
import { Actions, Button, ButtonLink } from '#app/_ui/button.tsx'
import { DoneNotice } from '#app/_ui/done-notice.tsx'
import { SetUpFigures } from '#app/_ui/figures/set-up-figures.tsx'
import { FormShell } from '#app/_ui/form-shell.tsx'
import { Mark } from '#app/_ui/mark.tsx'
import { Notice } from '#app/_ui/notice.tsx'
import { Opener } from '#app/_ui/opener.tsx'
import { PhoneNumber } from '#app/_ui/phone-link.tsx'
import { RadioGroup } from '#app/_ui/radio-group.tsx'
import { KeyValueList, RuledItem, RuledList, RuledTable } from '#app/_ui/ruled.tsx'
import { Section, Split } from '#app/_ui/section.tsx'
import { TextareaField } from '#app/_ui/textarea-field.tsx'
import { TimeText } from '#app/_ui/time-text.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { isolated } from '#lib/base/plain-text.ts'
import { Temporal } from '#lib/base/time.ts'
import { may } from '#lib/domain/access/policy.ts'
import { REFIT_REASONS, type RefitReason } from '#lib/domain/booking/refit.ts'
import { LOSSES, type Loss } from '#lib/domain/booking/stranded.ts'
import { TASK_WORDS } from '#lib/domain/desk/task-words.ts'
import type { BoardVisit } from '#lib/domain/readiness/board-visit.ts'
import { ITEM_WORDS } from '#lib/domain/readiness/items.ts'
import { CONFIRMABLE } from '#lib/usecases/confirm-item.ts'
import { readVisit, type VisitView } from '#lib/usecases/read-visit.ts'
import { clockWords } from '#lib/words/time-words.ts'
import { LOSS_WORDS } from '../../clinic/effect-words.ts'
import { complaintWords, DISPOSITION_WORDS } from '../../referrals/words.ts'
import { Contact } from '../contact.tsx'
import { noteByPhone, noteHelperLost, settleTask } from './actions.ts'
import { noteField } from './note-field.ts'
import { RehearsalSection } from './rehearsal-section.tsx'
import styles from './visit.module.css'

export const metadata: Metadata = { title: 'Visit' }

const DONE = {
  confirmed: 'Written down as confirmed by phone.',
  no_helper: 'Noted: no helper. The visit was looked at again without one.',
  task: 'Noted. The task is off the desk.',
} as const

export default async function VisitPage({ params, searchParams }: PageProps<'/visits/[id]'>) {
  const ctx = await staffContext('visit.read')
  const { id } = await params
  const { done } = await searchParams
  const result = await readVisit(ctx, { visitId: id })
  if (!result.ok) notFound()
  const view = result.value
  const { visit, clinicTimeZone } = view
  const mayBook = may(ctx.actor, 'visit.book')

  return (
    <>
      <BackLink href="/board">Readiness board</BackLink>
      <Opener kicker={visit.mode === 'video' ? 'Visit by video' : 'Visit at the clinic'}>
        {visit.patientName}, <TimeText at={visit.startsAt} timeZone={clinicTimeZone} alsoIn={visit.patientTimeZone} />,
        with {visit.clinicianName}.
      </Opener>
      <DoneNotice words={DONE} done={done} />
      {visit.status !== 'cancelled' && (
        <Actions>
          {visit.mode === 'video' && visit.status === 'booked' && (
            <ButtonLink href={`/visits/${visit.visitId}/run`} look="deed">
              Run the visit
            </ButtonLink>
          )}
          <ButtonLink href={`/visits/${visit.visitId}/after`}>
            {visit.status === 'booked' ? 'End and sign, or nobody came' : 'What came of it'}
          </ButtonLink>
        </Actions>
      )}
      {visit.status === 'cancelled' && <Notice kind="caution" heading="This visit was cancelled" />}
      {view.tasks.map((task) => (
        <TaskNotice key={task.id} task={task} visit={visit} mayBook={mayBook} />
      ))}
      <Split beside={<Aside view={view} mayBook={mayBook} />}>
        <Section heading="Readiness">
          <RuledList label="Readiness items">
            {visit.items.map(({ item, state, actor, since }) => (
              <RuledItem key={item} lead={<Mark state={state} />}>
                <strong>{ITEM_WORDS[item]}</strong>
                {actor !== 'nobody' && `: ${actor} acts`}
                {since !== null && (
                  <span className={styles.soft}>
                    {' '}
                    since <TimeText at={since} timeZone={clinicTimeZone} isZoneSaid />
                  </span>
                )}
              </RuledItem>
            ))}
          </RuledList>
        </Section>
        {visit.mode === 'video' && <Plan view={view} />}
        {visit.mode === 'video' && <RehearsalSection view={view} />}
        {visit.closed.length > 0 && (
          <Section heading="What can't be done, and what would open it">
            <RuledList label="Closed stations">
              {visit.closed.map(({ title, why }) => (
                <RuledItem key={title} lead={<Mark state="cannot">Closed</Mark>}>
                  <strong>{title}</strong>: {why}
                </RuledItem>
              ))}
            </RuledList>
            {visit.openers.length > 0 && (
              <ul>
                {visit.openers.map(({ say, opens }) => (
                  <li key={say}>
                    With {say}: {opens === 1 ? '1 more station' : `${opens} more stations`}
                  </li>
                ))}
              </ul>
            )}
          </Section>
        )}
      </Split>
    </>
  )
}

function Plan({ view: { plan, protocol, geometries, visit, clinicTimeZone } }: { view: VisitView }) {
  const stationOf = (id: string) => protocol.stations.find((station) => station.id === id)
  return (
    <Section heading={`Exam, ${plan?.steps.length ?? 0} stations`}>
      {plan === null || plan.steps.length === 0 ? (
        <p>No station can be done at home as things stand.</p>
      ) : (
        <RuledTable
          caption="The exam in its order"
          isCaptionHidden
          head={['From', 'Station', 'Side', 'Set-up', 'With', 'Minutes']}
        >
          {plan.steps.map((step) => {
            const station = stationOf(step.stationId)
            const way = station?.ways.find((each) => each.id === step.wayId)
            return (
              <tr key={step.stationId}>
                <td className={styles.clock}>
                  {clockWords(Temporal.Instant.from(visit.startsAt).add({ minutes: step.atMin }), clinicTimeZone)}
                </td>
                <th scope="row">
                  {station?.title ?? step.stationId}
                  {way?.misses !== undefined && <span className={styles.soft}> Lesser way: {way.misses}</span>}
                </th>
                <td>{step.sides.join(', then ')}</td>
                <td>{protocol.setUps.find((setUp) => setUp.id === step.setUpId)?.title.en ?? step.setUpId}</td>
                <td>{step.helper ? 'Helper' : ''}</td>
                <td>{step.minutes}</td>
              </tr>
            )
          })}
        </RuledTable>
      )}
      <SetUpFigures geometries={geometries} />
      {visit.packetRevision !== null && (
        <p className={styles.soft}>
          The patient's packet is revision {visit.packetRevision}:{' '}
          <a href={`/referrals/${visit.referralId}/packet.pdf`}>print it (PDF)</a> or{' '}
          <Link href={`/referrals/${visit.referralId}/read-out`}>read it out by phone</Link>.
        </p>
      )}
      {protocol.demonstration && (
        <p className={styles.soft}>
          Demonstration protocol: it needs sign-off by the clinic's licensed lead before it is used on patients.
        </p>
      )}
    </Section>
  )
}

function Aside({ view: { visit, clinicTimeZone }, mayBook }: { view: VisitView; mayBook: boolean }) {
  const missing = <Mark state="waiting">Not given yet</Mark>
  const callBack = visit.callbackPhone ?? visit.patientPhone
  const isOpen = visit.status === 'booked'
  const open = CONFIRMABLE.filter((item) =>
    visit.items.some((each) => each.item === item && !['done', 'not_needed'].includes(each.state)),
  )
  return (
    <>
      <Section heading="Where and whom to call">
        <KeyValueList
          items={[
            ...(visit.mode === 'in_person'
              ? [{ name: 'Site', value: `${visit.siteName}, ${visit.roomName}` }]
              : [
                  {
                    name: 'Patient will be at',
                    value: visit.placeAddress === null ? missing : `${visit.placeAddress}, ${visit.placeState}`,
                  },
                  { name: 'Call back', value: callBack === null ? missing : <PhoneNumber number={callBack} /> },
                  {
                    name: 'Someone close',
                    value:
                      visit.contactName === null ? (
                        missing
                      ) : (
                        <Contact name={isolated(visit.contactName)} number={visit.contactPhone} />
                      ),
                  },
                ]),
            { name: 'Side and condition', value: complaintWords(visit.side, visit.condition) },
            ...(visit.helperWindow
              ? [
                  {
                    name: `Helper${visit.helperName === null ? '' : ` (${isolated(visit.helperName)})`}`,
                    value: (
                      <>
                        <TimeText at={visit.helperWindow.from} timeZone={clinicTimeZone} show="clock" isZoneSaid /> to{' '}
                        <TimeText at={visit.helperWindow.to} timeZone={clinicTimeZone} show="clock" />
                      </>
                    ),
                  },
                ]
              : []),
            ...(visit.interpreterName === null ? [] : [{ name: 'Interpreter', value: visit.interpreterName }]),
          ]}
        />
        <p>
          <Link href={`/referrals/${visit.referralId}`}>Open the referral</Link>
        </p>
      </Section>
      {isOpen && open.length > 0 && (
        <Section heading="Told by phone">
          <FormShell action={noteByPhone.bind(null, visit.visitId)}>
            <RadioGroup
              name="item"
              label="What did they confirm?"
              options={open.map((item) => ({ value: item, label: ITEM_WORDS[item] }))}
            />
            <TextareaField name="note" label="What was said" optional="optional" rows={2} />
            <Actions>
              <Button look="plain">Write it down</Button>
            </Actions>
          </FormShell>
        </Section>
      )}
      {isOpen && visit.helperWindow && (
        <Section heading="The helper can't come">
          <p>
            Everything that needs a helper leaves the exam, the packet is written again, and this visit is looked at
            again.
          </p>
          <FormShell action={noteHelperLost.bind(null, visit.visitId, visit.referralId)}>
            <Actions>
              <Button look="grave">No helper for this visit</Button>
            </Actions>
          </FormShell>
        </Section>
      )}
      {isOpen && mayBook && (
        <Section heading="Another time">
          <Actions>
            <ButtonLink href={`/referrals/${visit.referralId}/book`}>Move or cancel this visit</ButtonLink>
            <ButtonLink href={`/clinic/sessions/${visit.sessionId}/lost?at=${visit.startsAt}`}>
              {visit.clinicianName} can't come: move every visit of this session
            </ButtonLink>
          </Actions>
        </Section>
      )}
    </>
  )
}

const REASONS: Record<RefitReason | Loss | 'helper_lost', string> = {
  ...lossSentences(),
  not_by_video:
    'The exam can no longer be done by video as it was planned. See this patient in person by the see-by time, or ask again.',
  no_licence:
    'The clinician holds no licence where the patient will be on that day. Find a clinician who does, or an in-person start.',
  helper_not_free: 'The helper is not free in the minutes they are needed. Find a time that suits both.',
  patient_not_free: 'The patient is not free at this time. Find another.',
  too_long: 'More can be done now than there is time for. Keep this visit as it is, or find a longer one.',
  helper_lost:
    'The helper cannot come. Keep this visit with fewer stations, find a time with a helper, or see the patient in person.',
}

/** What the clinic took from the visit; `no_licence` is said by the change loop in its own words. */
function lossSentences(): Record<Loss, string> {
  const words = LOSSES.map((loss) => [loss, `It was booked where the clinic has changed since: ${LOSS_WORDS[loss]}.`])
  return Object.fromEntries(words)
}

function TaskNotice({
  task,
  visit,
  mayBook,
}: {
  task: VisitView['tasks'][number]
  visit: BoardVisit
  mayBook: boolean
}) {
  const known: readonly string[] = [...REFIT_REASONS, ...LOSSES, 'helper_lost']
  const reasons = reasonsOf(task.detail).filter((reason): reason is keyof typeof REASONS => known.includes(reason))
  const kind = task.kind === 'emergency_call' ? 'emergency' : 'urgent'
  return (
    <Notice kind={kind} heading={TASK_WORDS[task.kind].title}>
      {reasons.length === 0 ? (
        <p>{TASK_WORDS[task.kind].todo}</p>
      ) : (
        reasons.map((reason) => <p key={reason}>{REASONS[reason]}</p>)
      )}
      {task.kind === 'replan' && (
        <p>
          Now possible: {visit.stationCount} stations
          {visit.disposition === null ? '' : `, ${DISPOSITION_WORDS[visit.disposition].toLowerCase()}`}.{' '}
          {visit.openers[0] && `With ${visit.openers[0].say}: ${visit.openers[0].opens} more.`}
        </p>
      )}
      {task.kind === 'stranded' && <p>{TASK_WORDS.stranded.todo}</p>}
      {mayBook && (
        <p>
          <Link href={`/referrals/${visit.referralId}/book`}>Find another start</Link>
        </p>
      )}
      <FormShell action={settleTask.bind(null, visit.visitId, task.id)}>
        <TextareaField name={noteField(task.id)} label="What was decided" rows={2} />
        <Actions>
          <Button look="plain">
            {['replan', 'stranded'].includes(task.kind) ? 'Keep the visit as it is now' : 'Done'}
          </Button>
        </Actions>
      </FormShell>
    </Notice>
  )
}

function reasonsOf(detail: unknown): string[] {
  const reasons = typeof detail === 'object' && detail !== null && 'reasons' in detail ? detail.reasons : []
  return Array.isArray(reasons) ? reasons.filter((reason) => typeof reason === 'string') : []
}
