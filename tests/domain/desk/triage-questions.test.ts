import { expect, test } from 'vitest'
import { conditionsCoded } from '#lib/domain/desk/triage-questions.ts'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'

const coded = (...icd10: string[]) =>
  conditionsCoded(footAndAnkle.conditions, icd10).map(({ condition, code }) => `${condition.id} ${code}`)

// ICD-10-CM, chapter 19: the seventh character of an injury's code is the encounter (A first, D later, S sequela).
test.each([
  ['S86.012A', 'achilles_rupture'],
  ['S86.012D', 'achilles_rupture'],
  ['S93.401A', 'ankle_sprain'],
  ['M84.375A', 'stress_fracture'],
  ['M76.821', 'flat_foot'],
  ['M72.2', 'heel_pain'],
])('the code %s suggests %s, whatever the encounter', (code, id) => {
  expect(coded(code)).toEqual([`${id} ${code}`])
})

test('a code that no condition carries suggests nothing', () => {
  expect(coded('J45.909', 'M76.8')).toEqual([])
})
