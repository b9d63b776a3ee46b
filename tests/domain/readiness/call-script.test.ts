import { describe, expect, test } from 'vitest'
import { type CallFacts, callScript } from '#lib/domain/readiness/call-script.ts'
import { type ItemReadiness, type ItemState, READINESS_ITEMS, type ReadinessItem } from '#lib/domain/readiness/items.ts'

const facts: CallFacts = {
  clinicName: 'Hudson Foot and Ankle',
  emergencyNumber: '911',
  givenName: 'Pat',
  clinicianName: 'Alex Ames',
  mode: 'video',
  when: 'Tuesday, March 3, 9:00 AM Eastern Time',
  helperWindow: 'from 9:10 AM to 9:25 AM',
}
const items = (states: Partial<Record<ReadinessItem, ItemState>>): ItemReadiness[] =>
  READINESS_ITEMS.map((item) => ({ item, state: states[item] ?? 'done', actor: 'patient', since: null, saidBy: null }))
const asked = (states: Partial<Record<ReadinessItem, ItemState>>) =>
  callScript(items(states), facts).asks.map(({ item }) => item)

describe('what is said on the phone', () => {
  // Privacy guarantee: nothing of the visit is said before it is known who listens (HIPAA 45 CFR 164.514(h), verification).
  test('asks who it is before it names the visit', () => {
    const { first } = callScript(items({}), facts)
    const identity = first.findIndex((say) => say.includes('when were you born'))
    const visit = first.findIndex((say) => say.includes(facts.when))
    expect(identity).toBeGreaterThanOrEqual(0)
    expect(visit).toBeGreaterThan(identity)
  })

  // Safety guarantee: every call asks for what became worse and says whom to call.
  test('asks what became worse and names the emergency number, however little is open', () => {
    const { first, last } = callScript(items({}), facts)
    expect(first.some((say) => say.includes('worse'))).toBe(true)
    expect(last.some((say) => say.includes('911'))).toBe(true)
  })

  test('asks for exactly what is open and the patient or helper can settle, in the order of the items', () => {
    expect(asked({})).toEqual([])
    expect(asked({ consent: 'late', helper: 'cannot', home_check: 'waiting' })).toEqual([
      'home_check',
      'helper',
      'consent',
    ])
    expect(asked({ licence: 'cannot', interpreter: 'late', image: 'waiting', rehearsal: 'not_needed' })).toEqual([])
  })

  test('tells the helper’s minutes on the patient’s clock', () => {
    const [helper] = callScript(items({ helper: 'waiting' }), facts).asks
    expect(helper?.say).toContain('from 9:10 AM to 9:25 AM')
  })
})
