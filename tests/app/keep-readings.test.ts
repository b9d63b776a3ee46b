/** What was read is given again while nothing changed since, and never when that is not sure. */
import { expect, test } from 'vitest'
import { keepReadings } from '#app/_server/keep-readings.ts'

/** Gives how often it was read, by itself included. */
function counted() {
  let times = 0
  return async () => {
    times += 1
    return times
  }
}

test('the same standing gives what was kept, another one reads again, and an older one too', async () => {
  const keep = keepReadings<number>()
  const read = counted()
  expect(await keep('tuesday', '1', read)).toBe(1)
  expect(await keep('tuesday', '1', read)).toBe(1)
  expect(await keep('tuesday', '2', read)).toBe(2)
  expect(await keep('tuesday', '1', read)).toBe(3)
})

test('what is asked for by another key is another reading', async () => {
  const keep = keepReadings<number>()
  const read = counted()
  expect(await keep('tuesday', '1', read)).toBe(1)
  expect(await keep('wednesday', '1', read)).toBe(2)
  expect(await keep('tuesday', '1', read)).toBe(1)
})

test('where nothing is sure, everybody reads, and nothing is kept for later', async () => {
  const keep = keepReadings<number>()
  const read = counted()
  expect(await keep('tuesday', '1', read)).toBe(1)
  expect(await keep('tuesday', null, read)).toBe(2)
  expect(await keep('tuesday', null, read)).toBe(3)
  expect(await keep('tuesday', '1', read)).toBe(4)
})

test('a reading that fails is not kept', async () => {
  const keep = keepReadings<number>()
  const fails = () => Promise.reject(new Error('the database is away'))
  await expect(keep('tuesday', '1', fails)).rejects.toThrow('the database is away')
  expect(await keep('tuesday', '1', counted())).toBe(1)
})

test('of very many, what was asked for last is kept', async () => {
  const keep = keepReadings<number>()
  const read = counted()
  for (let n = 1; n <= 1000; n += 1) await keep(`day ${n}`, '1', read)
  expect(await keep('day 1000', '1', read)).toBe(1000)
  expect(await keep('day 1', '1', read)).toBe(1001)
})
