import type { Metadata } from 'next'
import { unsignedContext } from '#app/_server/runtime.ts'
import { Actions, Button } from '#app/_ui/button.tsx'
import { DateFields } from '#app/_ui/date-fields.tsx'
import { FormShell } from '#app/_ui/form-shell.tsx'
import { PhoneLink } from '#app/_ui/phone-link.tsx'
import { PlainPage } from '#app/_ui/plain-page.tsx'
import NotFound from '#app/(patient)/not-found.tsx'
import { readLink } from '#lib/usecases/read-link.ts'
import { wordsFor } from '#lib/words/words.ts'
import { openMyPage } from './actions.ts'

/** The address holds a secret: the referrer policy of every page (`proxy.ts`) keeps it from other hosts. */
export const metadata: Metadata = { title: null }

/** A personal link: asks for the date of birth and nothing else. Looking at it changes nothing. */
export default async function LinkPage({ params }: PageProps<'/go/[clinic]/[token]'>) {
  const { clinic, token } = await params
  const link = await readLink(unsignedContext(), { clinicSlug: clinic, token })
  // No clinic is called so. The framework's own way to a page that is not found needs a script.
  if (!link) return <NotFound />
  const t = wordsFor(link.language)
  if (link.state !== 'open') {
    return (
      <PlainPage heading={t(`home.closed.${link.state}.heading`)}>
        <title>{t(`home.closed.${link.state}.title`)}</title>
        <p>{t(`home.closed.${link.state}.body`)}</p>
        <p>
          <PhoneLink number={link.clinicPhone}>{t('home.stop.callClinic', { phone: link.clinicPhone })}</PhoneLink>
        </p>
      </PlainPage>
    )
  }
  return (
    <FormShell action={openMyPage.bind(null, clinic, token)} title={t('home.open.title')} problem={t('common.problem')}>
      <DateFields
        name="birthDate"
        label={t('home.open.heading')}
        hint={t('home.open.hint')}
        parts={{ month: t('home.open.month'), day: t('home.open.day'), year: t('home.open.year') }}
        isBirthDate
        isPageHeading
      />
      <Actions>
        <Button>{t('home.open.continue')}</Button>
      </Actions>
    </FormShell>
  )
}
