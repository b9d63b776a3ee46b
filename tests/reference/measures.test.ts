/**
 * The ranges that stand beside a measured value, against the published figures they were taken from, written out once more
 * here with their source. A figure that its source tag calls second-hand or from memory is only held to say so.
 */
import { expect, test } from 'vitest'
import { compare, disputed, rangeWords } from '#lib/domain/outcomes/references.ts'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'

const measureOf = (stationId: string, id: string) => {
  const station = footAndAnkle.stations.find((each) => each.id === stationId)
  const measure = station?.measures?.find((each) => each.id === id)
  if (!measure) throw new Error(`${stationId} has no ${id}`)
  return measure
}

// World J Orthop 2017;8(1):21-29, table 5: dorsiflexion 0-20, plantarflexion 0-50, inversion 0-35, eversion 0-15 degrees.
test.each([
  ['ankle_up_down', 'dorsiflexion', 0, 20],
  ['ankle_up_down', 'plantarflexion', 0, 50],
  ['ankle_side', 'inversion', 0, 35],
  ['ankle_side', 'eversion', 0, 15],
])('%s %s: World J Orthop 2017, table 5', (station, id, from, to) => {
  const published = measureOf(station, id).references.find(({ source }) => source.includes('World J Orthop 2017'))
  expect(published).toMatchObject({ from, to })
})

// Schriger DL, Baraff L. Ann Emerg Med 1988;17:932-5: 95 % limits adult women 2.9 s, elderly 4.5 s; with 2 s as the limit
// 13.7 % of women and 29.0 % of elderly people are called abnormal. Fleming S et al. 2015: about 4 s at a child's foot.
test('refill limits stand side by side, and one value can be within one and above another', () => {
  const refill = measureOf('nail_refill', 'refill')
  expect(refill.references.map(({ to }) => to)).toEqual([2, 2.9, 4.5, 4])
  expect(compare(refill, 3.2).map(({ position }) => position)).toEqual(['above', 'above', 'within', 'within'])
  expect(refill.step).toBe(0.1)
})

// Hébert-Losier K et al. Physiotherapy 2017;103(4):446-52, n = 566: median 24 heel rises in men, 21 in women.
test('heel rises: medians of men and women', () => {
  const rises = measureOf('heel_raise_single', 'heel_rises')
  const published = rises.references.filter(({ source }) => source.includes('Physiotherapy 2017'))
  expect(published.map(({ from }) => from)).toEqual([24, 21])
})

// Coughlin MJ, Shurnas PS. J Bone Joint Surg Am 2003;85:2072-88: 40-60, 30-40, 10-30, 10 or less (the last for grades 3 and 4).
test('big toe: the bands of Coughlin and Shurnas', () => {
  const up = measureOf('big_toe_range', 'big_toe_up')
  const bands = up.references.filter(({ source }) => source.startsWith('Coughlin'))
  expect(bands.map((band) => rangeWords(band, up.unit))).toEqual(['40 to 60°', '30 to 40°', '10 to 30°', 'up to 10°'])
})

// Where the published sources differ (15, 20 or 25 degrees of eversion; 70 or 80 of big-toe extension; 0, 5 or 10 for a
// tight calf) the difference is shown, never settled.
test.each([
  ['ankle_side', 'eversion'],
  ['big_toe_range', 'big_toe_up'],
  ['calf_length', 'dorsiflexion_straight'],
])('%s %s: sources differ and it is said', (station, id) => {
  expect(disputed(measureOf(station, id))).toHaveLength(1)
})

test('every reference names its source', () => {
  for (const station of footAndAnkle.stations)
    for (const measure of station.measures ?? [])
      for (const { source } of measure.references) expect(source.length).toBeGreaterThan(10)
})
