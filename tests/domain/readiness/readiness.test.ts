import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { Temporal } from '#lib/base/time.ts'
import { ITEM_STATES, type ItemReadiness, READINESS_ITEMS } from '#lib/domain/readiness/items.ts'
import { judgeReadiness, type Mark, standingOf, type VisitToJudge, worstOf } from '#lib/domain/readiness/readiness.ts'

const at = (text: string) => Temporal.Instant.from(text)
const policy = { homeCheckFreshDays: 30, lateHoursBefore: 48 }
const startsAt = at('2026-03-12T16:00Z')
const early = at('2026-03-05T16:00Z')
const bookedAt = at('2026-03-04T15:00Z')

const visit: VisitToJudge = {
  mode: 'video',
  startsAt,
  bookedAt,
  needsEquipment: true,
  needsHelper: true,
  needsImage: false,
  imageReceived: false,
  needsInterpreter: false,
  hasInterpreter: false,
  hasLicence: true,
  homeCheckInvitedAt: at('2026-03-01T15:00Z'),
  homeCheckFinishedAt: at('2026-03-02T15:00Z'),
  hasPlaceAndContact: true,
  consentedAt: at('2026-03-02T15:00Z'),
  packetAt: bookedAt,
  marks: [],
}
const said = (item: Mark['item'], more: Partial<Mark> = {}): Mark => ({
  item,
  state: 'confirmed',
  at: at('2026-03-05T10:00Z'),
  forStartsAt: startsAt,
  saidBy: 'patient',
  ...more,
})
const stateOf = (item: string, change: Partial<VisitToJudge>, now = early) =>
  judgeReadiness({ ...visit, ...change }, policy, now).find((each) => each.item === item)?.state

describe('readiness of a video visit', () => {
  test('lists every item once, in its fixed order', () => {
    expect(judgeReadiness(visit, policy, early).map((each) => each.item)).toEqual([...READINESS_ITEMS])
  })

  test('a confirmed helper is done', () => {
    expect(stateOf('helper', { marks: [said('helper')] })).toBe('done')
  })

  test('a helper confirmed for another start has to say so again', () => {
    expect(stateOf('helper', { marks: [said('helper', { forStartsAt: at('2026-03-10T16:00Z') })] })).toBe('waiting')
  })

  test("a helper who can't come stands out until somebody acts", () => {
    expect(stateOf('helper', { marks: [said('helper', { state: 'withdrawn' })] })).toBe('cannot')
  })

  test('things confirmed for an older packet are asked for again', () => {
    expect(stateOf('equipment', { marks: [said('equipment')], packetAt: at('2026-03-05T12:00Z') })).toBe('waiting')
    expect(stateOf('packet_opened', { marks: [said('packet_opened')], packetAt: at('2026-03-05T12:00Z') })).toBe(
      'waiting',
    )
  })

  test.each([
    ['48 hours and a second before', '2026-03-10T15:59:59Z', 'waiting'],
    ['exactly 48 hours before', '2026-03-10T16:00:00Z', 'late'],
    ['an hour before', '2026-03-12T15:00:00Z', 'late'],
  ])('an open item %s is judged by the hours left', (_when, now, state) => {
    expect(stateOf('helper', {}, at(now))).toBe(state)
  })

  test('a home check that will be too old on the day is asked again', () => {
    expect(stateOf('home_check', { homeCheckFinishedAt: at('2026-02-10T16:00Z') })).toBe('done')
    expect(stateOf('home_check', { homeCheckFinishedAt: at('2026-02-10T15:59Z') })).toBe('waiting')
  })

  test('what the plan does not use is not asked for', () => {
    expect(stateOf('equipment', { needsEquipment: false })).toBe('not_needed')
    expect(stateOf('helper', { needsHelper: false })).toBe('not_needed')
    expect(stateOf('rehearsal', {})).toBe('not_needed')
  })

  // Safety: a clinician without a licence for the place must not start, whatever else is ready.
  test('a missing licence is never merely waiting', () => {
    expect(stateOf('licence', { hasLicence: false })).toBe('cannot')
  })
})

test('a visit at the clinic needs nothing prepared at home', () => {
  const items = judgeReadiness(
    { ...visit, mode: 'in_person', homeCheckFinishedAt: null, consentedAt: null },
    policy,
    early,
  )
  expect(worstOf(items)).toBe('done')
})

test('a visit is as ready as its worst item, in whatever order they come', () => {
  const order = ['cannot', 'late', 'waiting', 'done', 'not_needed']
  const item = fc
    .constantFrom(...ITEM_STATES)
    .map((state): ItemReadiness => ({ item: 'helper', state, actor: 'nobody', since: null, saidBy: null }))
  fc.assert(
    fc.property(fc.array(item, { minLength: 1 }), (items) => {
      const ranks = items.map((each) => order.indexOf(each.state))
      expect(order.indexOf(worstOf(items))).toBe(Math.min(...ranks))
    }),
  )
})

// Safety: a red flag that nobody has called about yet may not stand among what is ready.
test('a visit about which something is still to be done is not ready, whatever its items say', () => {
  const item = fc.constantFrom(...ITEM_STATES).map((state) => ({ state }))
  fc.assert(
    fc.property(fc.array(item, { minLength: 1 }), (items) => {
      expect(standingOf(items, true)).toBe('cannot')
      expect(standingOf(items, false)).toBe(worstOf(items))
    }),
  )
})
