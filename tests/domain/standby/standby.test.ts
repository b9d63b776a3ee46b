/** In which order people are asked, and how long a start is kept for them: against the clock read minute by minute. */
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { Temporal } from '#lib/base/time.ts'
import { DEFAULT_POLICY } from '#lib/domain/policy/clinic-policy.ts'
import { offerTimes } from '#lib/domain/standby/offer-times.ts'
import { moreUrgentFirst, type Waiting } from '#lib/domain/standby/standby.ts'

const at = (iso: string) => Temporal.Instant.from(iso)
const waiting = (entryId: string, change: Partial<Waiting> = {}): Waiting => ({
  entryId,
  seeBy: at('2026-04-01T21:00:00Z'),
  disposition: 'video',
  priority: 'routine',
  joinedAt: at('2026-03-01T12:00:00Z'),
  ...change,
})
const order = (...list: Waiting[]) => list.toSorted(moreUrgentFirst).map(({ entryId }) => entryId)

describe('who is asked first', () => {
  test('whoever has to be seen first, whatever else', () => {
    const soon = waiting('soon', { seeBy: at('2026-03-20T21:00:00Z') })
    const stat = waiting('stat', { priority: 'stat', disposition: 'urgent_in_person' })
    const never = waiting('never', { seeBy: null })
    expect(order(never, stat, soon)).toEqual(['soon', 'stat', 'never'])
  })

  test('then whoever was judged more urgent, then whoever has waited longest', () => {
    const urgent = waiting('urgent', { disposition: 'urgent_in_person' })
    const stat = waiting('stat', { priority: 'stat' })
    const early = waiting('early', { joinedAt: at('2026-02-01T12:00:00Z') })
    expect(order(waiting('plain'), early, stat, urgent)).toEqual(['urgent', 'stat', 'early', 'plain'])
  })

  test('the order is one order: it never depends on where somebody stood before', () => {
    const one = fc.record<Waiting>({
      entryId: fc.constantFrom('a', 'b', 'c', 'd', 'e'),
      seeBy: fc.constantFrom(null, at('2026-03-20T21:00:00Z'), at('2026-04-01T21:00:00Z')),
      disposition: fc.constantFrom(null, 'video', 'in_person', 'urgent_in_person'),
      priority: fc.constantFrom('routine', 'urgent', 'stat'),
      joinedAt: fc.constantFrom(at('2026-03-01T12:00:00Z'), at('2026-03-02T12:00:00Z')),
    })
    const list = fc.uniqueArray(one, { selector: ({ entryId }) => entryId, minLength: 2, maxLength: 5 })
    fc.assert(
      fc.property(list, (all) => {
        expect(order(...all.toReversed())).toEqual(order(...all))
      }),
      { seed: 4 },
    )
  })
})

describe('how long a start is kept', () => {
  const zone = 'America/New_York'
  const policy = DEFAULT_POLICY

  /** Minutes of [from, to) outside 20:00 to 08:00, counted one by one. */
  function awakeMinutes(from: Temporal.Instant, to: Temporal.Instant): number {
    let count = 0
    for (let t = from; Temporal.Instant.compare(t, to) < 0; t = t.add({ minutes: 1 })) {
      const { hour } = t.toZonedDateTimeISO(zone)
      if (hour >= 8 && hour < 20) count += 1
    }
    return count
  }

  // Over the days on which New York's clocks change in 2026: 8 March and 1 November.
  const days = fc.constantFrom('2026-03-06', '2026-03-07', '2026-03-08', '2026-10-30', '2026-10-31', '2026-11-01')
  const inputs = fc.record({
    day: days,
    minute: fc.integer({ min: 0, max: 1439 }),
    answerMin: fc.integer({ min: 15, max: 2000 }),
  })

  test('for as many minutes as the clinic says, and none of them at night', () => {
    fc.assert(
      fc.property(inputs, ({ day, minute, answerMin }) => {
        const now = at(`${day}T00:00:00Z`).add({ minutes: minute })
        const timing = { policy: { ...policy, standby: { ...policy.standby, answerMin } }, zone, now }
        const times = offerTimes(now.add({ hours: 24 * 30 }), 24, timing)
        if (!times) throw new Error('there is time enough')
        const { hour } = times.dueAt.toZonedDateTimeISO(zone)
        expect(hour >= 8 && hour < 20).toBe(true)
        expect(awakeMinutes(times.dueAt, times.expiresAt)).toBe(answerMin)
        expect(awakeMinutes(now, times.dueAt)).toBe(0)
      }),
      { numRuns: 60, seed: 5 },
    )
  })

  test('never past the notice they need, and not at all when hardly any time is left', () => {
    const now = at('2026-03-02T15:00:00Z')
    const offer = (hours: number) => offerTimes(now.add({ minutes: hours * 60 }), 24, { policy, zone, now })
    expect(offer(26)?.expiresAt.toString()).toBe('2026-03-02T17:00:00Z')
    expect(offer(30)?.expiresAt.toString()).toBe('2026-03-02T19:00:00Z')
    expect(offer(24.25)).toBeNull()
  })

  test('also by a clock that stands at no whole minute, over the night', () => {
    const now = at('2026-03-03T00:07:51.053Z')
    const messages = { ...policy.messages, quietFrom: '00:00', quietTo: '00:00' }
    const allDay = offerTimes(now.add({ hours: 500 }), 24, {
      policy: { ...policy, messages },
      zone,
      now: now.add({ hours: 4 }),
    })
    expect(allDay?.expiresAt.toString()).toBe('2026-03-03T08:07:51.053Z')
    const times = offerTimes(now.add({ hours: 500 }), 24, { policy, zone, now })
    expect(times && Temporal.Instant.compare(times.dueAt, times.expiresAt)).toBe(-1)
  })

  test('a clinic without quiet hours counts every minute', () => {
    const now = at('2026-03-02T15:00:00Z')
    const messages = { ...policy.messages, quietFrom: '00:00', quietTo: '00:00' }
    const times = offerTimes(now.add({ hours: 500 }), 24, { policy: { ...policy, messages }, zone, now })
    expect(times?.expiresAt.toString()).toBe('2026-03-02T19:00:00Z')
  })
})
