import type { Metadata } from 'next'
import { redirect } from 'next/navigation'
import { currentPatientOrLink, patientContext } from '#app/_server/patient-page.ts'
import { ButtonLink } from '#app/_ui/button.tsx'
import { Notice } from '#app/_ui/notice.tsx'
import { PhoneLink } from '#app/_ui/phone-link.tsx'
import { readHomeCheck } from '#lib/usecases/read-home-check.ts'
import { wordsFor } from '#lib/words/words.ts'
import styles from '../my.module.css'

export const metadata: Metadata = { title: null }

/** What to do about a sign that can't wait. In an emergency there is one thing to do, and no way on. */
export default async function StopPage() {
  const ctx = await patientContext()
  const { clinic, language } = await currentPatientOrLink()
  const t = wordsFor(language)
  const check = await readHomeCheck(ctx, { referralId: ctx.actor.referralId })
  if (!check.ok) redirect('/my')
  const { raised, isHelpNeeded } = check.value
  const [flag] = raised
  if (!flag && !isHelpNeeded) redirect('/my')
  const clinicNumber = <PhoneLink number={clinic.phone}>{t('home.stop.callClinic', { phone: clinic.phone })}</PhoneLink>

  if (isHelpNeeded) {
    return (
      <div className={styles.stack}>
        <title>{t('home.stop.title')}</title>
        <h1>{t('home.stop.emergencyHeading')}</h1>
        <Notice
          kind="emergency"
          heading={flag?.level === 'emergency' ? flag.advice[language] : t('home.stop.emergencyBody')}
        >
          <p className={styles.call}>
            <PhoneLink number={clinic.emergencyNumber}>
              {t('home.stop.emergencyCall', { number: clinic.emergencyNumber })}
            </PhoneLink>
          </p>
        </Notice>
        <p>{t('home.stop.told')}</p>
        <p>{t('home.stop.mistake')}</p>
        <p>{clinicNumber}</p>
      </div>
    )
  }
  return (
    <div className={styles.stack}>
      <title>{t('home.stop.title')}</title>
      <h1>{t(flag?.level === 'in_person' ? 'home.stop.clinicHeading' : 'home.stop.urgentHeading')}</h1>
      <Notice kind="urgent" heading={flag?.advice[language] ?? t('home.stop.urgentHeading')}>
        <p>{clinicNumber}</p>
      </Notice>
      <p>{t('home.stop.told')}</p>
      {/* The same-day advice says it already. */}
      {flag?.level !== 'same_day' && <p>{t('home.stop.worse', { number: clinic.emergencyNumber })}</p>}
      <p>{t('home.stop.whyGoOn')}</p>
      <ButtonLink href="/my/check">{t('home.stop.goOn')}</ButtonLink>
    </div>
  )
}
