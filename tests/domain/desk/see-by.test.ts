import { describe, expect, test } from 'vitest'
import { Temporal } from '#lib/base/time.ts'
import { type SeeByInput, seeByLimits } from '#lib/domain/desk/see-by.ts'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'

const at = (text: string) => Temporal.Instant.from(text)

/** Received on Monday 2 March 2026 at 09:00 in Denver (UTC-7), routine: 42 days, to be seen by 13 April. */
const case_: SeeByInput = {
  priorityLimit: { within: 42, unit: 'days' },
  receivedAt: at('2026-03-02T16:00:00Z'),
  protocol: footAndAnkle,
  conditionId: 'flat_foot',
  facts: {},
  knownSince: new Map(),
  clinic: { timeZone: 'America/Denver', closesAt: '17:00', holidays: [] },
}
const tightest = (change: Partial<SeeByInput>) => {
  const [first] = seeByLimits({ ...case_, ...change })
  return { at: first.at.toString(), from: first.from }
}

describe('the time by which a patient must be seen', () => {
  test('without flags it is the urgency that the referral came with', () => {
    // 13 April is in daylight time: 17:00 in Denver is 23:00 UTC.
    expect(tightest({})).toEqual({ at: '2026-04-13T23:00:00Z', from: { kind: 'urgency' } })
  })

  test('a condition that is not cleared by video is counted from the day the referral came', () => {
    expect(tightest({ conditionId: 'achilles_rupture' })).toEqual({
      at: '2026-03-03T16:00:00Z',
      from: { kind: 'condition' },
    })
  })

  test('a flag is counted from the moment it was known, not from when the form is saved again', () => {
    const flag = { facts: { calf_swollen: true }, knownSince: new Map([['calf_swollen', at('2026-03-05T10:00:00Z')]]) }
    expect(tightest(flag)).toEqual({
      at: '2026-03-06T10:00:00Z',
      from: { kind: 'flag', flagId: 'calf_pain_or_swelling' },
    })
  })

  // Safety guarantee: the tightest limit holds, whatever else is true.
  test('no flag ever makes the time later', () => {
    const routine = at(tightest({}).at)
    for (const fact of footAndAnkle.facts.filter(({ kind }) => kind === 'yes_no')) {
      for (const value of [true, false]) {
        const limit = at(tightest({ facts: { [fact.id]: value } }).at)
        expect(Temporal.Instant.compare(limit, routine), fact.id).toBeLessThanOrEqual(0)
      }
    }
  })
})
