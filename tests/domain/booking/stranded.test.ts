import { describe, expect, test } from 'vitest'
import { Temporal } from '#lib/base/time.ts'
import { type ClaimAtStake, type ClinicAsItIs, type Loss, lossesOf, newlyLost } from '#lib/domain/booking/stranded.ts'
import type { ClinicSession } from '#lib/domain/calendar/session.ts'
import { aSession } from '#tests/support/sessions.ts'

const at = (text: string) => Temporal.Instant.from(text).epochMilliseconds

const tuesdays = { ...aSession({ rule: 'FREQ=WEEKLY;BYDAY=TU' }), isPaused: false }
const atSite = {
  ...aSession({
    id: 'ses_site',
    rule: 'FREQ=WEEKLY;BYDAY=TH',
    startsOn: '2026-01-08',
    mode: 'in_person',
    siteId: 'sit_1',
  }),
  isPaused: false,
}
const interpreting = {
  ...aSession({
    id: 'ses_int',
    owner: { kind: 'interpreter', id: 'int_1' },
    rule: 'FREQ=WEEKLY;BYDAY=TU',
    mode: 'either',
  }),
  isPaused: false,
}
const clinic: ClinicAsItIs = {
  sessions: [tuesdays, atSite, interpreting],
  holidays: [],
  clinicians: new Map([['cli_1', ['en']]]),
  interpreters: new Map([['int_1', ['es-US']]]),
  licences: [{ clinicianId: 'cli_1', state: 'NY', validFrom: '2020-01-01', validTo: null }],
  rooms: new Map([
    ['roo_1', { siteId: 'sit_1', state: 'NY', isActive: true }],
    ['roo_2', { siteId: 'sit_1', state: 'NY', isActive: true }],
  ]),
}

/** Tuesday 3 March 2026, 11:00 to 12:00 in New York: the last hour of the session. */
const video: ClaimAtStake = {
  visitId: 'vis_1',
  mode: 'video',
  clinicianId: 'cli_1',
  sessionId: 'ses_1',
  interpreterId: 'int_1',
  roomId: null,
  start: at('2026-03-03T16:00Z'),
  end: at('2026-03-03T17:00Z'),
  patientTimeZone: 'America/New_York',
  placeState: 'NY',
  language: 'es',
}
/** Thursday 5 March 2026, 09:00 to 10:00. */
const inPerson: ClaimAtStake = {
  ...video,
  visitId: 'vis_2',
  mode: 'in_person',
  sessionId: 'ses_site',
  interpreterId: null,
  language: null,
  roomId: 'roo_1',
  start: at('2026-03-05T14:00Z'),
  end: at('2026-03-05T15:00Z'),
}

const session = (id: string, change: Partial<ClinicSession> & { isPaused?: boolean }): ClinicAsItIs => ({
  ...clinic,
  sessions: clinic.sessions.map((each) => (each.id === id ? { ...each, ...change } : each)),
})

test('in the clinic they were booked in, visits have their place', () => {
  expect(lossesOf(clinic, [video, inPerson])).toEqual(new Map())
})

describe('a video visit', () => {
  test.each<[string, ClinicAsItIs, Loss[]]>([
    ['its session ends sooner that day', session('ses_1', { durationMin: 179 }), ['session_closed']],
    ['its session ends the day before', session('ses_1', { validTo: '2026-03-02' }), ['session_closed']],
    ['its session ends that very day', session('ses_1', { validTo: '2026-03-03' }), []],
    ['its session moves to another zone', session('ses_1', { timeZone: 'America/Chicago' }), []],
    ['its session moves two zones', session('ses_1', { timeZone: 'America/Los_Angeles' }), ['session_closed']],
    [
      'its date is closed',
      session('ses_1', { exceptions: [{ kind: 'closed', onDate: '2026-03-03' }] }),
      ['session_closed'],
    ],
    [
      'its date is shortened at the other end',
      session('ses_1', {
        exceptions: [{ kind: 'shortened', onDate: '2026-03-03', opensAt: '10:00', durationMin: 120 }],
      }),
      [],
    ],
    ['the clinic has a holiday', { ...clinic, holidays: ['2026-03-03'] }, ['session_closed', 'interpreter_gone']],
    ['its session is in person from now on', session('ses_1', { mode: 'in_person', siteId: 'sit_1' }), ['other_mode']],
    ['its session takes both', session('ses_1', { mode: 'either', siteId: 'sit_1' }), []],
    ['its session is paused: nothing new, but what is booked stays', session('ses_1', { isPaused: true }), []],
    ['the grain and the buffers change', session('ses_1', { grainMin: 45, bufferAfterMin: 30 }), []],
    ['the clinician is given up', { ...clinic, clinicians: new Map() }, ['clinician_gone']],
    [
      'the licence ends the day before',
      { ...clinic, licences: [{ clinicianId: 'cli_1', state: 'NY', validFrom: '2020-01-01', validTo: '2026-03-02' }] },
      ['no_licence'],
    ],
    [
      'the licence ends that very day',
      { ...clinic, licences: [{ clinicianId: 'cli_1', state: 'NY', validFrom: '2020-01-01', validTo: '2026-03-03' }] },
      [],
    ],
    ['the interpreter is given up', { ...clinic, interpreters: new Map() }, ['interpreter_gone', 'language_gone']],
    [
      'the interpreter no longer interprets it',
      { ...clinic, interpreters: new Map([['int_1', ['vi']]]) },
      ['language_gone'],
    ],
    [
      'the clinician has learnt it meanwhile',
      { ...clinic, clinicians: new Map([['cli_1', ['en', 'es']]]), interpreters: new Map([['int_1', ['vi']]]) },
      [],
    ],
    ['the interpreter begins later', session('ses_int', { opensAt: '11:30' }), ['interpreter_gone']],
    ['the interpreter is there in person only', session('ses_int', { mode: 'in_person' }), ['interpreter_gone']],
  ])('%s', (_name, changed, losses) => {
    expect(lossesOf(changed, [video]).get('vis_1') ?? []).toEqual(losses)
  })

  test('keeps its place where another session of the clinician takes the time over, unless that one is paused', () => {
    const ended = { ...tuesdays, validTo: '2026-03-01' }
    const heir = { ...tuesdays, id: 'ses_new', startsOn: '2026-03-03' }
    const by = (heirs: ClinicAsItIs['sessions']) =>
      lossesOf({ ...clinic, sessions: [ended, interpreting, ...heirs] }, [video])
    expect(by([heir]).size).toBe(0)
    expect(by([{ ...heir, isPaused: true }]).get('vis_1')).toEqual(['session_closed'])
    expect(by([{ ...heir, owner: { kind: 'clinician', id: 'cli_2' } }]).get('vis_1')).toEqual(['session_closed'])
  })
})

describe('a visit in person', () => {
  test.each<[string, ClinicAsItIs, Loss[]]>([
    ['its session moves to another site', session('ses_site', { siteId: 'sit_2' }), ['other_place']],
    ['its session keeps to another room', session('ses_site', { roomId: 'roo_2' }), ['other_place']],
    ['its session keeps to its room', session('ses_site', { roomId: 'roo_1' }), []],
    [
      'its room is given up',
      { ...clinic, rooms: new Map([['roo_1', { siteId: 'sit_1', state: 'NY', isActive: false }]]) },
      ['room_gone'],
    ],
    ['the clinician loses the licence of the site’s state', { ...clinic, licences: [] }, ['no_licence']],
    ['its session is by video from now on', session('ses_site', { mode: 'video' }), ['other_mode']],
  ])('%s', (_name, changed, losses) => {
    expect(lossesOf(changed, [inPerson]).get('vis_2') ?? []).toEqual(losses)
  })
})

test('only what a change takes away is counted against it', () => {
  const before = new Map<string, Loss[]>([
    ['vis_1', ['no_licence']],
    ['vis_3', ['room_gone']],
  ])
  const after = new Map<string, Loss[]>([
    ['vis_1', ['no_licence']],
    ['vis_2', ['session_closed']],
    ['vis_3', ['room_gone', 'no_licence']],
  ])
  expect(newlyLost(before, after)).toEqual(['vis_2', 'vis_3'])
})
