/** A lead signs what these words say: nothing of a change may be hidden in them. */
import { describe, expect, test } from 'vitest'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import type { Protocol } from '#lib/domain/protocol/schema.ts'
import { tellChanges } from '#lib/domain/versions/change-words.ts'
import { diffOf } from '#lib/domain/versions/diff.ts'

function told(change: (protocol: Protocol) => void) {
  const after = structuredClone(footAndAnkle)
  change(after)
  return tellChanges(diffOf(footAndAnkle, after), footAndAnkle, after).flatMap(({ changes }) => changes)
}

const condition = (protocol: Protocol, id: string) => {
  const found = protocol.conditions.find((each) => each.id === id)
  if (!found) throw new Error(`no condition ${id}`)
  return found
}

describe('a change in words', () => {
  test('a time limit is told whole, with what it is counted in', () => {
    const changes = told((protocol) => {
      const { inPerson } = condition(protocol, 'achilles_rupture')
      if (inPerson) inPerson.seeBy = { within: 1, unit: 'working_days' }
    })
    expect(changes).toMatchObject([{ about: 'Seen in person, see-by time', was: '24 hours', is: '1 working day' }])
  })

  test('what is new as a whole is told part by part', () => {
    const because = { en: 'Come to the clinic.', es: 'Venga a la clínica.' }
    const changes = told((protocol) => {
      condition(protocol, 'heel_pain').inPerson = { seeBy: { within: 10, unit: 'working_days' }, because }
    })
    expect(changes).toMatchObject([
      { was: null, is: 'See-by time: 10 working days; Why, for the patient: Come to the clinic.' },
    ])
  })

  test('of two lists it is said which names left and which came', () => {
    const changes = told((protocol) => {
      condition(protocol, 'heel_pain').stations.essential = ['heel_press', 'walk']
    })
    expect(changes.find(({ path }) => path.endsWith('essential'))).toMatchObject({
      was: 'Self-pressing of the heel; Ankle up with the knee straight, no hand',
      is: 'Self-pressing of the heel; Ordinary walk',
      out: ['Ankle up with the knee straight, no hand'],
      new: ['Ordinary walk'],
    })
  })
})
