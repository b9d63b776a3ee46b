import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { choicesIn, DAY_PART_IDS, type DetailsKnown, nextDetail, windowsFrom } from '#lib/domain/home/details.ts'

const nothing: DetailsKnown = {
  placeAddress: null,
  placeState: null,
  timeZone: null,
  callbackPhone: null,
  contactName: null,
  contactPhone: null,
  timesAnswered: false,
  consented: false,
}

describe('the details of the home check', () => {
  test('are asked in order until all are there', () => {
    const place = { ...nothing, placeAddress: '1 Example Street', placeState: 'OR', timeZone: 'America/Los_Angeles' }
    const contact = { ...place, callbackPhone: '+15035550101', contactName: 'Ana', contactPhone: '+15035550102' }
    const steps = [
      nothing,
      place,
      contact,
      { ...contact, timesAnswered: true },
      { ...contact, timesAnswered: true, consented: true },
    ]
    expect(steps.map(nextDetail)).toEqual(['place', 'contact', 'times', 'consent', null])
  })

  test('nothing chosen means any time', () => {
    expect(windowsFrom([], [])).toEqual([])
  })

  test('a day without a time of day means that whole day, and the other way round', () => {
    expect(windowsFrom([2], []).map((window) => window.weekday)).toEqual([2, 2, 2])
    expect(windowsFrom([], ['morning'])).toHaveLength(7)
  })

  test('what was chosen can be shown again', () => {
    const days = fc.uniqueArray(fc.integer({ min: 1, max: 7 }), { minLength: 1 })
    const parts = fc.uniqueArray(fc.constantFrom(...DAY_PART_IDS), { minLength: 1 })
    fc.assert(
      fc.property(days, parts, (chosenDays, chosenParts) => {
        const shown = choicesIn(windowsFrom(chosenDays, chosenParts))
        expect(shown.days).toEqual([...chosenDays].sort((a, b) => a - b))
        expect(shown.parts).toEqual(DAY_PART_IDS.filter((part) => chosenParts.includes(part)))
      }),
    )
  })
})
