/** Triage of one referral: red flags, suspected condition, side, urgency, and the time that follows from them. */
import type { Metadata } from 'next'
import Link from 'next/link'
import { notFound } from 'next/navigation'
import { z } from 'zod'
import { staffContext } from '#app/_server/staff-page.ts'
import { Actions, Button, ButtonLink } from '#app/_ui/button.tsx'
import { DateFields } from '#app/_ui/date-fields.tsx'
import { FormShell } from '#app/_ui/form-shell.tsx'
import { HiddenField } from '#app/_ui/hidden-field.tsx'
import { Notice } from '#app/_ui/notice.tsx'
import { Opener } from '#app/_ui/opener.tsx'
import { RadioGroup } from '#app/_ui/radio-group.tsx'
import { KeyValueList } from '#app/_ui/ruled.tsx'
import { Section, Split } from '#app/_ui/section.tsx'
import { TextField } from '#app/_ui/text-field.tsx'
import { TimeText } from '#app/_ui/time-text.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { rawAnswer } from '#lib/domain/desk/triage-questions.ts'
import { FLAG_LEVELS, SIDES } from '#lib/domain/protocol/schema.ts'
import { readTriage, type TriagePage as Triage } from '#lib/usecases/read-triage.ts'
import styles from '../../referral.module.css'
import { asLineStart, birthDateWords, limitWords, PRIORITY_WORDS, SIDE_WORDS } from '../../words.ts'
import { saveTriaged } from './actions.ts'

export const metadata: Metadata = { title: null }

const query = z.object({ protocol: z.string().nullable().catch(null) })

export default async function TriagePage({ params, searchParams }: PageProps<'/referrals/[id]/triage'>) {
  const ctx = await staffContext('triage.write')
  const { id: referralId } = await params
  const { protocol } = query.parse(await searchParams)
  const result = await readTriage(ctx, { referralId, protocolId: protocol })
  if (!result.ok) {
    switch (result.error.code) {
      case 'referral_not_found':
        return notFound()
      case 'no_protocol':
        return (
          <>
            <title>Triage – Farstep</title>
            <BackLink href={`/referrals/${referralId}`}>Referral</BackLink>
            <Opener kicker="Triage">No protocol is signed off, so nothing can be triaged.</Opener>
            <p>The clinic’s licensed lead signs a protocol off before it is used on patients.</p>
          </>
        )
    }
  }
  const triage = result.value
  const { referral } = triage
  const blocked = referral.isStopped ? 'stopped' : referral.stage === 'closed' ? 'closed' : null
  return (
    <>
      {blocked !== null && <title>Triage – Farstep</title>}
      <BackLink href={`/referrals/${referralId}`}>Referral</BackLink>
      <Opener kicker="Triage">
        {referral.name}
        {referral.seeBy === null ? (
          ' is not triaged yet.'
        ) : (
          <>
            {' '}
            is to be seen by <TimeText at={referral.seeBy} timeZone={triage.timeZone} />.
          </>
        )}
      </Opener>
      {blocked === 'stopped' && (
        <Notice kind="emergency" heading="Call the patient first">
          <p>
            An emergency flag was raised. Nothing else goes on until somebody has called and written down what was said.
          </p>
          <ButtonLink href={`/referrals/${referralId}#call`}>Open the call</ButtonLink>
        </Notice>
      )}
      {blocked === 'closed' && <Notice kind="note" heading="This referral is closed" />}
      {blocked === null && (
        <Split beside={<Source triage={triage} />}>
          <TriageForm triage={triage} />
        </Split>
      )}
    </>
  )
}

/** What the referral itself says, beside the questions that are asked of it. */
function Source({ triage: { referral, timeZone, suggested, flags, isDemonstration } }: { triage: Triage }) {
  return (
    <>
      <Section heading="The referral">
        <KeyValueList
          items={[
            { name: 'Reason', value: referral.reason },
            { name: 'Suspected by the referrer', value: referral.conditionText ?? 'not told' },
            { name: 'ICD-10-CM', value: referral.icd10.length === 0 ? 'none' : referral.icd10.join(' ') },
            {
              name: 'By its code',
              value:
                suggested.length === 0
                  ? 'no condition of this protocol'
                  : suggested.map(({ title, code }) => `${title} (${code})`).join('; '),
            },
            { name: 'Born', value: birthDateWords(referral.birthDate) },
            { name: 'Reached the clinic', value: <TimeText at={referral.receivedAt} timeZone={timeZone} show="day" /> },
          ]}
        />
      </Section>
      <Section heading="What raises the urgency">
        {FLAG_LEVELS.map((level) => {
          const ofLevel = flags.filter((flag) => flag.level === level)
          return (
            ofLevel.length > 0 && (
              <div key={level}>
                <h3>
                  {level === 'emergency'
                    ? 'Call at once'
                    : level === 'in_person'
                      ? 'In person'
                      : `Within ${limitOf(ofLevel)}`}
                </h3>
                <p>{ofLevel.map(({ title }) => title).join('; ')}.</p>
              </div>
            )
          )
        })}
        {isDemonstration && (
          <p>This is a demonstration protocol. It needs the sign-off of a local licensed lead before use.</p>
        )}
      </Section>
    </>
  )
}

function limitOf(flags: Triage['flags']): string {
  const limits = new Set(flags.flatMap(({ seeBy }) => (seeBy === null ? [] : [limitWords(seeBy)])))
  return [...limits].join(' or ')
}

function TriageForm({ triage }: { triage: Triage }) {
  const { referral, questions, answers, conditions, suggested, limits, protocols, protocolId, timeZone } = triage
  const suggestion = suggested.length === 1 ? suggested[0]?.conditionId : undefined
  return (
    <FormShell
      action={saveTriaged.bind(null, {
        referralId: referral.id,
        protocolId,
        timeZone,
        facts: questions.map(({ id, label }) => ({ id, label })),
        conditions: conditions.map(({ id, title }) => ({ id, title })),
      })}
      title="Triage – Farstep"
    >
      <HiddenField name="version" value={String(referral.version)} />
      {protocols.length > 1 && (
        <p>
          Protocol:{' '}
          {protocols.map(({ id, title }) => (
            <Link
              key={id}
              href={`/referrals/${referral.id}/triage?protocol=${id}`}
              aria-current={id === protocolId || undefined}
            >
              {title}
            </Link>
          ))}
        </p>
      )}
      <Section heading="Red flags">
        <p>
          Leave at “Not known” what the referral does not say; the patient is asked later. Not known never clears
          anything.
        </p>
        <div className={styles.checklist}>
          {questions.map((fact) => {
            const raw = rawAnswer(answers[fact.id])
            const label = asLineStart(fact.label)
            return (
              <div key={fact.id}>
                <HiddenField name={`shown-${fact.id}`} value={raw} />
                {fact.kind === 'yes_no' ? (
                  <RadioGroup
                    name={`fact-${fact.id}`}
                    label={label}
                    layout="in_line"
                    value={raw}
                    options={[
                      { value: 'yes', label: 'Yes' },
                      { value: 'no', label: 'No' },
                      { value: '', label: 'Not known' },
                    ]}
                  />
                ) : (
                  <TextField
                    name={`fact-${fact.id}`}
                    label={label}
                    optional="if known"
                    value={raw}
                    width={4}
                    inputMode="decimal"
                    suffix={fact.unit}
                  />
                )}
              </div>
            )
          })}
        </div>
      </Section>
      <Section heading="What is suspected">
        <div className={styles.fields}>
          <RadioGroup
            name="conditionId"
            label="Suspected condition"
            value={referral.conditionId ?? suggestion}
            options={conditions.map(({ id, title, plain, inPersonWithin }) => ({
              value: id,
              label: title,
              hint: inPersonWithin === null ? plain : `${plain}. Seen in person within ${limitWords(inPersonWithin)}.`,
            }))}
          />
          <RadioGroup
            name="side"
            label="Side"
            layout="in_line"
            value={referral.side ?? undefined}
            options={SIDES.map((side) => ({ value: side, label: SIDE_WORDS[side] }))}
          />
        </div>
      </Section>
      <Section heading="By when">
        <div className={styles.fields}>
          <RadioGroup
            name="priority"
            label="Urgency"
            value={referral.priority}
            options={limits.map(({ priority, at }) => ({
              value: priority,
              label: PRIORITY_WORDS[priority],
              hint: (
                <>
                  by <TimeText at={at} timeZone={timeZone} />
                </>
              ),
            }))}
          />
          <p>A red flag or the condition brings this time forward by itself. Nothing pushes it back.</p>
          <DateFields
            name="seeByOn"
            label="Bring it forward to"
            optional="optional"
            hint="The day by which the patient should be seen."
          />
        </div>
      </Section>
      <Actions>
        <Button>Save this triage</Button>
      </Actions>
    </FormShell>
  )
}
