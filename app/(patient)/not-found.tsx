import { languageOfVisitor } from '#app/_server/patient-page.ts'
import { PlainPage } from '#app/_ui/plain-page.tsx'
import { wordsFor } from '#lib/words/words.ts'

export default async function NotFound() {
  const t = wordsFor(await languageOfVisitor())
  return (
    <PlainPage heading={t('common.notFound.title')}>
      <title>{t('common.notFound.title')}</title>
      <p>{t('common.notFound.how')}</p>
    </PlainPage>
  )
}
