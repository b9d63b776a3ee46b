/**
 * Which date did somebody type? Day and year in figures; the month in figures or by its name in English or Spanish, whole
 * or shortened. Anything that could mean two dates is asked again, never guessed: a birth date is also a key.
 */

import { err, ok, type Result } from '#lib/base/result.ts'
import { Temporal } from '#lib/base/time.ts'

export type DateFault = { code: 'missing' } | { code: 'not_a_date' }

/** The date in the three fields of `DateFields`. */
export function readDate(form: FormData, name: string): Result<Temporal.PlainDate, DateFault> {
  const [day, month, year] = ['day', 'month', 'year'].map((part) =>
    String(form.get(`${name}-${part}`) ?? '').trim(),
  ) as [string, string, string]
  if (day === '' && month === '' && year === '') return err({ code: 'missing' })
  const monthNumber = monthOf(month)
  if (!/^\d{1,2}$/.test(day) || monthNumber === null || !/^\d{4}$/.test(year)) return err({ code: 'not_a_date' })
  try {
    return ok(
      Temporal.PlainDate.from({ year: Number(year), month: monthNumber, day: Number(day) }, { overflow: 'reject' }),
    )
  } catch {
    return err({ code: 'not_a_date' })
  }
}

function monthOf(text: string): number | null {
  if (/^\d{1,2}$/.test(text)) return Number(text)
  const typed = plain(text)
  if (typed.length < 3) return null
  const found = MONTHS.flatMap((names, index) => (names.some((name) => name.startsWith(typed)) ? [index + 1] : []))
  return found.length === 1 ? (found[0] ?? null) : null
}

/** Names as the platform spells them (CLDR), without accents, case or a closing stop. */
const MONTHS: readonly (readonly string[])[] = Array.from({ length: 12 }, (_, index) =>
  ['en', 'es'].map((locale) =>
    plain(Temporal.PlainDate.from({ year: 2024, month: index + 1, day: 1 }).toLocaleString(locale, { month: 'long' })),
  ),
)

function plain(text: string): string {
  return text
    .normalize('NFD')
    .replace(/[^\p{Letter}]/gu, '')
    .toLowerCase()
}
