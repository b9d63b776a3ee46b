import type { Metadata } from 'next'
import { languageOfVisitor } from '#app/_server/patient-page.ts'
import { ButtonLink } from '#app/_ui/button.tsx'
import { PlainPage } from '#app/_ui/plain-page.tsx'
import { wordsFor } from '#lib/words/words.ts'

export const metadata: Metadata = { title: null }

/** More was sent than any form takes (`proxy.ts`): nothing of it was read. */
export default async function TooLongPage() {
  const t = wordsFor(await languageOfVisitor())
  return (
    <PlainPage heading={t('common.tooLong.title')}>
      <title>{t('common.tooLong.title')}</title>
      <p>{t('common.tooLong.what')}</p>
      <p>{t('common.tooLong.how')}</p>
      <ButtonLink href="/my">{t('common.tooLong.toPage')}</ButtonLink>
    </PlainPage>
  )
}
