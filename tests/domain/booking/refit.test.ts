import { describe, expect, test } from 'vitest'
import { Temporal } from '#lib/base/time.ts'
import { type RefitInput, whyItNoLongerFits } from '#lib/domain/booking/refit.ts'
import type { ExamPlan } from '#lib/domain/plan/exam-plan.ts'

const at = (text: string) => Temporal.Instant.from(text)
/** Tuesday 10 March 2026, 11:30 to 12:10 in New York. */
const startsAt = at('2026-03-10T15:30Z')
const plan: ExamPlan = {
  steps: [],
  helperCalls: 1,
  transitionSec: 0,
  examMin: 20,
  visitMin: 40,
  helperWindow: { fromMin: 10, toMin: 25 },
}
const fitting: RefitInput = {
  booked: { startsAt, endsAt: startsAt.add({ minutes: 40 }), plan },
  disposition: 'video',
  plan,
  hasLicence: true,
  isEarlyLook: false,
  timeZone: 'America/New_York',
  patientWindows: [],
  helperWindows: [],
}
const why = (change: Partial<RefitInput>) => whyItNoLongerFits({ ...fitting, ...change })

describe('a booked video visit after a change', () => {
  test('still fits when nothing that matters changed', () => {
    expect(why({})).toEqual([])
    expect(why({ disposition: 'video_with_gaps', plan: { ...plan, visitMin: 25 } })).toEqual([])
  })

  test.each(['in_person', 'ask_again', 'urgent_in_person', 'emergency_advice'] as const)(
    'no longer fits when the answer is %s',
    (disposition) => {
      expect(why({ disposition })).toEqual(['not_by_video'])
    },
  )

  test('an early look beside an in-person visit stays what it was', () => {
    expect(why({ disposition: 'urgent_in_person', isEarlyLook: true })).toEqual([])
  })

  // Safety: an early look never survives an emergency.
  test('an early look does not stand against an emergency', () => {
    expect(why({ disposition: 'emergency_advice', isEarlyLook: true })).toEqual(['not_by_video'])
  })

  test('a plan that has become longer than the visit is named', () => {
    expect(why({ plan: { ...plan, visitMin: 45 } })).toEqual(['too_long'])
  })

  test('the helper has to be free only for their own minutes', () => {
    const morning = [{ weekday: 2, from: '07:00', to: '12:00' }]
    expect(why({ helperWindows: morning })).toEqual([])
    expect(why({ helperWindows: [{ weekday: 2, from: '07:00', to: '11:50' }] })).toEqual(['helper_not_free'])
    expect(why({ helperWindows: [{ weekday: 3, from: '07:00', to: '12:00' }] })).toEqual(['helper_not_free'])
    expect(why({ patientWindows: morning })).toEqual(['patient_not_free'])
  })

  test('windows that touch are one', () => {
    const day = [
      { weekday: 2, from: '12:00', to: '17:00' },
      { weekday: 2, from: '07:00', to: '12:00' },
    ]
    expect(why({ patientWindows: day })).toEqual([])
  })

  test('every reason is named, gravest first', () => {
    expect(why({ hasLicence: false, disposition: 'in_person' })).toEqual(['not_by_video', 'no_licence'])
  })
})
