import type { Metadata } from 'next'
import { redirect } from 'next/navigation'
import { FormShell } from '#app/_ui/form-shell.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { statureOf, walkOf } from '#lib/domain/geometry/set-up-geometry.ts'
import type { Fact } from '#lib/domain/protocol/schema.ts'
import type { HomeCheckView } from '#lib/usecases/read-home-check.ts'
import { openCheck } from '../open-check.ts'
import { backFrom, detailStepsOf } from '../way.ts'
import { saveAnswer, saveDetails } from './actions.ts'
import { DetailFields } from './detail-fields.tsx'
import type { Walk } from './line-drawing.tsx'
import { QuestionFields } from './question-fields.tsx'

export const metadata: Metadata = { title: null }

/** One question of the home check, or one small group of details. */
export default async function StepPage({ params, searchParams }: PageProps<'/my/check/[step]'>) {
  const { step } = await params
  const from = (await searchParams).from === 'answers' ? 'answers' : null
  const { view, locale, t } = await openCheck()
  const fact = view.questions.find(({ id }) => id === step)
  const detail = detailStepsOf(view).find((each) => each === step)
  // Not asked, or not any more, as by an old tab: on with what is. A page that is not found stays white without a script.
  if (!fact && !detail) redirect('/my/check')
  return (
    <>
      <BackLink href={backFrom(view, step, from)}>{t('common.back')}</BackLink>
      {fact && (
        <FormShell action={saveAnswer.bind(null, fact.id, from)} title={fact.ask[locale]} problem={t('common.problem')}>
          <QuestionFields fact={fact} answer={view.answers[fact.id]} walk={walkFor(fact, view)} locale={locale} t={t} />
        </FormShell>
      )}
      {detail && (
        <FormShell
          action={saveDetails.bind(null, detail, from)}
          title={t(`home.${detail}.title`)}
          problem={t('common.problem')}
        >
          <DetailFields step={detail} view={view} t={t} />
        </FormShell>
      )}
    </>
  )
}

/** What the line at home is drawn with: no more of the set-up than its measures follow from. */
function walkFor({ id }: Fact, { protocol, answers, side }: HomeCheckView): Walk | null {
  const setUp = walkOf(protocol, id)
  if (!setUp) return null
  const { title, position, facing, camera } = setUp
  return { setUp: { id: setUp.id, title, position, facing, camera }, statureCm: statureOf(protocol, answers), side }
}
