import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { Temporal } from '#lib/base/time.ts'
import { MESSAGE_KINDS } from '#lib/domain/messages/kinds.ts'
import {
  isStale,
  type MessageWorld,
  messagesForBooking,
  messagesForCancel,
  messagesForHelp,
  messagesForInvitation,
  messagesForMove,
  messagesForNewPacket,
  outsideQuietHours,
  type PlannedMessage,
  phoneTaskDueAt,
  type VisitToTell,
} from '#lib/domain/messages/schedule.ts'
import { DEFAULT_POLICY } from '#lib/domain/policy/clinic-policy.ts'

const at = (text: string) => Temporal.Instant.from(text)
const zone = 'America/New_York'
/** Quiet from 20:00 to 08:00, reminder at 10:00 the day before, still missing three days before. */
const policy = DEFAULT_POLICY
/** Tuesday 10 March 2026, 9:00 EDT. The clocks went forward on Sunday 8 March (IANA tz database). */
const visit: VisitToTell = {
  id: 'vis_1',
  referralId: 'ref_1',
  startsAt: at('2026-03-10T13:00:00Z'),
  calendarSequence: 0,
}
const monday = at('2026-03-02T15:00:00Z')

const shown = (planned: readonly PlannedMessage[], timeZone = zone) =>
  planned.map(({ kind, dueAt }) => `${kind} ${dueAt.toZonedDateTimeISO(timeZone).toPlainDateTime()}`)

describe('a booking', () => {
  test('by video: the packet at once, what is missing three days before, the day before and the hour before', () => {
    expect(shown(messagesForBooking({ visit, mode: 'video', policy, zone, now: monday }))).toEqual([
      'packet 2026-03-02T10:00:00',
      'still_missing 2026-03-07T10:00:00',
      'day_before 2026-03-09T10:00:00',
      'hour_before 2026-03-10T08:00:00',
    ])
  })

  test('in person: no packet, and nothing an hour before, when people are on their way', () => {
    expect(shown(messagesForBooking({ visit, mode: 'in_person', policy, zone, now: monday }))).toEqual([
      'in_person_booked 2026-03-02T10:00:00',
      'day_before 2026-03-09T10:00:00',
    ])
  })

  test('late in the evening, it is confirmed when the quiet hours end', () => {
    const [packet] = messagesForBooking({ visit, mode: 'video', policy, zone, now: at('2026-03-03T03:30:00Z') })
    expect(packet?.dueAt.toZonedDateTimeISO(zone).toString()).toBe('2026-03-03T08:00:00-05:00[America/New_York]')
  })

  test('at night for early the next morning, it is confirmed at once: the end of the quiet hours would be too late', () => {
    const early = { ...visit, startsAt: at('2026-03-10T12:30:00Z') }
    const now = at('2026-03-10T02:00:00Z')
    const [packet] = messagesForBooking({ visit: early, mode: 'video', policy, zone, now })
    expect(packet?.dueAt).toEqual(now)
  })

  test('at short notice skips what should already have gone out', () => {
    expect(shown(messagesForBooking({ visit, mode: 'video', policy, zone, now: at('2026-03-09T18:00:00Z') }))).toEqual([
      'packet 2026-03-09T14:00:00',
      'hour_before 2026-03-10T08:00:00',
    ])
  })

  test('reminders keep their hour on the patient’s clock when the clocks change in between', () => {
    // Sunday 8 March is the day before a visit on Monday 9 March: 10:00 is EDT, an hour earlier in UTC than the day before.
    const monday9 = { ...visit, startsAt: at('2026-03-09T13:00:00Z') }
    const due = messagesForBooking({ visit: monday9, mode: 'in_person', policy, zone, now: monday })
    expect(due[1]?.dueAt.toString()).toBe('2026-03-08T14:00:00Z')
  })

  test('the patient’s zone decides, not the clinic’s', () => {
    expect(
      shown(
        messagesForBooking({ visit, mode: 'video', policy, zone: 'America/Los_Angeles', now: monday }),
        'America/Los_Angeles',
      ),
    ).toEqual([
      'packet 2026-03-02T08:00:00',
      'still_missing 2026-03-07T10:00:00',
      'day_before 2026-03-09T10:00:00',
      'hour_before 2026-03-10T05:00:00',
    ])
  })
})

describe('an invitation', () => {
  test('is chased twice, then a person is asked to phone, each counted from the invitation', () => {
    const planned = messagesForInvitation({ referralId: 'ref_1', policy, zone, now: monday })
    expect(shown(planned)).toEqual([
      'home_check_invitation 2026-03-02T10:00:00',
      'home_check_chaser 2026-03-04T10:00:00',
      'home_check_chaser 2026-03-06T10:00:00',
    ])
    expect(phoneTaskDueAt(monday, { policy, zone }).toZonedDateTimeISO(zone).toPlainDateTime().toString()).toBe(
      '2026-03-08T10:00:00',
    )
    expect(new Set(planned.map(({ dedupeKey }) => dedupeKey)).size).toBe(3)
  })
})

describe('quiet hours', () => {
  test.each([
    ['just before', '2026-03-03T00:59:59Z', '2026-03-02T19:59:59-05:00'],
    ['as they begin', '2026-03-03T01:00:00Z', '2026-03-03T08:00:00-05:00'],
    ['after midnight', '2026-03-03T07:00:00Z', '2026-03-03T08:00:00-05:00'],
    ['as they end', '2026-03-03T13:00:00Z', '2026-03-03T08:00:00-05:00'],
    ['in the night of the clocks going forward', '2026-03-08T04:00:00Z', '2026-03-08T08:00:00-04:00'],
    ['in the night of the clocks going back', '2026-11-01T02:00:00Z', '2026-11-01T08:00:00-05:00'],
  ])('%s', (_when, wanted, expected) => {
    const local = outsideQuietHours(at(wanted), { policy, zone }).toZonedDateTimeISO(zone)
    expect(local.toString({ timeZoneName: 'never' })).toBe(expected)
  })

  test('hours that do not cross midnight work too', () => {
    const siesta = { ...policy, messages: { ...policy.messages, quietFrom: '13:00', quietTo: '15:00' } }
    expect(outsideQuietHours(at('2026-03-03T18:30:00Z'), { policy: siesta, zone }).toString()).toBe(
      '2026-03-03T20:00:00Z',
    )
    expect(outsideQuietHours(at('2026-03-03T03:00:00Z'), { policy: siesta, zone }).toString()).toBe(
      '2026-03-03T03:00:00Z',
    )
  })

  test('only ever delay, never into quiet hours again, and never by more than their length and a change of clocks', () => {
    const instants = fc
      .integer({ min: at('2026-01-01T00:00:00Z').epochMilliseconds, max: at('2028-12-31T00:00:00Z').epochMilliseconds })
      .map((ms) => Temporal.Instant.fromEpochMilliseconds(ms))
    const zones = fc.constantFrom('America/New_York', 'America/Phoenix', 'Pacific/Honolulu', 'America/St_Johns')
    fc.assert(
      fc.property(instants, zones, (wanted, timeZone) => {
        const sent = outsideQuietHours(wanted, { policy, zone: timeZone })
        const delay = sent.since(wanted).total('hours')
        expect(delay).toBeGreaterThanOrEqual(0)
        expect(delay).toBeLessThanOrEqual(13)
        const { hour } = sent.toZonedDateTimeISO(timeZone)
        expect(hour >= 8 && hour < 20).toBe(true)
      }),
      { seed: 20260302, numRuns: 500 },
    )
  })

  test('give way to advice to seek help, to news of a move or a cancellation, and to the reminder an hour before', () => {
    const night = at('2026-03-03T05:00:00Z')
    const timing = { visit, mode: 'video' as const, policy, zone, now: night }
    const due = [
      ...messagesForHelp({ referralId: 'ref_1', assessmentId: 'asm_1', now: night }),
      ...messagesForMove(timing).slice(0, 1),
      ...messagesForCancel(timing),
    ]
    expect(due.map(({ kind, dueAt }) => [kind, dueAt.toString()])).toEqual([
      ['seek_help', night.toString()],
      ['moved', night.toString()],
      ['cancelled', night.toString()],
    ])
  })
})

describe('when it falls due', () => {
  const world = (
    change: Partial<NonNullable<MessageWorld['visit']>> = {},
    now = at('2026-03-03T15:00:00Z'),
  ): MessageWorld => ({
    referral: { id: 'ref_1', isClosed: false, invitedAt: monday, homeCheckFinishedAt: null },
    visit: { ...visit, status: 'booked', packetRevision: 1, holdExpiresAt: null, ...change },
    now,
  })
  const timing = { visit, mode: 'video' as const, policy, zone, now: monday }
  const staleOf = (planned: readonly PlannedMessage[], then: MessageWorld) =>
    planned.filter((message) => isStale(message, then)).map(({ kind }) => kind)

  test('everything of a visit that stands is sent', () => {
    expect(staleOf(messagesForBooking(timing), world())).toEqual([])
  })

  test('nothing of a visit that moved, was cancelled or has begun is sent', () => {
    const all = ['packet', 'still_missing', 'day_before', 'hour_before']
    const moved = { startsAt: at('2026-03-17T13:00:00Z'), calendarSequence: 1 }
    expect(staleOf(messagesForBooking(timing), world(moved))).toEqual(all)
    expect(staleOf(messagesForBooking(timing), world({ status: 'cancelled' }))).toEqual(all)
    expect(staleOf(messagesForBooking(timing), world({}, visit.startsAt))).toEqual(all)
  })

  test('a visit that moved away and back again has its reminders once more', () => {
    expect(staleOf(messagesForBooking(timing), world({ calendarSequence: 2 }))).toEqual([])
  })

  test('of several moves only the last is told', () => {
    const first = messagesForMove({ ...timing, visit: { ...visit, calendarSequence: 1 } }).slice(0, 1)
    const last = messagesForMove({ ...timing, visit: { ...visit, calendarSequence: 2 } }).slice(0, 1)
    expect(staleOf(first, world({ calendarSequence: 2 }))).toEqual(['moved'])
    expect(staleOf(last, world({ calendarSequence: 2 }))).toEqual([])
  })

  test('of several packets only the newest is told', () => {
    const told = (revision: number) => messagesForNewPacket({ visit, revision, policy, zone, now: monday })
    expect(staleOf([...told(2), ...told(12)], world({ packetRevision: 12 }))).toEqual(['packet_changed'])
    expect(staleOf(told(12), world({ packetRevision: 12 }))).toEqual([])
  })

  test('a cancellation is told while the visit lies ahead', () => {
    const told = messagesForCancel({ ...timing, visit: { ...visit, calendarSequence: 1 } })
    expect(staleOf(told, world({ status: 'cancelled', calendarSequence: 1 }))).toEqual([])
    expect(staleOf(told, world({ status: 'cancelled', calendarSequence: 1 }, visit.startsAt))).toEqual(['cancelled'])
  })

  test('nobody is chased for a home check that is finished, closed or asked for again', () => {
    const planned = messagesForInvitation({ referralId: 'ref_1', policy, zone, now: monday })
    const referral = world().referral
    expect(staleOf(planned, { ...world(), visit: null })).toEqual([])
    for (const change of [
      { homeCheckFinishedAt: monday },
      { isClosed: true },
      { invitedAt: at('2026-03-05T15:00:00Z') },
    ])
      expect(staleOf(planned, { ...world(), referral: { ...referral, ...change } })).toHaveLength(3)
  })

  test('advice to seek help is never stale', () => {
    const help = messagesForHelp({ referralId: 'ref_1', assessmentId: 'asm_1', now: monday })
    const closed = { ...world({ status: 'cancelled' }), referral: { ...world().referral, isClosed: true } }
    expect(staleOf(help, closed)).toEqual([])
  })

  // The database keeps microseconds of an instant, a program nanoseconds.
  test('an instant that came back from the database with fewer digits is still the same', () => {
    const invitedAt = at('2026-03-02T15:00:00.123456789Z')
    const planned = messagesForInvitation({ referralId: 'ref_1', policy, zone, now: invitedAt })
    const stored = { ...world().referral, invitedAt: at('2026-03-02T15:00:00.123457Z') }
    expect(staleOf(planned, { ...world(), referral: stored })).toEqual([])
  })
})

test('two messages of one kind share a key only when they say the same', () => {
  const timing = { mode: 'video' as const, policy, zone, now: monday }
  const planned = [
    messagesForBooking({ visit, ...timing }),
    messagesForBooking({ visit: { ...visit, id: 'vis_2' }, ...timing }),
    messagesForMove({ visit: { ...visit, startsAt: at('2026-03-17T13:00:00Z'), calendarSequence: 1 }, ...timing }),
    messagesForNewPacket({ visit, revision: 2, ...timing }),
    messagesForNewPacket({ visit, revision: 3, ...timing }),
    messagesForCancel({ visit: { ...visit, calendarSequence: 1 }, ...timing }),
    messagesForInvitation({ referralId: 'ref_1', policy, zone, now: monday }),
    messagesForInvitation({ referralId: 'ref_1', policy, zone, now: monday.add({ hours: 24 }) }),
  ].flat()
  expect(new Set(planned.map(({ dedupeKey }) => dedupeKey)).size).toBe(planned.length)
  for (const { kind } of planned) expect(MESSAGE_KINDS).toContain(kind)
  expect(messagesForBooking({ visit, ...timing })).toEqual(messagesForBooking({ visit, ...timing }))
})
