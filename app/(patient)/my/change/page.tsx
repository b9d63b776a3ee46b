/** What changed since the patient told us? Each change has its own way, and each is looked at at once. */
import { currentPatientOrLink, patientContext } from '#app/_server/patient-page.ts'
import { Actions, Button, ButtonLink } from '#app/_ui/button.tsx'
import { Notice } from '#app/_ui/notice.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { invariant } from '#lib/base/invariant.ts'
import { readMyVisit } from '#lib/usecases/read-my-visit.ts'
import { wordsFor } from '#lib/words/words.ts'
import { tellHelperLost } from './actions.ts'

export default async function ChangePage({ searchParams }: PageProps<'/my/change'>) {
  const ctx = await patientContext()
  const { language, clinic } = await currentPatientOrLink()
  const t = wordsFor(language)
  const { told } = await searchParams
  const result = await readMyVisit(ctx, { referralId: ctx.actor.referralId })
  invariant(result.ok, 'a patient may read their own visit')
  const visit = result.value
  return (
    <>
      <title>{t('board.change.title')}</title>
      <BackLink href="/my">{t('common.back')}</BackLink>
      {told === 'helper' && <Notice kind="note" heading={t('board.change.helperLostDone')} level={2} />}
      <h1>{t('board.change.heading')}</h1>
      <section>
        <h2>{t('board.change.worse')}</h2>
        <p>{t('board.change.worseBody')}</p>
        <Actions>
          <ButtonLink href="/my/change/symptoms">{t('board.change.worseDo')}</ButtonLink>
        </Actions>
      </section>
      {visit?.helperWindow && visit.helper !== 'cannot' && (
        <section>
          <h2>{t('board.change.helperLost')}</h2>
          <p>{t('board.change.helperLostBody')}</p>
          <form action={tellHelperLost}>
            <Actions>
              <Button look="grave">{t('board.change.helperLostDo')}</Button>
            </Actions>
          </form>
        </section>
      )}
      <section>
        <h2>{t('board.change.place')}</h2>
        <p>{t('board.change.placeBody')}</p>
        <Actions>
          <ButtonLink href="/my/check/place?from=answers">{t('board.change.placeDo')}</ButtonLink>
        </Actions>
      </section>
      <section>
        <h2>{t('board.change.home')}</h2>
        <p>{t('board.change.homeBody')}</p>
        <Actions>
          <ButtonLink href="/my/check/answers">{t('board.change.homeDo')}</ButtonLink>
        </Actions>
      </section>
      {visit && (
        <section>
          <h2>{t('board.change.time')}</h2>
          <Actions>
            <ButtonLink href="/my/book">{t('board.change.timeDo')}</ButtonLink>
          </Actions>
        </section>
      )}
      <p>{t('board.change.call', { clinic: clinic.name, phone: clinic.phone })}</p>
    </>
  )
}
