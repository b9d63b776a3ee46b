import { describe, expect, test } from 'vitest'
import { expand, factsRead } from '#lib/domain/protocol/expand.ts'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import type { Answers } from '#lib/domain/protocol/need.ts'
import type { Protocol } from '#lib/domain/protocol/schema.ts'
import { flagsRaised } from '#lib/domain/screening/home-check.ts'
import { newSigns, withLeading } from '#lib/domain/screening/new-signs.ts'

const protocol = footAndAnkle
const found = (answers: Answers) => newSigns(protocol, answers)
const idsInSight = (answers: Answers) => found(answers).map(({ fact }) => fact.id)
const under = (id: string, answers: Answers = {}) =>
  found(answers)
    .find(({ fact }) => fact.id === id)
    ?.also.map((fact) => fact.id)
const told = (ids: readonly string[]) => Object.fromEntries(ids.map((id) => [id, true]))

const factsOfFlags = new Set(protocol.redFlags.flatMap(({ when }) => [...factsRead(expand(when, protocol))]))
/** What the flags wait to hear "no" to: nobody ticks that they can't walk by ticking that they can. */
const HEARD_AS_NO = ['four_steps_then', 'four_steps_now']

describe('signs that a patient may report as new', () => {
  test('are all that any red flag waits for, each once, in sight or one step away', () => {
    const asked = protocol.facts
      .filter(({ id, askedOf, kind }) => factsOfFlags.has(id) && askedOf === 'patient' && kind === 'yes_no')
      .map(({ id }) => id)
      .filter((id) => !HEARD_AS_NO.includes(id))
    const offered = found({}).flatMap(({ fact, also }) => [fact.id, ...also.map(({ id }) => id)])
    expect(offered.toSorted()).toEqual(asked.toSorted())
  })

  // Safety guarantee: what needs an ambulance is never behind another tick.
  test('that are an emergency are always in sight, and marked', () => {
    const emergencies = found({}).filter(({ isEmergency }) => isEmergency)
    expect(emergencies.map(({ fact }) => fact.id)).toEqual([
      'cold_foot',
      'chest_or_breath',
      'bent_or_bone',
      'pain_out_of_control',
      'tight_cast',
      'black_skin',
      'spreads_fast',
      'back_bladder',
      'injury_wound',
    ])
    for (const { also } of found({})) {
      for (const { id } of also) {
        const raised = flagsRaised(protocol, told(withLeading(protocol, [id])))
        expect(raised.filter(({ level }) => level === 'emergency')).toEqual([])
      }
    }
  })

  test('are an emergency also by what is known of this patient', () => {
    const known = { fever: true }
    expect(found(known).find(({ fact }) => fact.id === 'hot_joint')?.isEmergency).toBe(true)
    expect(found({}).find(({ fact }) => fact.id === 'hot_joint')?.isEmergency).toBe(false)
  })

  test('stand under the one without which they mean nothing, until that one is known', () => {
    expect(under('surgery_recent')).toEqual(['wound_open', 'fell_since_surgery', 'pain_beats_pills'])
    expect(idsInSight({})).not.toContain('wound_open')
    expect(idsInSight({ surgery_recent: false })).not.toContain('wound_open')
    expect(idsInSight({ surgery_recent: true })).toContain('wound_open')
  })

  test('stay in sight when more than one thing can lead to them', () => {
    // Asked of whoever has diabetes or an open sore.
    expect(idsInSight({})).toContain('night_pain')
  })

  test('are those that were not told yet, whatever the patient once answered', () => {
    expect(idsInSight({ cold_foot: true })).not.toContain('cold_foot')
    expect(idsInSight({ cold_foot: false })).toContain('cold_foot')
    expect(idsInSight({ cold_foot: 'not_sure' })).toContain('cold_foot')
  })

  test('that lead to one another in a circle or a row are not lost', () => {
    const asked = (id: string, after: string) => {
      const fact = protocol.facts.find((each) => each.id === id)
      if (!fact) throw new Error(`The protocol has no fact ${id}`)
      return { ...fact, askWhen: { fact: after, is: true } }
    }
    const withFacts = (...changed: ReturnType<typeof asked>[]): Protocol => ({
      ...protocol,
      facts: protocol.facts.map((fact) => changed.find(({ id }) => id === fact.id) ?? fact),
    })
    const all = (of: Protocol) =>
      newSigns(of, {})
        .flatMap(({ fact, also }) => [fact.id, ...also.map(({ id }) => id)])
        .toSorted()
    const circle = withFacts(asked('fever', 'calf_swollen'), asked('calf_swollen', 'fever'))
    const row = withFacts(asked('calf_swollen', 'hot_joint'), asked('heel_snap', 'calf_swollen'))
    expect(all(circle)).toEqual(all(protocol))
    expect(all(row)).toEqual(all(protocol))
    expect(withLeading(circle, ['fever']).toSorted()).toEqual(['calf_swollen', 'fever'])
  })
})

describe('telling a sign', () => {
  // Safety guarantee: on the page for new signs nothing was asked before it, so what it hangs on is not missing.
  test('tells what it hangs on, so that it raises what the two raise together', () => {
    expect(withLeading(protocol, ['wound_open'])).toEqual(['wound_open', 'surgery_recent'])
    const raised = (id: string) => flagsRaised(protocol, told(withLeading(protocol, [id])))[0]?.id
    expect(raised('wound_open')).toBe('surgical_wound')
    expect(raised('back_bladder')).toBe('numb_saddle_or_bladder')
    expect(raised('spreads_fast')).toBe('redness_spreads_fast')
  })

  test('tells nothing else', () => {
    expect(withLeading(protocol, ['night_pain', 'fever'])).toEqual(['night_pain', 'fever'])
    expect(withLeading(protocol, ['__proto__'])).toEqual(['__proto__'])
  })
})
