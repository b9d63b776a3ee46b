import type { Metadata } from 'next'
import { PlainPage } from '#app/_ui/plain-page.tsx'
import { wordsFor } from '#lib/words/words.ts'

const t = wordsFor('en')

export const metadata: Metadata = { title: t('common.linkNeeded.title') }

/** Nobody is known here, so it speaks the installation's language. */
export default function LinkNeededPage() {
  return (
    <PlainPage heading={t('common.linkNeeded.title')}>
      <p>{t('common.linkNeeded.how')}</p>
      <p>{t('common.linkNeeded.why')}</p>
    </PlainPage>
  )
}
