/** "I feel worse": the red-flag questions that were not answered yes before, on one page to tick. */
import { redirect } from 'next/navigation'
import { currentPatientOrLink, patientContext } from '#app/_server/patient-page.ts'
import { Actions, Button } from '#app/_ui/button.tsx'
import { CheckboxGroup } from '#app/_ui/checkbox-group.tsx'
import { FormShell } from '#app/_ui/form-shell.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { newSymptoms } from '#lib/domain/screening/home-check.ts'
import { readHomeCheck } from '#lib/usecases/read-home-check.ts'
import { wordsFor } from '#lib/words/words.ts'
import { tellSymptoms } from '../actions.ts'

export default async function SymptomsPage() {
  const ctx = await patientContext()
  const { language } = await currentPatientOrLink()
  const t = wordsFor(language)
  const result = await readHomeCheck(ctx, { referralId: ctx.actor.referralId })
  if (!result.ok) redirect('/my')
  const { protocol, answers } = result.value
  const symptoms = newSymptoms(protocol, answers)
  return (
    <>
      <BackLink href="/my/change">{t('common.back')}</BackLink>
      <FormShell action={tellSymptoms} title={t('board.symptoms.title')} problem={t('common.problem')}>
        <CheckboxGroup
          name="symptom"
          label={t('board.symptoms.heading')}
          hint={t('board.symptoms.hint')}
          isPageHeading
          layout="large"
          options={symptoms.map((fact) => ({ value: fact.id, label: fact.ask[language] }))}
        />
        <Actions>
          <Button>{t('board.symptoms.send')}</Button>
        </Actions>
      </FormShell>
    </>
  )
}
