import type { Metadata } from 'next'
import { notFound } from 'next/navigation'
import { FormShell } from '#app/_ui/form-shell.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { openCheck } from '../open-check.ts'
import { backFrom, detailStepsOf } from '../way.ts'
import { saveAnswer, saveDetails } from './actions.ts'
import { DetailFields } from './detail-fields.tsx'
import { QuestionFields } from './question-fields.tsx'

export const metadata: Metadata = { title: null }

/** One question of the home check, or one small group of details. */
export default async function StepPage({ params, searchParams }: PageProps<'/my/check/[step]'>) {
  const { step } = await params
  const from = (await searchParams).from === 'answers' ? 'answers' : null
  const { view, locale, t } = await openCheck()
  const fact = view.questions.find(({ id }) => id === step)
  const detail = detailStepsOf(view).find((each) => each === step)
  if (!fact && !detail) notFound()
  return (
    <>
      <BackLink href={backFrom(view, step, from)}>{t('common.back')}</BackLink>
      {fact && (
        <FormShell action={saveAnswer.bind(null, fact.id, from)} title={fact.ask[locale]} problem={t('common.problem')}>
          <QuestionFields fact={fact} answer={view.answers[fact.id]} locale={locale} t={t} />
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
