/**
 * By when must the patient be seen? Hours run on the clock. Days and working
 * days end when the clinic closes, and are counted from the day after the one
 * on which they were set: Friday 16:00 and one working day is Monday's closing
 * time. "Working day" is Monday to Friday without public holidays, the usual
 * reading where a guideline leaves it open (NICE NG19 does).
 */
import { Temporal } from '#lib/base/time.ts'
import type { SeeBy } from '#lib/domain/protocol/schema.ts'

export type ClinicHours = { timeZone: string; closesAt: string; holidays: readonly string[] }

/** The instant by which a visit must have started. A part of a day is dropped: that can only make it sooner. */
export function dueBy(seeBy: SeeBy, from: Temporal.Instant, clinic: ClinicHours): Temporal.Instant {
  if (seeBy.unit === 'hours') return from.add({ minutes: Math.floor(seeBy.within * 60) })
  const days = Math.floor(seeBy.within)
  const today = from.toZonedDateTimeISO(clinic.timeZone).toPlainDate()
  const date = seeBy.unit === 'days' ? today.add({ days }) : addWorkingDays(today, days, clinic.holidays)
  return date
    .toZonedDateTime({ timeZone: clinic.timeZone, plainTime: Temporal.PlainTime.from(clinic.closesAt) })
    .toInstant()
}

function addWorkingDays(from: Temporal.PlainDate, count: number, holidays: readonly string[]): Temporal.PlainDate {
  let date = from
  for (let left = count; left > 0; ) {
    date = date.add({ days: 1 })
    if (date.dayOfWeek <= 5 && !holidays.includes(date.toString())) left -= 1
  }
  return date
}
