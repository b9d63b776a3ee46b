/** Of which days do the pages speak? Half a year up to yesterday, unless somebody asks for others. */
import { Temporal } from '#lib/base/time.ts'

export type Period = { from: string; to: string }
export type PeriodFault = 'not_a_date' | 'ends_before_it_begins' | 'too_long'

/** Two years: what is older was done by other protocols, in another clinic. */
const LONGEST_DAYS = 731

/** Both days are part of it. What is asked for wrongly is said, and the usual half-year is shown. */
export function periodOf(
  asked: { from: string | null; to: string | null },
  today: Temporal.PlainDate,
): { period: Period; fault: PeriodFault | null } {
  const yesterday = today.subtract({ days: 1 })
  const usual = { from: yesterday.subtract({ months: 6 }).toString(), to: yesterday.toString() }
  const dates = [asked.from ?? usual.from, asked.to ?? usual.to].map(readDate)
  const [from, to] = dates
  if (!from || !to) return { period: usual, fault: 'not_a_date' }
  if (Temporal.PlainDate.compare(from, to) > 0) return { period: usual, fault: 'ends_before_it_begins' }
  if (from.until(to, { largestUnit: 'days' }).days > LONGEST_DAYS) return { period: usual, fault: 'too_long' }
  return { period: { from: from.toString(), to: to.toString() }, fault: null }
}

function readDate(text: string): Temporal.PlainDate | null {
  if (!/^\d{4}-\d{2}-\d{2}$/.test(text)) return null
  try {
    return Temporal.PlainDate.from(text, { overflow: 'reject' })
  } catch {
    return null
  }
}
