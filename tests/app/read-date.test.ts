import { describe, expect, test } from 'vitest'
import { readDate } from '#app/_ui/read-date.ts'

function typed(month: string, day: string, year: string): FormData {
  const form = new FormData()
  form.set('born-month', month)
  form.set('born-day', day)
  form.set('born-year', year)
  return form
}

describe('a typed date', () => {
  test.each([
    ['3', '27', '1961', '1961-03-27'],
    ['03', '7', '1961', '1961-03-07'],
    ['March', '27', '1961', '1961-03-27'],
    ['mar', '27', '1961', '1961-03-27'],
    ['Sept.', '1', '1950', '1950-09-01'],
    ['  dec ', ' 31 ', ' 1949 ', '1949-12-31'],
    // Spanish month names: CLDR.
    ['enero', '5', '1970', '1970-01-05'],
    ['Agosto', '5', '1970', '1970-08-05'],
    // 29 February exists in 2000 (Gregorian rule of 400).
    ['2', '29', '2000', '2000-02-29'],
  ])('%s %s %s is %s', (month, day, year, date) => {
    const result = readDate(typed(month, day, year), 'born')
    expect(result.ok && result.value.toString()).toBe(date)
  })

  test.each([
    ['2', '29', '1900', 'a day that its year does not have'],
    ['13', '1', '1961', 'a thirteenth month'],
    ['ma', '1', '1961', 'a month that could be March or May'],
    ['3', '27', '61', 'a year without its century'],
    ['', '27', '1961', 'a part left out'],
    ['3', '27th', '1961', 'something beside the figures'],
  ])('%s %s %s is asked again: %s', (month, day, year) => {
    expect(readDate(typed(month, day, year), 'born')).toEqual({ ok: false, error: { code: 'not_a_date' } })
  })

  test('three empty fields are an answer that is missing, not a wrong one', () => {
    expect(readDate(typed('', ' ', ''), 'born')).toEqual({ ok: false, error: { code: 'missing' } })
  })
})
