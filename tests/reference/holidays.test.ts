/** US federal holidays against 5 U.S.C. 6103 worked out for 2026 to 2028 (source in the data file). */
import { expect, test } from 'vitest'
import { federalHolidays } from '#lib/domain/calendar/holidays.ts'
import reference from './data/us-federal-holidays-2026-2028.json'

test.each([2026, 2027, 2028])('the eleven holidays of %i fall and are observed as the statute says', (year) => {
  const expected = reference.holidays.filter((holiday) => holiday.year === year)
  expect(expected).toHaveLength(11)
  expect(federalHolidays(year)).toEqual(expected.map(({ name, date, observed }) => ({ name, date, observed })))
})
