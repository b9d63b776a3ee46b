/** What is on file for one referral: the screening, visits, answers, messages and its history. */
import Link from 'next/link'
import { Mark } from '#app/_ui/mark.tsx'
import { KeyValueList, RuledItem, RuledList } from '#app/_ui/ruled.tsx'
import { Section } from '#app/_ui/section.tsx'
import { TimeText } from '#app/_ui/time-text.tsx'
import type { MessageKind } from '#lib/domain/messages/kinds.ts'
import { AREAS, type Area } from '#lib/domain/protocol/schema.ts'
import type { ReferralPage, Who } from '#lib/usecases/read-referral.ts'
import styles from '../referral.module.css'
import { AREA_WORDS, answerWords, asLineStart, DISPOSITION_WORDS, FLAG_LEVEL_WORDS } from '../words.ts'
import { deedWords } from './history-words.ts'

type Props = { page: ReferralPage }

function whoWords({ kind, name }: Who): string {
  if (name !== null) return name
  return { staff: 'Somebody on the staff', patient: 'The patient', system: 'Farstep' }[kind]
}

export function AssessmentSection({ page: { assessment, timeZone } }: Props) {
  if (assessment === null) return null
  const { disposition, sentence, flags, overruled, coverage, at } = assessment
  return (
    <Section id="disposition" heading={`Disposition: ${DISPOSITION_WORDS[disposition].toLowerCase()}`}>
      {overruled ? (
        <p>
          {whoWords(overruled.who)} decided so, because: {overruled.because}. The engine said{' '}
          {DISPOSITION_WORDS[overruled.from].toLowerCase()}: {sentence}
        </p>
      ) : (
        <p>{sentence}</p>
      )}
      {flags.length > 0 && (
        <RuledList label="Red flags raised">
          {flags.map(({ flagId, title, level }) => (
            <RuledItem key={flagId}>
              <Mark state="late">
                {title} ({FLAG_LEVEL_WORDS[level]})
              </Mark>
            </RuledItem>
          ))}
        </RuledList>
      )}
      <KeyValueList
        items={[
          { name: 'Coverage', value: `${Math.round(coverage.weighted * 100)} %` },
          {
            name: 'Stations that can be done',
            value: `essential ${coverage.essential.can} of ${coverage.essential.of}, useful ${coverage.useful.can} of ${coverage.useful.of}, optional ${coverage.optional.can} of ${coverage.optional.of}`,
          },
          { name: 'Screened', value: <TimeText at={at} timeZone={timeZone} /> },
        ]}
      />
    </Section>
  )
}

const VISIT_STATES: Record<string, string> = {
  held: 'held',
  booked: 'booked',
  cancelled: 'cancelled',
  done: 'done',
  no_show: 'did not come',
}

export function VisitsSection({ page: { visits, timeZone } }: Props) {
  if (visits.length === 0) return null
  return (
    <Section heading="Visits">
      <RuledList label="Visits">
        {visits.map(({ id, mode, status, startsAt, patientTimeZone }) => (
          <RuledItem key={id} end={<Link href={`/visits/${id}`}>Open the visit</Link>}>
            <Mark
              state={status === 'cancelled' || status === 'no_show' ? 'cannot' : status === 'held' ? 'waiting' : 'done'}
            >
              <TimeText at={startsAt} timeZone={timeZone} alsoIn={patientTimeZone} />,{' '}
              {mode === 'video' ? 'by video' : 'at the clinic'}, {VISIT_STATES[status] ?? status}
            </Mark>
          </RuledItem>
        ))}
      </RuledList>
    </Section>
  )
}

const SOURCES: Record<string, string> = {
  referral: 'from the referral',
  coordinator: 'by the coordinator',
  patient: 'by the patient',
  clinician: 'by the clinician',
}

export function AnswersSection({ page: { answers, timeZone } }: Props) {
  if (answers.length === 0) return null
  return (
    <Section heading="What is known">
      {AREAS.map((area) => {
        const inArea = answers.filter((answer) => answer.area === area)
        return inArea.length > 0 && <AreaAnswers key={area} area={area} answers={inArea} timeZone={timeZone} />
      })}
    </Section>
  )
}

type AreaProps = { area: Area; answers: ReferralPage['answers']; timeZone: string }

/** What was answered yes, measured or left open stands by itself; every plain no stands in one line. */
function AreaAnswers({ area, answers, timeZone }: AreaProps) {
  const told = ({ source, at }: { source: string; at: string }) => (
    <>
      {SOURCES[source] ?? source}, <TimeText at={at} timeZone={timeZone} isZoneSaid />
    </>
  )
  const [first] = answers
  const isToldAtOnce = answers.every(({ source, at }) => source === first?.source && at === first.at)
  const noes = answers.filter(({ value }) => value === false)
  const others = answers.filter(({ value }) => value !== false)
  return (
    <details open={area === 'red_flags'}>
      <summary>
        {AREA_WORDS[area]} ({answers.length}){isToldAtOnce && first && <>, {told(first)}</>}
      </summary>
      {others.length > 0 && (
        <KeyValueList
          items={others.map(({ label, value, unit, ...rest }) => ({
            name: asLineStart(label),
            value: (
              <>
                {answerWords(value, unit)}
                {!isToldAtOnce && <>, {told(rest)}</>}
              </>
            ),
          }))}
        />
      )}
      {noes.length > 0 && (
        <p>
          <strong>No:</strong> {noes.map(({ label }) => label).join('; ')}.
        </p>
      )}
    </details>
  )
}

const MESSAGE_WORDS: Record<MessageKind, string> = {
  home_check_invitation: 'Invitation to the home check',
  home_check_chaser: 'Reminder of the home check',
  packet: 'Packet',
  packet_changed: 'Changed packet',
  in_person_booked: 'Visit at the clinic',
  still_missing: 'What is still missing',
  day_before: 'Reminder the day before',
  hour_before: 'Reminder the hour before',
  moved: 'Visit moved',
  cancelled: 'Visit cancelled',
  seek_help: 'Advice to seek help',
  standby_offer: 'Offer of a sooner time',
}

export function MessagesSection({ page: { messages, timeZone } }: Props) {
  return (
    <Section heading="Messages">
      {messages.length === 0 ? (
        <p>Nothing has been sent or planned. The first message is the invitation to the home check.</p>
      ) : (
        <RuledList label="Messages">
          {messages.map(({ id, kind, status, dueAt, sentAt, fault }) => (
            <RuledItem key={id}>
              <Mark
                state={
                  status === 'sent'
                    ? 'done'
                    : status === 'queued'
                      ? 'waiting'
                      : status === 'failed'
                        ? 'cannot'
                        : 'not_needed'
                }
              >
                {MESSAGE_WORDS[kind]}: {status === 'sent' && 'sent '}
                {status === 'queued' && 'goes out '}
                {status === 'failed' && `not delivered${fault === null ? '' : ` (${fault})`}, was due `}
                {status === 'dropped' && 'not needed any more, was due '}
                <TimeText at={sentAt ?? dueAt} timeZone={timeZone} isZoneSaid />
              </Mark>
            </RuledItem>
          ))}
        </RuledList>
      )}
    </Section>
  )
}

export function HistorySection({ page: { history, timeZone } }: Props) {
  return (
    <Section heading="History">
      <RuledList label="History">
        {history.map((line) => (
          <RuledItem
            key={line.id}
            lead={
              <span className={styles.when}>
                <TimeText at={line.at} timeZone={timeZone} isZoneSaid />
              </span>
            }
          >
            {whoWords(line.who)} {deedWords(line)}.
          </RuledItem>
        ))}
      </RuledList>
    </Section>
  )
}
