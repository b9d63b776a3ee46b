import type { Metadata } from 'next'
import { PlainPage } from '#app/_ui/plain-page.tsx'
import { LOCALES } from '#lib/domain/protocol/schema.ts'
import { wordsFor } from '#lib/words/words.ts'

export const metadata: Metadata = { title: wordsFor('en')('common.linkNeeded.title') }

/** Nobody is known here, so it says the same in every language, the installation's first. */
export default function LinkNeededPage() {
  const [first, ...others] = LOCALES.map((locale) => ({ locale, t: wordsFor(locale) }))
  if (!first) return null
  return (
    <PlainPage heading={first.t('common.linkNeeded.title')}>
      <p>{first.t('common.linkNeeded.how')}</p>
      <p>{first.t('common.linkNeeded.why')}</p>
      {others.map(({ locale, t }) => (
        <section key={locale} lang={locale}>
          <h2>{t('common.linkNeeded.title')}</h2>
          <p>{t('common.linkNeeded.how')}</p>
          <p>{t('common.linkNeeded.why')}</p>
        </section>
      ))}
    </PlainPage>
  )
}
