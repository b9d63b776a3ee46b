import { renderToStaticMarkup } from 'react-dom/server'
import { describe, expect, test } from 'vitest'
import { BreachHelp, BreachSentence } from '#app/(staff)/referrals/breach.tsx'
import { Temporal } from '#lib/base/time.ts'
import type { Breach } from '#lib/domain/booking/breach.ts'

const at = Temporal.Instant.from
/** Thursday 5 March 2026, 17:00 in New York; the first start is nineteen hours later. */
const breach: Breach = {
  mode: 'video',
  seeBy: '2026-03-05T22:00:00Z',
  firstAt: '2026-03-06T17:00:00Z',
  helps: [
    { kind: 'another_clinician', startsAt: '2026-03-04T15:00:00Z' },
    { kind: 'in_person', startsAt: '2026-03-05T15:00:00Z' },
  ],
}
const timeZone = 'America/New_York'
const plain = (markup: string) => markup.replace(/<[^>]+>/g, '')
const sentence = (now: string, of = breach) =>
  plain(renderToStaticMarkup(<BreachSentence breach={of} now={at(now)} timeZone={timeZone} />))
const help = (now: string) =>
  plain(renderToStaticMarkup(<BreachHelp breach={breach} now={at(now)} timeZone={timeZone} referralId="r" mayBook />))

describe('no start in time', () => {
  test('is said with the limit while it is ahead', () => {
    expect(sentence('2026-03-03T12:00:00Z')).toMatch(
      /^No video start before Thursday.*; the first is Friday.*, 19 hours late\.$/,
    )
    expect(sentence('2026-03-03T12:00:00Z', { ...breach, firstAt: null })).toMatch(/, nor after it as far ahead/)
  })

  test('once the see-by time has passed, is said as that, and by how much', () => {
    expect(sentence('2026-03-05T22:00:00Z')).toMatch(/^No video start before/)
    expect(sentence('2026-03-05T22:30:00Z')).toMatch(/^The see-by time, Thursday.*, passed less than an hour ago; /)
    expect(sentence('2026-03-06T01:30:00Z')).toMatch(
      /passed 3 hours ago; the first video start is Friday.*, 19 hours late\.$/,
    )
    expect(sentence('2026-03-08T23:00:00Z', { ...breach, firstAt: null })).toMatch(
      /passed 3 days ago; there is no video start as far ahead as the clinic books\.$/,
    )
  })

  test('offers only what still gives a start in time', () => {
    expect(help('2026-03-03T12:00:00Z')).toContain('Wednesday')
    const later = help('2026-03-04T16:00:00Z')
    expect(later).not.toContain('Wednesday')
    expect(later).toContain('Thursday')
    expect(help('2026-03-06T01:00:00Z')).toContain('No start can be in time any more.')
    expect(help('2026-03-06T01:00:00Z')).not.toContain('In time it would be')
  })
})
