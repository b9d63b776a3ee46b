/** "I feel worse": the red-flag questions that were not answered yes before, on one page to tick. */
import { redirect } from 'next/navigation'
import { currentPatientOrLink, patientContext } from '#app/_server/patient-page.ts'
import { Actions, Button } from '#app/_ui/button.tsx'
import { FormShell } from '#app/_ui/form-shell.tsx'
import { PhoneLink } from '#app/_ui/phone-link.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import type { Fact } from '#lib/domain/protocol/schema.ts'
import { type NewSign, newSigns } from '#lib/domain/screening/new-signs.ts'
import { readHomeCheck } from '#lib/usecases/read-home-check.ts'
import { wordsFor } from '#lib/words/words.ts'
import { tellSymptoms } from '../actions.ts'
import { SignFields, type SignGroup } from './sign-fields.tsx'

export default async function SymptomsPage() {
  const ctx = await patientContext()
  const { language, clinic } = await currentPatientOrLink()
  const t = wordsFor(language)
  const result = await readHomeCheck(ctx, { referralId: ctx.actor.referralId })
  if (!result.ok) redirect('/my')
  const { protocol, answers } = result.value
  const tick = ({ id, ask }: Fact) => ({ value: id, label: ask[language] })
  const signs = newSigns(protocol, answers)
  const group = (of: NewSign[], words: Omit<SignGroup, 'signs'>): SignGroup[] =>
    of.length === 0 ? [] : [{ ...words, signs: of.map(({ fact, also }) => ({ ...tick(fact), also: also.map(tick) })) }]
  const number = clinic.emergencyNumber
  return (
    <>
      <BackLink href="/my/change">{t('common.back')}</BackLink>
      <FormShell action={tellSymptoms} title={t('board.symptoms.title')} problem={t('common.problem')}>
        <SignFields
          name="symptom"
          label={t('board.symptoms.heading')}
          hint={t('board.symptoms.hint')}
          alsoWord={t('board.symptoms.also')}
          groups={[
            ...group(
              signs.filter(({ isEmergency }) => isEmergency),
              {
                heading: t('board.symptoms.emergency', { number }),
                lead: <PhoneLink number={number}>{t('home.stop.emergencyCall', { number })}</PhoneLink>,
              },
            ),
            ...group(
              signs.filter(({ isEmergency }) => !isEmergency),
              { heading: t('board.symptoms.other') },
            ),
          ]}
        />
        <Actions>
          <Button>{t('board.symptoms.send')}</Button>
        </Actions>
      </FormShell>
    </>
  )
}
