/** The standby list: who would come sooner, who is being asked and until when, and what came of earlier offers. */
import type { Metadata } from 'next'
import Link from 'next/link'
import { z } from 'zod'
import { staffContext } from '#app/_server/staff-page.ts'
import { Actions, Button } from '#app/_ui/button.tsx'
import { DoneNotice } from '#app/_ui/done-notice.tsx'
import { EmptyState } from '#app/_ui/empty-state.tsx'
import { FormShell } from '#app/_ui/form-shell.tsx'
import { Mark } from '#app/_ui/mark.tsx'
import { Notice } from '#app/_ui/notice.tsx'
import { Opener } from '#app/_ui/opener.tsx'
import { RuledItem, RuledList, RuledTable } from '#app/_ui/ruled.tsx'
import { Section } from '#app/_ui/section.tsx'
import { SelectField } from '#app/_ui/select-field.tsx'
import { TimeText } from '#app/_ui/time-text.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { may } from '#lib/domain/access/policy.ts'
import { NOTICE_CHOICES } from '#lib/domain/standby/standby.ts'
import { readStandby, type StandbyView } from '#lib/usecases/read-standby.ts'
import { NOTHING_WORDS } from '../../referrals/[id]/book/words.ts'
import { DISPOSITION_WORDS } from '../../referrals/words.ts'
import { answerFor, putOnList, takeOff } from './actions.ts'
import styles from './standby.module.css'
import { answerField, DONE_WORDS, noticeWords, OUTCOME_WORDS } from './words.ts'

export const metadata: Metadata = { title: 'Standby list' }

/** Anything that isn't one of ours counts as not given: an address may be typed. */
const query = z.object({
  referral: z.string().min(1).nullable().catch(null),
})

export default async function StandbyPage({ searchParams }: PageProps<'/clinic/standby'>) {
  const ctx = await staffContext('standby.read')
  const { done, ...asked } = await searchParams
  const { referral } = query.parse(asked)
  const view = await readStandby(ctx, { referralId: referral })
  const mayWrite = may(ctx.actor, 'standby.write')
  const mayAnswer = may(ctx.actor, 'offer.answer')
  const { waiting, live, settled, clinicTimeZone } = view
  return (
    <>
      <BackLink href="/clinic">Clinic</BackLink>
      <Opener kicker="Standby list">
        <Sentence view={view} />
      </Opener>
      <DoneNotice words={DONE_WORDS} done={done} />
      {view.asked && mayWrite && <Asked asked={view.asked} />}
      <Section heading="Being asked now">
        {live.length === 0 ? (
          <EmptyState>Nobody. When a start comes free, the first whom it fits is asked by mail.</EmptyState>
        ) : (
          <RuledList label="Offers that wait for an answer">
            {live.map((offer) => (
              <RuledItem
                key={offer.id}
                id={answerField(offer.id)}
                lead={<Mark state={offer.isOver ? 'late' : 'waiting'}>{offer.isOver ? 'Ran out' : 'Asked'}</Mark>}
              >
                <div className={styles.stack}>
                  <p>
                    <Link href={`/referrals/${offer.referralId}`}>{offer.patientName}</Link>:{' '}
                    <TimeText at={offer.startsAt} timeZone={offer.patientTimeZone} alsoIn={clinicTimeZone} />,{' '}
                    {offer.mode === 'video' ? 'by video' : 'at the clinic'}, with {offer.clinicianName}.
                  </p>
                  <p className={styles.soft}>
                    To be answered by <TimeText at={offer.expiresAt} timeZone={clinicTimeZone} />
                    {offer.isOver && '; it goes to the next one in a moment'}.
                  </p>
                  {mayAnswer && !offer.isOver && (
                    <FormShell action={answerFor.bind(null, offer.id)} commandKey={ctx.newId('cmd')}>
                      <Actions>
                        <Button look="plain" name="answer" value="accept">
                          They said yes
                        </Button>
                        <Button look="plain" name="answer" value="decline">
                          They said no
                        </Button>
                      </Actions>
                    </FormShell>
                  )}
                </div>
              </RuledItem>
            ))}
          </RuledList>
        )}
      </Section>
      <Section heading="Waiting, in the order in which they are asked">
        {waiting.length === 0 ? (
          <EmptyState>Nobody waits. A referral is put on the list from its own page, or by the patient.</EmptyState>
        ) : (
          <RuledTable
            caption="Who would come sooner"
            isCaptionHidden
            head={[
              'Patient',
              'To be seen by',
              'Urgency',
              'Has',
              'Notice',
              'On the list since',
              ...(mayWrite ? ['Off the list'] : []),
            ]}
          >
            {waiting.map((entry) => (
              <tr key={entry.entryId}>
                <th scope="row">
                  <Link href={`/referrals/${entry.referralId}`}>{entry.patientName}</Link>
                </th>
                <td>
                  {entry.seeBy === null ? '' : <TimeText at={entry.seeBy} timeZone={clinicTimeZone} isZoneSaid />}
                </td>
                <td>
                  {entry.disposition === null ? 'Not decided' : DISPOSITION_WORDS[entry.disposition]}
                  {entry.priority !== 'routine' && `, ${entry.priority}`}
                </td>
                <td>
                  {entry.bookedAt === null ? (
                    'No visit yet'
                  ) : (
                    <TimeText
                      at={entry.bookedAt}
                      timeZone={entry.patientTimeZone ?? clinicTimeZone}
                      alsoIn={clinicTimeZone}
                    />
                  )}
                </td>
                <td>{noticeWords(entry.noticeHours)}</td>
                <td>
                  <TimeText at={entry.joinedAt} timeZone={clinicTimeZone} show="day" />
                </td>
                {mayWrite && (
                  <td className={styles.deed}>
                    <form action={takeOff.bind(null, entry.referralId)}>
                      <Button look="plain">
                        Take off<span className={styles.hidden}> {entry.patientName}</span>
                      </Button>
                    </form>
                  </td>
                )}
              </tr>
            ))}
          </RuledTable>
        )}
      </Section>
      {settled.length > 0 && (
        <Section heading="What came of earlier offers">
          <RuledTable caption="Earlier offers" isCaptionHidden head={['Patient', 'Start', 'With', 'Outcome', 'When']}>
            {settled.map((offer) => (
              <tr key={offer.id}>
                <th scope="row">
                  <Link href={`/referrals/${offer.referralId}`}>{offer.patientName}</Link>
                </th>
                <td>
                  <TimeText at={offer.startsAt} timeZone={clinicTimeZone} isZoneSaid />
                </td>
                <td>{offer.clinicianName}</td>
                <td>{offer.outcome && OUTCOME_WORDS[offer.outcome]}</td>
                <td>{offer.settledAt && <TimeText at={offer.settledAt} timeZone={clinicTimeZone} isZoneSaid />}</td>
              </tr>
            ))}
          </RuledTable>
        </Section>
      )}
    </>
  )
}

function Sentence({ view: { waiting, live } }: { view: StandbyView }) {
  const open = live.filter(({ isOver }) => !isOver).length
  if (waiting.length === 0) return 'Nobody waits for a sooner start.'
  const who = waiting.length === 1 ? 'One patient' : `${waiting.length} patients`
  const asked =
    open === 0 ? 'nobody is being asked now' : open === 1 ? 'one is being asked now' : `${open} are being asked now`
  return `${who} would come sooner; ${asked}.`
}

function Asked({ asked }: { asked: NonNullable<StandbyView['asked']> }) {
  const { referralId, patientName, noticeHours, refusal } = asked
  if (refusal !== null) {
    return (
      <Notice kind="caution" heading={`${patientName} can't be put on the list now`}>
        <p>{NOTHING_WORDS[refusal].body}</p>
      </Notice>
    )
  }
  return (
    <Section heading={noticeHours === null ? `Put ${patientName} on the list` : `${patientName} is on the list`}>
      <FormShell action={putOnList.bind(null, referralId)}>
        <SelectField
          name="notice"
          label="The shortest notice at which they can come"
          hint="They are asked by mail, in the hours and with the time to answer that the clinic's policy says. Their times are those of the home check."
          none="Choose the notice"
          value={noticeHours === null ? '' : String(noticeHours)}
          options={NOTICE_CHOICES.map((hours) => ({ value: String(hours), label: noticeWords(hours) }))}
        />
        <Actions>
          <Button>{noticeHours === null ? 'Put on the list' : 'Change the notice'}</Button>
        </Actions>
      </FormShell>
    </Section>
  )
}
