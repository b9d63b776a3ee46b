/** One small group of details: where, who, when, or the agreement to be seen by video. */
import { Actions, Button } from '#app/_ui/button.tsx'
import { CheckboxGroup } from '#app/_ui/checkbox-group.tsx'
import { RadioGroup } from '#app/_ui/radio-group.tsx'
import { SelectField } from '#app/_ui/select-field.tsx'
import { TextField } from '#app/_ui/text-field.tsx'
import { choicesIn, DAY_PART_IDS, type DetailStep, US_TIME_ZONES } from '#lib/domain/home/details.ts'
import { findState, US_STATES } from '#lib/domain/intake/us-states.ts'
import type { HomeCheckView } from '#lib/usecases/read-home-check.ts'
import type { Words } from '#lib/words/words.ts'
import styles from '../../my.module.css'

type Props = { view: HomeCheckView; t: Words }

export function DetailFields({ step, view, t }: Props & { step: DetailStep }) {
  const Fields = { place: Place, contact: Contact, times: Times, consent: Consent }[step]
  return (
    <>
      <h1>{t(`home.${step}.heading`)}</h1>
      <Fields view={view} t={t} />
      <Actions>
        <Button>{t('common.continue')}</Button>
      </Actions>
      <p className={styles.saved}>{t('home.check.saved')}</p>
    </>
  )
}

/** What the referral says already is filled in, to be looked at rather than typed again. */
function Place({ view: { details, patient }, t }: Props) {
  const known = [patient.addressLine, patient.city].filter((part) => part !== null).join(', ')
  const state = details?.placeState ?? patient.state ?? ''
  return (
    <>
      <p>{t('home.place.hint')}</p>
      <TextField
        name="placeAddress"
        label={t('home.place.address')}
        value={details?.placeAddress ?? known}
        autoComplete="street-address"
      />
      <SelectField
        name="placeState"
        label={t('home.place.state')}
        none={t('home.place.chooseState')}
        value={state}
        options={US_STATES.map(({ code, name }) => ({ value: code, label: name }))}
      />
      <RadioGroup
        name="timeZone"
        label={t('home.place.zone')}
        value={details?.timeZone ?? patient.timeZone ?? findState(state)?.timeZone ?? undefined}
        options={US_TIME_ZONES.map((zone) => ({ value: zone, label: t(`home.place.zones.${zone}`) }))}
      />
    </>
  )
}

function Contact({ view: { details, patient }, t }: Props) {
  return (
    <>
      <TextField
        name="callbackPhone"
        type="tel"
        label={t('home.contact.callback')}
        hint={t('home.contact.callbackHint')}
        value={details?.callbackPhone ?? patient.phone ?? ''}
        autoComplete="tel"
      />
      <TextField
        name="contactName"
        label={t('home.contact.name')}
        hint={t('home.contact.nameHint')}
        value={details?.contactName ?? ''}
        autoComplete="off"
      />
      <TextField
        name="contactPhone"
        type="tel"
        label={t('home.contact.phone')}
        value={details?.contactPhone ?? ''}
        autoComplete="off"
      />
    </>
  )
}

function Times({ view, t }: Props) {
  const { details, protocol, answers } = view
  const own = choicesIn(details?.patientWindows ?? [])
  const helper = choicesIn(details?.helperWindows ?? [])
  const days = (['1', '2', '3', '4', '5', '6', '7'] as const).map((day) => ({
    value: day,
    label: t(`home.times.day.${day}`),
  }))
  const parts = DAY_PART_IDS.map((part) => ({ value: part, label: t(`home.times.part.${part}`) }))
  return (
    <>
      <p>{t('home.times.hint')}</p>
      <CheckboxGroup name="days" label={t('home.times.days')} options={days} values={own.days.map(String)} />
      <CheckboxGroup name="parts" label={t('home.times.parts')} options={parts} values={own.parts} />
      {answers[protocol.helperFact] !== false && (
        <>
          <TextField
            name="helperName"
            label={t('home.times.helperName')}
            hint={t('home.times.helperHint')}
            value={details?.helperName ?? ''}
            autoComplete="off"
          />
          <CheckboxGroup
            name="helperDays"
            label={t('home.times.helperDays')}
            options={days}
            values={helper.days.map(String)}
          />
          <CheckboxGroup name="helperParts" label={t('home.times.helperParts')} options={parts} values={helper.parts} />
        </>
      )}
    </>
  )
}

function Consent({ view: { details }, t }: Props) {
  return (
    <>
      <p>{t('home.consent.body')}</p>
      <CheckboxGroup
        name="agreed"
        label={t('home.consent.label')}
        layout="large"
        options={[{ value: 'yes', label: t('home.consent.agree') }]}
        values={details?.consentedAt ? ['yes'] : []}
      />
    </>
  )
}
