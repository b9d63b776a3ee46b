/** Reads one group of details from a form, or says what is missing, in page order. */
import type { FormError } from '#app/_ui/form-state.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import type { DetailStep } from '#lib/domain/home/details.ts'
import { type HomeDetailsInput, homeDetailsInput } from '#lib/usecases/save-home-details.ts'
import type { Words } from '#lib/words/words.ts'

/** Null when there is no such group. */
export function readDetails(step: string, form: FormData, t: Words): Result<HomeDetailsInput, FormError[]> | null {
  const text = (name: string) => String(form.get(name) ?? '')
  const words: Record<DetailStep, Record<string, string>> = {
    place: {
      placeAddress: t('home.place.errors.placeAddress'),
      placeState: t('home.place.errors.placeState'),
      timeZone: t('home.place.errors.timeZone'),
    },
    contact: {
      callbackPhone: t('home.contact.errors.callbackPhone'),
      contactName: t('home.contact.errors.contactName'),
      contactPhone: t('home.contact.errors.contactPhone'),
    },
    times: { helperName: t('home.times.errors.helperName') },
    consent: { agreed: t('home.consent.errors.agreed') },
  }
  const fields: Record<DetailStep, () => Record<string, string | string[]>> = {
    place: () => ({ placeAddress: text('placeAddress'), placeState: text('placeState'), timeZone: text('timeZone') }),
    contact: () => ({
      callbackPhone: text('callbackPhone'),
      contactName: text('contactName'),
      contactPhone: text('contactPhone'),
    }),
    times: () => ({
      days: form.getAll('days').map(String),
      parts: form.getAll('parts').map(String),
      helperName: text('helperName'),
      helperDays: form.getAll('helperDays').map(String),
      helperParts: form.getAll('helperParts').map(String),
    }),
    consent: () => ({ agreed: text('agreed') }),
  }
  if (!(step in fields)) return null
  const known = step as DetailStep
  const read = homeDetailsInput.safeParse({ step: known, ...fields[known]() })
  if (read.success) return ok(read.data)
  return err(
    Object.entries(words[known]).flatMap(([field, message]) => {
      const issue = read.error.issues.find(({ path }) => path[0] === field)
      if (issue === undefined) return []
      const isTooLong = issue.code === 'too_big' && issue.origin === 'string'
      return [{ field, message: isTooLong ? t('common.tooLong.inField', { max: Number(issue.maximum) }) : message }]
    }),
  )
}
