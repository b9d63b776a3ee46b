import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { Temporal } from '#lib/base/time.ts'
import {
  type DeskState,
  groupDesk,
  NEXT_STEP_WORDS,
  NEXT_STEPS,
  type NextStep,
  nextStep,
} from '#lib/domain/desk/next-step.ts'
import { STAGES, TASK_KINDS } from '#lib/domain/desk/stages.ts'
import { DISPOSITIONS } from '#lib/domain/screening/screening.ts'

const now = Temporal.Instant.from('2026-03-10T16:00:00Z')

const triaged: DeskState = {
  referralId: 'ref_1',
  stage: 'triaged',
  missing: [],
  openTasks: [],
  homeCheck: 'not_invited',
  chaseAt: null,
  disposition: 'ask_again',
  visit: null,
  seeBy: '2026-03-20T22:00:00Z',
  receivedAt: '2026-03-09T16:00:00Z',
}
const video = { status: 'booked', mode: 'video' } as const
const inPerson = { status: 'booked', mode: 'in_person' } as const

describe('nextStep', () => {
  test.each<[string, Partial<DeskState>, NextStep]>([
    ['just received', { stage: 'received', disposition: null }, 'triage'],
    [
      'received with gaps is looked at for red flags first',
      { stage: 'received', disposition: null, missing: ['phone'] },
      'triage',
    ],
    ['somebody the clinic may know', { stage: 'received', openTasks: ['match'] }, 'decide_match'],
    ['an emergency before everything', { stage: 'received', openTasks: ['match', 'emergency_call'] }, 'call_now'],
    ['an urgent flag after triage', { openTasks: ['urgent_flag'] }, 'call_now'],
    ['an emergency on a closed referral', { stage: 'closed', openTasks: ['emergency_call'] }, 'call_now'],
    ['closed', { stage: 'closed', disposition: null }, 'closed'],
    ['triaged', {}, 'invite'],
    ['triaged with gaps', { missing: ['phone'] }, 'complete_details'],
    ['invited', { homeCheck: 'invited', chaseAt: '2026-03-10T16:00:01Z' }, 'waiting_for_patient'],
    ['silent too long', { homeCheck: 'invited', chaseAt: '2026-03-10T16:00:00Z' }, 'chase'],
    ['begun and left', { homeCheck: 'started', chaseAt: '2026-03-09T16:00:00Z' }, 'chase'],
    ['to be phoned', { homeCheck: 'invited', openTasks: ['phone_home_check'] }, 'chase'],
    ['mail came back', { homeCheck: 'invited', openTasks: ['message_failed'] }, 'chase'],
    ['finished but undecided', { homeCheck: 'finished' }, 'ask_again'],
    ['finished without any screening is undecided', { homeCheck: 'finished', disposition: null }, 'ask_again'],
    ['good for video', { homeCheck: 'finished', disposition: 'video' }, 'book_video'],
    ['good for video with gaps', { homeCheck: 'finished', disposition: 'video_with_gaps' }, 'book_video'],
    ['good for video, but the zone is not known', { disposition: 'video', missing: ['time_zone'] }, 'complete_details'],
    ['a start is held', { disposition: 'video', visit: { status: 'held', mode: 'video' } }, 'book_video'],
    ['to the clinic', { disposition: 'in_person' }, 'book_in_person'],
    [
      'to the clinic in a hurry, details missing',
      { disposition: 'urgent_in_person', missing: ['phone_or_email'] },
      'book_in_person',
    ],
    ['after an emergency was answered', { disposition: 'emergency_advice' }, 'book_in_person'],
    ['booked by video', { stage: 'booked', disposition: 'video', visit: video }, 'booked'],
    ['booked, then the helper fell out', { stage: 'booked', disposition: 'in_person', visit: video }, 'rebook'],
    ['booked, then an answer was withdrawn', { stage: 'booked', disposition: 'ask_again', visit: video }, 'rebook'],
    [
      'booked, then the plan grew',
      { stage: 'booked', disposition: 'video', visit: video, openTasks: ['replan'] },
      'rebook',
    ],
    [
      'booked, then its session closed',
      { stage: 'booked', disposition: 'in_person', visit: inPerson, openTasks: ['stranded'] },
      'rebook',
    ],
    [
      'booked at the clinic although the home would do',
      { stage: 'booked', disposition: 'video', visit: inPerson },
      'booked',
    ],
  ])('%s', (_name, change, step) => {
    expect(nextStep({ ...triaged, ...change }, now)).toBe(step)
  })

  const anyState: fc.Arbitrary<DeskState> = fc.record({
    referralId: fc.uuid(),
    stage: fc.constantFrom(...STAGES),
    missing: fc.subarray(['phone', 'side'] as const),
    openTasks: fc.subarray([...TASK_KINDS]),
    homeCheck: fc.constantFrom('not_invited', 'invited', 'started', 'finished'),
    chaseAt: fc.constantFrom(null, '2026-03-01T00:00:00Z', '2026-04-01T00:00:00Z'),
    disposition: fc.constantFrom(null, ...DISPOSITIONS),
    visit: fc.constantFrom(null, video, inPerson, { status: 'held', mode: 'video' } as const),
    seeBy: fc.constantFrom(null, '2026-03-20T22:00:00Z', '2026-03-11T22:00:00Z', '2026-03-20T15:00:00-07:00'),
    receivedAt: fc.constantFrom('2026-03-09T16:00:00Z', '2026-03-08T16:00:00Z'),
  })

  // Safety: whatever else is the matter, nobody who has to be called slips down the desk.
  test('an unanswered emergency is always called first', () => {
    fc.assert(
      fc.property(anyState, (state) => {
        expect(nextStep({ ...state, openTasks: [...state.openTasks, 'emergency_call'] }, now)).toBe('call_now')
      }),
      { seed: 1 },
    )
  })

  // Safety: video is offered only where screening said so.
  test('nobody is booked by video without a disposition for video', () => {
    fc.assert(
      fc.property(anyState, (state) => {
        if (nextStep(state, now) === 'book_video') expect(['video', 'video_with_gaps']).toContain(state.disposition)
      }),
      { seed: 2, numRuns: 1000 },
    )
  })

  test('the desk loses nobody, shows nobody twice, and keeps the oldest see-by first', () => {
    const dueOf = (state: DeskState) =>
      state.seeBy === null ? Infinity : Temporal.Instant.from(state.seeBy).epochMilliseconds
    fc.assert(
      fc.property(fc.uniqueArray(anyState, { selector: (state) => state.referralId }), (states) => {
        const groups = groupDesk(states, now)
        expect(groups.flatMap((group) => group.rows.map((row) => row.referralId)).toSorted()).toEqual(
          states.map((state) => state.referralId).toSorted(),
        )
        const order = groups.map((group) => NEXT_STEPS.indexOf(group.step))
        expect(order).toEqual(order.toSorted((a, b) => a - b))
        for (const { step, rows } of groups) {
          expect(rows.every((row) => nextStep(row, now) === step)).toBe(true)
          const due = rows.map(dueOf)
          expect(due).toEqual(due.toSorted((a, b) => a - b))
        }
      }),
      { seed: 3 },
    )
  })
})

test('every step has a heading and says what to do', () => {
  for (const step of NEXT_STEPS) {
    expect(NEXT_STEP_WORDS[step].heading).not.toBe('')
    expect(NEXT_STEP_WORDS[step].todo).toMatch(/\.$/)
  }
})
