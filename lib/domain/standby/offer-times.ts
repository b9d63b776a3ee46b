/**
 * When is a start that came free offered, and until when is it kept? Nobody is asked at night, and the night doesn't count
 * as time to answer. It is never kept past the notice that the person needs: who answers then could not come any more.
 */
import { Temporal } from '#lib/base/time.ts'
import { outsideQuietHours, type Timing } from '../messages/schedule.ts'

export type OfferTimes = { dueAt: Temporal.Instant; expiresAt: Temporal.Instant }

/** Null where there would be too little time to answer. */
export function offerTimes(startsAt: Temporal.Instant, noticeHours: number, timing: Timing): OfferTimes | null {
  const { answerMin, leastAnswerMin } = timing.policy.standby
  const dueAt = outsideQuietHours(timing.now, timing)
  const latest = startsAt.subtract({ hours: noticeHours })
  const wanted = afterAwake(dueAt, answerMin, timing)
  const expiresAt = Temporal.Instant.compare(wanted, latest) < 0 ? wanted : latest
  const least = dueAt.add({ minutes: Math.min(leastAnswerMin, answerMin) })
  return Temporal.Instant.compare(expiresAt, least) < 0 ? null : { dueAt, expiresAt }
}

/** So many minutes later on the patient's clock, the quiet hours left out. */
function afterAwake(from: Temporal.Instant, minutes: number, timing: Omit<Timing, 'now'>): Temporal.Instant {
  let at = from
  // Whole milliseconds: a clock seldom stands at a whole minute.
  let left = minutes * 60_000
  for (;;) {
    const quiet = nextQuiet(at, timing)
    const awake = quiet.epochMilliseconds - at.epochMilliseconds
    if (left <= awake) return at.add({ milliseconds: left })
    left -= awake
    at = outsideQuietHours(quiet, timing)
    // Quiet hours of no length would be counted for ever.
    if (at.equals(quiet)) return at.add({ milliseconds: left })
  }
}

/** When the quiet hours next begin. */
function nextQuiet(at: Temporal.Instant, { policy, zone }: Omit<Timing, 'now'>): Temporal.Instant {
  const today = at.toZonedDateTimeISO(zone).toPlainDate()
  const onDay = (date: Temporal.PlainDate) =>
    date.toZonedDateTime({ timeZone: zone, plainTime: Temporal.PlainTime.from(policy.messages.quietFrom) }).toInstant()
  const tonight = onDay(today)
  return Temporal.Instant.compare(tonight, at) > 0 ? tonight : onDay(today.add({ days: 1 }))
}
