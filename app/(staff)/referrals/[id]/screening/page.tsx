/** What was decided for one referral and why: station by station, what would help, the plan, and a person's say in it. */
import type { Metadata } from 'next'
import Link from 'next/link'
import { notFound } from 'next/navigation'
import { staffContext } from '#app/_server/staff-page.ts'
import { Actions, Button, ButtonLink } from '#app/_ui/button.tsx'
import { DoneNotice } from '#app/_ui/done-notice.tsx'
import { FormShell } from '#app/_ui/form-shell.tsx'
import { Notice } from '#app/_ui/notice.tsx'
import { Opener } from '#app/_ui/opener.tsx'
import { KeyValueList, RuledItem, RuledList } from '#app/_ui/ruled.tsx'
import { Section, Split } from '#app/_ui/section.tsx'
import { SelectField } from '#app/_ui/select-field.tsx'
import { TextareaField } from '#app/_ui/textarea-field.tsx'
import { TimeText } from '#app/_ui/time-text.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { IMPORTANCES } from '#lib/domain/protocol/schema.ts'
import { explain } from '#lib/domain/screening/explain.ts'
import { DISPOSITIONS } from '#lib/domain/screening/screening.ts'
import { type ScreeningPage as Page, readScreening } from '#lib/usecases/read-screening.ts'
import { complaintWords, count, DISPOSITION_WORDS, FLAG_LEVEL_WORDS, limitWords } from '../../words.ts'
import { overrule } from './actions.ts'
import { ExamPlanSection } from './exam-plan-section.tsx'
import { SourcesSection } from './sources-section.tsx'
import { StationTable } from './station-table.tsx'
import { IMPORTANCE_WORDS, RULE_WORDS } from './words.ts'

export const metadata: Metadata = { title: 'Screening' }

const DONE = {
  overruled: 'Your decision counts from now on. The engine’s answer stays beside it.',
  screened_again:
    'Something changed while you were deciding, so it was screened again. Read it first; your decision was not saved.',
} as const

export default async function ScreeningPage({ params, searchParams }: PageProps<'/referrals/[id]/screening'>) {
  const ctx = await staffContext('screening.read')
  const { id: referralId } = await params
  const { done } = await searchParams
  const result = await readScreening(ctx, { referralId })
  const back = <BackLink href={`/referrals/${referralId}`}>Referral</BackLink>
  if (!result.ok) {
    if (result.error.code === 'referral_not_found') notFound()
    return (
      <>
        {back}
        <Opener kicker="Screening">{result.error.patientName} has not been screened.</Opener>
        <p>
          Screening needs a suspected condition and a side.{' '}
          <Link href={`/referrals/${referralId}/triage`}>Triage the referral first</Link>.
        </p>
      </>
    )
  }
  const page = result.value
  return (
    <>
      {back}
      <Opener kicker="Screening">
        <Sentence page={page} />
      </Opener>
      <DoneNotice words={DONE} done={done} kind={done === 'overruled' ? 'note' : 'caution'} />
      {page.isStopped && (
        <Notice kind="emergency" heading="An emergency call is open">
          <p>
            <Link href={`/referrals/${referralId}#call`}>Call the patient and write down what was said.</Link> Nothing
            can be decided or booked before that.
          </p>
        </Notice>
      )}
      <Split
        beside={
          <>
            <AskNext page={page} referralId={referralId} />
            <Openers page={page} />
            <Overrule page={page} referralId={referralId} />
            <History page={page} />
          </>
        }
      >
        <Decision page={page} />
        <Stations page={page} />
        <ExamPlanSection page={page} />
        <SourcesSection page={page} />
        {page.may.book && !page.isStopped && page.stage === 'screened' && (
          <ButtonLink href={`/referrals/${referralId}/book`} look="deed">
            Find a start
          </ButtonLink>
        )}
      </Split>
    </>
  )
}

function Sentence({ page }: { page: Page }) {
  const { protocol, assessment, side, disposition, seeBy, timeZone, patientName } = page
  const condition = protocol.conditions.find(({ id }) => id === assessment.screening.conditionId)
  return (
    <>
      {patientName}, {complaintWords(side, condition?.title ?? null)}: {DISPOSITION_WORDS[disposition].toLowerCase()}
      {seeBy !== null && (
        <>
          , to be seen by <TimeText at={seeBy} timeZone={timeZone} />
        </>
      )}
      .
    </>
  )
}

/** The engine's answer with its rule, and a person's beside it. */
function Decision({ page }: { page: Page }) {
  const { assessment, overruled, protocol, timeZone } = page
  const { screening } = assessment
  const sentences = explain(screening, protocol)
  const flags = screening.raised.map(({ flagId, level }) => {
    const title = protocol.redFlags.find(({ id }) => id === flagId)?.title ?? flagId
    return `${title} (${FLAG_LEVEL_WORDS[level]})`
  })
  return (
    <Section heading="Decision">
      <KeyValueList
        items={[
          ...(overruled
            ? [
                {
                  name: `Decided by ${overruled.byName}`,
                  value: (
                    <>
                      <strong>{DISPOSITION_WORDS[overruled.to]}</strong>: “{overruled.because}”
                    </>
                  ),
                },
              ]
            : []),
          {
            name: 'The engine’s answer',
            value: (
              <>
                <strong>{DISPOSITION_WORDS[screening.disposition]}</strong>
                {overruled && ', set aside'}
              </>
            ),
          },
          { name: 'Why', value: sentences.coordinator },
          { name: 'Rule', value: RULE_WORDS[screening.rule] },
          { name: 'Said to the patient', value: `“${sentences.patient.en}”` },
          {
            name: 'Red flags',
            value: flags.length > 0 ? flags.join('; ') : 'None reported. This clears nothing by itself.',
          },
          {
            name: 'Limit from flags and condition',
            value:
              screening.seeBy === null ? 'None; the referral’s own see-by time stands' : limitWords(screening.seeBy),
          },
          ...(screening.earlyLook
            ? [
                {
                  name: 'Early look',
                  value: 'A sooner video look may be booked beside the visit in person, never instead.',
                },
              ]
            : []),
          { name: 'Screened', value: <TimeText at={assessment.at} timeZone={timeZone} /> },
        ]}
      />
    </Section>
  )
}

function Stations({ page }: { page: Page }) {
  const { screening } = page.assessment
  const { coverage } = screening
  const parts = IMPORTANCES.filter((importance) => coverage[importance].of > 0)
  return (
    <Section heading="Stations">
      <p>
        {parts
          .map((importance) => `${coverage[importance].can} of ${coverage[importance].of} ${importance}`)
          .join(', ')}{' '}
        stations can be done at this home: {Math.round(coverage.weighted * 100)} % of the exam, weighed by importance
        and by how good each way is.
      </p>
      {parts.map((importance) => (
        <StationTable
          key={importance}
          caption={IMPORTANCE_WORDS[importance]}
          stations={screening.stations.filter((station) => station.importance === importance)}
          protocol={page.protocol}
        />
      ))}
    </Section>
  )
}

function AskNext({ page, referralId }: { page: Page; referralId: string }) {
  const { ask } = page.assessment.screening
  const facts = ask.flatMap((id) => page.protocol.facts.find((fact) => fact.id === id) ?? [])
  return (
    <Section heading="What to ask next">
      {facts.length === 0 ? (
        <p>Nothing: what is known decides it.</p>
      ) : (
        <>
          <p>The fewest answers that decide what is open, the most telling first.</p>
          <ol>
            {facts.map((fact) => (
              <li key={fact.id}>
                {page.may.answer && page.stage !== 'closed' ? (
                  <Link href={`/referrals/${referralId}/check#fact-${fact.id}`}>{fact.ask.en}</Link>
                ) : (
                  fact.ask.en
                )}
              </li>
            ))}
          </ol>
        </>
      )}
    </Section>
  )
}

/** Few enough to be read out on the phone. */
const OPENERS_SHOWN = 5

function Openers({ page }: { page: Page }) {
  const { openers } = page.assessment.screening
  const say = (id: string) => page.protocol.facts.find((fact) => fact.id === id)?.change?.say.en ?? id
  return (
    <Section heading="What would help">
      {openers.length === 0 ? (
        <p>Nothing that this household could fetch or arrange would change the decision.</p>
      ) : (
        <RuledList>
          {openers.slice(0, OPENERS_SHOWN).map(({ facts, opens, disposition, coverage }) => (
            <RuledItem key={facts.join()}>
              <p>“{facts.map(say).join(' ')}”</p>
              <p>
                {opens.length > 0 && `${count(opens.length, 'more station')}, and the`}
                {opens.length === 0 && 'The'} decision would be {DISPOSITION_WORDS[disposition].toLowerCase()};{' '}
                {Math.round(coverage * 100)} % of the exam.
              </p>
            </RuledItem>
          ))}
        </RuledList>
      )}
    </Section>
  )
}

function Overrule({ page, referralId }: { page: Page; referralId: string }) {
  const { disposition, assessment, may, isStopped, stage } = page
  if (!may.overrule || isStopped || stage === 'closed') return null
  return (
    <Section heading="Decide otherwise">
      <FormShell action={overrule.bind(null, referralId, assessment.id)}>
        <SelectField
          name="to"
          label="Decision"
          none="Choose what it should be"
          options={DISPOSITIONS.filter((each) => each !== disposition).map((each) => ({
            value: each,
            label:
              each === assessment.screening.disposition
                ? `${DISPOSITION_WORDS[each]} (the engine’s answer)`
                : DISPOSITION_WORDS[each],
          }))}
        />
        <TextareaField
          name="because"
          label="Reason"
          hint="It stays on file with your name. It holds until the engine’s answer changes; then somebody looks again."
          rows={3}
        />
        <Actions>
          <Button look="plain">Decide otherwise</Button>
        </Actions>
      </FormShell>
    </Section>
  )
}

function History({ page }: { page: Page }) {
  if (page.history.length < 2) return null
  return (
    <Section heading="Earlier answers">
      <RuledList>
        {page.history.slice(1).map(({ id, at, engine, overruled }) => (
          <RuledItem key={id}>
            <TimeText at={at} timeZone={page.timeZone} />
            <p>
              Engine: {DISPOSITION_WORDS[engine].toLowerCase()}.
              {overruled &&
                ` ${overruled.byName}: ${DISPOSITION_WORDS[overruled.to].toLowerCase()}, “${overruled.because}”`}
            </p>
          </RuledItem>
        ))}
      </RuledList>
    </Section>
  )
}
