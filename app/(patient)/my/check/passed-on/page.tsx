import type { Metadata } from 'next'
import { currentPatientOrLink } from '#app/_server/patient-page.ts'
import { ButtonLink } from '#app/_ui/button.tsx'
import { PhoneLink } from '#app/_ui/phone-link.tsx'
import { PlainPage } from '#app/_ui/plain-page.tsx'
import { openCheck } from '../open-check.ts'

export const metadata: Metadata = { title: null }

/** A sign that was passed on can't be taken back by a second answer: only somebody who spoke with the patient may. */
export default async function PassedOnPage() {
  const { t } = await openCheck()
  const { clinic } = await currentPatientOrLink()
  return (
    <PlainPage heading={t('home.passedOn.heading')}>
      <title>{t('home.passedOn.title')}</title>
      <p>{t('home.passedOn.body')}</p>
      <p>
        <PhoneLink number={clinic.phone}>{t('home.stop.callClinic', { phone: clinic.phone })}</PhoneLink>
      </p>
      <ButtonLink href="/my/check">{t('home.passedOn.goOn')}</ButtonLink>
    </PlainPage>
  )
}
