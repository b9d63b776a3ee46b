/**
 * One group of details. Only what was said is filled in: what the referral knows stands beside it, because where somebody
 * lives is not yet where they will be.
 */
import { CheckboxGroup } from '#app/_ui/checkbox-group.tsx'
import { SelectField } from '#app/_ui/select-field.tsx'
import { TextField } from '#app/_ui/text-field.tsx'
import { choicesIn, DAY_PART_IDS, type DetailStep, US_TIME_ZONES } from '#lib/domain/home/details.ts'
import { phoneWords } from '#lib/domain/intake/phone-number.ts'
import { US_STATES } from '#lib/domain/intake/us-states.ts'
import type { HomeCheckView } from '#lib/usecases/read-home-check.ts'
import { detailsShown } from '#lib/usecases/save-home-details.ts'
import { wordsFor } from '#lib/words/words.ts'
import styles from './check.module.css'

type Props = { view: HomeCheckView }

const t = wordsFor('en')

export function DetailGroup({ step, view }: Props & { step: DetailStep }) {
  const Group = { place: Place, contact: Contact, times: Times, consent: Consent }[step]
  return (
    <div className={styles.group}>
      <input type="hidden" name={`seen-${step}`} value={detailsShown(view.details, step)} />
      <Group view={view} />
    </div>
  )
}

function Place({ view: { details, patient } }: Props) {
  const known = [patient.addressLine, patient.city, patient.state].filter((part) => part !== null).join(', ')
  return (
    <>
      <TextField
        name="placeAddress"
        label="Street, number and town"
        hint={known === '' ? undefined : `On file: ${known}`}
        value={details?.placeAddress ?? ''}
        autoComplete="off"
      />
      <SelectField
        name="placeState"
        label="State"
        hint="The clinician needs a license for it."
        none="Choose a state"
        value={details?.placeState ?? ''}
        options={US_STATES.map(({ code, name }) => ({ value: code, label: name }))}
      />
      <SelectField
        name="timeZone"
        label="Time zone there"
        none="Choose a time zone"
        value={details?.timeZone ?? ''}
        options={US_TIME_ZONES.map((zone) => ({ value: zone, label: t(`home.place.zones.${zone}`) }))}
      />
    </>
  )
}

function Contact({ view: { details, patient } }: Props) {
  return (
    <>
      <TextField
        name="callbackPhone"
        type="tel"
        label="The patient’s number on the day"
        hint={patient.phone === null ? undefined : `On file: ${phoneWords(patient.phone)}`}
        value={details?.callbackPhone ?? ''}
        autoComplete="off"
        width={20}
      />
      <TextField
        name="contactName"
        label="Somebody close to them"
        value={details?.contactName ?? ''}
        autoComplete="off"
        width={20}
      />
      <TextField
        name="contactPhone"
        type="tel"
        label="That person’s number"
        value={details?.contactPhone ?? ''}
        autoComplete="off"
        width={20}
      />
    </>
  )
}

const DAYS = (['1', '2', '3', '4', '5', '6', '7'] as const).map((day) => ({
  value: day,
  label: t(`home.times.day.${day}`),
}))
const PARTS = DAY_PART_IDS.map((part) => ({ value: part, label: t(`home.times.part.${part}`) }))

function Times({ view: { details, protocol, answers } }: Props) {
  const own = choicesIn(details?.patientWindows ?? [])
  const helper = choicesIn(details?.helperWindows ?? [])
  return (
    <div className={styles.inLine}>
      {/* Nothing ticked means any time, so that it was asked must be said on its own. */}
      <CheckboxGroup
        name="timesAsked"
        label="Asked"
        options={[{ value: 'yes', label: 'Asked; where nothing is ticked below, any time suits' }]}
        values={details?.timesAnsweredAt ? ['yes'] : []}
      />
      <CheckboxGroup name="days" label="Days that suit the patient" options={DAYS} values={own.days.map(String)} />
      <CheckboxGroup name="parts" label="Times of day" options={PARTS} values={own.parts} />
      {answers[protocol.helperFact] !== false && (
        <>
          <TextField
            name="helperName"
            label="Helper"
            optional="leave empty when nobody helps"
            value={details?.helperName ?? ''}
            autoComplete="off"
            width={20}
          />
          <CheckboxGroup
            name="helperDays"
            label="Days that suit the helper"
            options={DAYS}
            values={helper.days.map(String)}
          />
          <CheckboxGroup name="helperParts" label="Times of day for the helper" options={PARTS} values={helper.parts} />
        </>
      )}
    </div>
  )
}

function Consent({ view: { details, needsConsent } }: Props) {
  if (!needsConsent) return <p>Not needed: the patient is not going to be seen by video.</p>
  return (
    <>
      <p>Read out: “{t('home.consent.body')}”</p>
      <CheckboxGroup
        name="agreed"
        label="Does the patient agree?"
        options={[{ value: 'yes', label: 'Yes, they said so on the phone' }]}
        values={details?.consentedAt ? ['yes'] : []}
      />
    </>
  )
}
