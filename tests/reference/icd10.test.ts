/**
 * ICD-10-CM codes by side, as read in the FY2024 code list (46 237 rows, without the seventh characters). A table, because
 * the last digit follows no rule: "1 right, 2 left, 9 unspecified" is wrong for M25.37-, M84.37-, M20.x0 and more.
 */
import { expect, test } from 'vitest'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'

type Row = [what: string, right: string, left: string, unspecified: string, both?: string]

const NO_SIDE = (what: string, code: string): Row => [what, code, code, code, code]
const LIST: Row[] = [
  ['flat foot, acquired', 'M21.41', 'M21.42', 'M21.40'],
  ['posterior tibial tendinitis', 'M76.821', 'M76.822', 'M76.829'],
  ['other acquired deformity of foot', 'M21.6X1', 'M21.6X2', 'M21.6X9'],
  ['congenital pes cavus', 'Q66.71', 'Q66.72', 'Q66.70'],
  ['hallux rigidus', 'M20.21', 'M20.22', 'M20.20'],
  ['hallux valgus', 'M20.11', 'M20.12', 'M20.10'],
  ['bunion', 'M21.611', 'M21.612', 'M21.619'],
  ['Achilles tendinitis', 'M76.61', 'M76.62', 'M76.60'],
  ['strain of Achilles tendon', 'S86.011', 'S86.012', 'S86.019'],
  ['spontaneous rupture of flexor tendons, lower leg', 'M66.361', 'M66.362', ''],
  ['sprain of unspecified ligament of ankle', 'S93.401', 'S93.402', 'S93.409'],
  ['other instability, ankle', 'M25.371', 'M25.372', 'M25.373'],
  NO_SIDE('plantar fascial fibromatosis', 'M72.2'),
  ['lesion of plantar nerve', 'G57.61', 'G57.62', 'G57.60', 'G57.63'],
  ['tarsal tunnel syndrome', 'G57.51', 'G57.52', 'G57.50', 'G57.53'],
  ['stress fracture, foot', 'M84.374', 'M84.375', 'M84.376'],
  ['stress fracture, ankle', 'M84.371', 'M84.372', 'M84.373'],
  ['neuropathic joint, ankle and foot', 'M14.671', 'M14.672', 'M14.679'],
  NO_SIDE('type 1 diabetes with neuropathic joint', 'E10.610'),
  NO_SIDE('type 2 diabetes with neuropathic joint', 'E11.610'),
  NO_SIDE('type 1 diabetes with foot ulcer', 'E10.621'),
  NO_SIDE('type 2 diabetes with foot ulcer', 'E11.621'),
  ['sprain of tarsometatarsal ligament', 'S93.621', 'S93.622', 'S93.629'],
  ['primary osteoarthritis, ankle and foot', 'M19.071', 'M19.072', 'M19.079'],
  ['post-traumatic osteoarthritis, ankle and foot', 'M19.171', 'M19.172', 'M19.179'],
  ['peroneal tendinitis', 'M76.71', 'M76.72', 'M76.70'],
  ['pain in foot', 'M79.671', 'M79.672', 'M79.673'],
  ['pain in ankle', 'M25.571', 'M25.572', 'M25.579'],
  NO_SIDE('other orthopaedic aftercare', 'Z47.89'),
]
const codes = (column: 1 | 2 | 3) => LIST.flatMap((row) => row[column] || [])

test.each(footAndAnkle.conditions)('$id: each side has codes of that side, all in the list', ({ icd10 }) => {
  expect(icd10.right.length).toBeGreaterThan(0)
  for (const code of icd10.right) expect(codes(1)).toContain(code)
  for (const code of icd10.left) expect(codes(2)).toContain(code)
  for (const code of icd10.unspecified) expect(codes(3)).toContain(code)
  const bilateral = LIST.flatMap(([, right, left, , both]) => (both ? [both] : [right, left]))
  for (const code of icd10.both) expect(bilateral).toContain(code)
  // The same things on either side, in the same order.
  const rowOf = (column: 1 | 2, code: string) => LIST.findIndex((row) => row[column] === code)
  expect(icd10.left.map((code) => rowOf(2, code))).toEqual(icd10.right.map((code) => rowOf(1, code)))
})

test('every code of the table is in use', () => {
  const used = footAndAnkle.conditions.flatMap(({ icd10 }) => Object.values(icd10).flat())
  for (const code of [...codes(1), ...codes(2), ...codes(3)]) expect(used).toContain(code)
})
