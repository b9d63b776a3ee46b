/** What changed since the patient told us? Each change has its own way, and each is looked at at once. */
import { currentPatientOrLink, patientContext } from '#app/_server/patient-page.ts'
import { Actions, Button, ButtonLink } from '#app/_ui/button.tsx'
import { DoneNotice } from '#app/_ui/done-notice.tsx'
import { PhoneSentence } from '#app/_ui/phone-link.tsx'
import { Section } from '#app/_ui/section.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { invariant } from '#lib/base/invariant.ts'
import { readMyVisit } from '#lib/usecases/read-my-visit.ts'
import { wordsFor } from '#lib/words/words.ts'
import { tellHelperLost } from './actions.ts'

export default async function ChangePage({ searchParams }: PageProps<'/my/change'>) {
  const ctx = await patientContext()
  const { language, clinic } = await currentPatientOrLink()
  const t = wordsFor(language)
  const { done } = await searchParams
  const result = await readMyVisit(ctx, { referralId: ctx.actor.referralId })
  invariant(result.ok, 'a patient may read their own visit')
  const visit = result.value
  return (
    <>
      <title>{t('board.change.title')}</title>
      <BackLink href="/my">{t('common.back')}</BackLink>
      <DoneNotice words={{ helper: t('board.change.helperLostDone') }} done={done} />
      <h1>{t('board.change.heading')}</h1>
      <Section heading={t('board.change.worse')}>
        <p>{t('board.change.worseBody')}</p>
        <Actions>
          <ButtonLink href="/my/change/symptoms">{t('board.change.worseDo')}</ButtonLink>
        </Actions>
      </Section>
      {visit?.helperWindow && visit.helper !== 'cannot' && (
        <Section heading={t('board.change.helperLost')}>
          <p>{t('board.change.helperLostBody')}</p>
          <form action={tellHelperLost}>
            <Actions>
              <Button look="grave">{t('board.change.helperLostDo')}</Button>
            </Actions>
          </form>
        </Section>
      )}
      <Section heading={t('board.change.place')}>
        <p>{t('board.change.placeBody')}</p>
        <Actions>
          <ButtonLink href="/my/check/place?from=answers">{t('board.change.placeDo')}</ButtonLink>
        </Actions>
      </Section>
      <Section heading={t('board.change.home')}>
        <p>{t('board.change.homeBody')}</p>
        <Actions>
          <ButtonLink href="/my/check/answers">{t('board.change.homeDo')}</ButtonLink>
        </Actions>
      </Section>
      {visit && (
        <Section heading={t('board.change.time')}>
          <Actions>
            <ButtonLink href="/my/book">{t('board.change.timeDo')}</ButtonLink>
          </Actions>
        </Section>
      )}
      <p>
        <PhoneSentence number={clinic.phone}>
          {t('board.change.call', { clinic: clinic.name, phone: clinic.phone })}
        </PhoneSentence>
      </p>
    </>
  )
}
