/** Who asks while a reading is under way is answered by the next one, together with everybody else who asked meanwhile. */
import { describe, expect, test } from 'vitest'
import { shareReadings } from '#app/_server/share-readings.ts'

/** Readings that end when they are told to; each gives its number, counted from when it began. */
function readings() {
  const begun: { end: () => void; fail: () => void }[] = []
  const read = () =>
    new Promise<number>((resolve, reject) => {
      const n = begun.length + 1
      begun.push({ end: () => resolve(n), fail: () => reject(new Error(`reading ${n} failed`)) })
    })
  return { begun, read }
}

describe('a shared reading', () => {
  test('who asks while it is under way gets one that began after they asked, and only one is made for them all', async () => {
    const { begun, read } = readings()
    const ask = shareReadings<number>()
    const first = ask('board', read)
    const later = [ask('board', read), ask('board', read), ask('board', read)]
    expect(begun).toHaveLength(1)
    begun[0]?.end()
    expect(await first).toBe(1)
    await expect.poll(() => begun.length).toBe(2)
    const last = ask('board', read)
    begun[1]?.end()
    expect(await Promise.all(later)).toEqual([2, 2, 2])
    await expect.poll(() => begun.length).toBe(3)
    begun[2]?.end()
    expect(await last).toBe(3)
  })

  test('when nobody reads, the next who asks begins at once', async () => {
    const { begun, read } = readings()
    const ask = shareReadings<number>()
    for (const n of [1, 2]) {
      const asked = ask('board', read)
      expect(begun).toHaveLength(n)
      begun[n - 1]?.end()
      expect(await asked).toBe(n)
    }
  })

  test('one that fails fails for those it was for, and for nobody after them', async () => {
    const { begun, read } = readings()
    const ask = shareReadings<number>()
    const first = ask('board', read)
    const second = ask('board', read)
    begun[0]?.fail()
    await expect(first).rejects.toThrow('reading 1 failed')
    await expect.poll(() => begun.length).toBe(2)
    begun[1]?.end()
    expect(await second).toBe(2)
  })

  test('what is asked for by another key is another reading', async () => {
    const { begun, read } = readings()
    const ask = shareReadings<number>()
    const both = [ask('monday', read), ask('tuesday', read)]
    expect(begun).toHaveLength(2)
    for (const { end } of begun) end()
    expect(await Promise.all(both)).toEqual([1, 2])
  })
})
