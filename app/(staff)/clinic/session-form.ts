/** Turns the form of a session into what a use case reads, and its faults into messages beside their fields. */
import type { FormError } from '#app/_ui/form-state.ts'
import { type Repeat, repeatOf } from '#lib/domain/calendar/repeat.ts'
import type { ClinicSession, SessionOwner } from '#lib/domain/calendar/session.ts'
import type { RawField, RawSession } from '#lib/domain/calendar/session-draft.ts'
import type { SaveSessionError, SessionFault } from '#lib/usecases/save-session.ts'
import { closesAt, longDate, sessionWords } from '#lib/words/session-words.ts'
import { dateIn, textIn } from './read-form.ts'

export function readRawSession(form: FormData): RawSession {
  const text = (name: RawField) => textIn(form, name)
  return {
    mode: text('mode'),
    siteId: text('siteId'),
    roomId: text('roomId'),
    timeZone: text('timeZone'),
    startsOn: dateIn(form, 'startsOn'),
    opensAt: text('opensAt'),
    closesAt: text('closesAt'),
    repeat: text('repeat'),
    every: text('every'),
    weekdays: form.getAll('weekdays').map(String),
    nth: text('nth'),
    weekday: text('weekday'),
    monthDay: text('monthDay'),
    rule: text('rule'),
    validTo: dateIn(form, 'validTo'),
    grainMin: text('grainMin'),
    bufferBeforeMin: text('bufferBeforeMin'),
    bufferAfterMin: text('bufferAfterMin'),
    noticeMin: text('noticeMin'),
    urgentMin: text('urgentMin'),
    urgentReleaseHours: text('urgentReleaseHours'),
  }
}

/** "clinician cli_1", as the list of people sends it. */
export function readOwner(form: FormData): SessionOwner | null {
  const [kind, id] = textIn(form, 'owner').split(' ')
  return (kind === 'clinician' || kind === 'interpreter') && id ? { kind, id } : null
}

/** A session as the form shows it. */
export function typedFrom(session: ClinicSession): RawSession {
  const repeat = repeatOf(session.rule, session.startsOn)
  return {
    ...NEW_SESSION,
    ...typedRepeat(repeat),
    mode: session.mode,
    siteId: session.siteId ?? '',
    roomId: session.roomId ?? '',
    timeZone: session.timeZone,
    startsOn: session.startsOn,
    opensAt: session.opensAt,
    closesAt: closesAt(session),
    validTo: session.validTo ?? '',
    grainMin: String(session.grainMin),
    bufferBeforeMin: String(session.bufferBeforeMin),
    bufferAfterMin: String(session.bufferAfterMin),
    noticeMin: String(session.noticeMin),
    urgentMin: String(session.urgentMin),
    urgentReleaseHours: String(session.urgentReleaseHours),
  }
}

/** Common practice where a clinic has said nothing else: starts every ten minutes, five between two visits. */
export const NEW_SESSION: RawSession = {
  mode: '',
  siteId: '',
  roomId: '',
  timeZone: '',
  startsOn: '',
  opensAt: '',
  closesAt: '',
  repeat: 'weekly',
  every: '1',
  weekdays: [],
  nth: '',
  weekday: '',
  monthDay: '',
  rule: '',
  validTo: '',
  grainMin: '10',
  bufferBeforeMin: '0',
  bufferAfterMin: '5',
  noticeMin: '120',
  urgentMin: '0',
  urgentReleaseHours: '0',
}

function typedRepeat(repeat: Repeat): Partial<RawSession> {
  switch (repeat.kind) {
    case 'once':
      return { repeat: 'once' }
    case 'weekly':
      return { repeat: 'weekly', every: String(repeat.every), weekdays: repeat.weekdays.map(String) }
    case 'monthly_weekday':
      return {
        repeat: 'monthly_weekday',
        every: String(repeat.every),
        nth: String(repeat.nth),
        weekday: String(repeat.weekday),
      }
    case 'monthly_day':
      return {
        repeat: 'monthly_day',
        every: String(repeat.every),
        monthDay: repeat.day === -1 ? 'last' : String(repeat.day),
      }
    case 'own':
      return { repeat: 'own', rule: repeat.rule }
  }
}

/** In the order of the page. */
const ORDER: readonly string[] = ['owner', 'mode', 'siteId', 'roomId', 'timeZone', 'startsOn', 'opensAt', 'closesAt']
  .concat(['repeat', 'every', 'weekdays', 'nth', 'weekday', 'monthDay', 'rule', 'validTo', 'grainMin'])
  .concat(['bufferBeforeMin', 'bufferAfterMin', 'noticeMin', 'urgentMin', 'urgentReleaseHours'])

export function sayFaults(faults: readonly SessionFault[]): FormError[] {
  return faults
    .map((fault) => ({ field: fault.field as string, message: faultWords(fault) }))
    .sort((a, b) => ORDER.indexOf(a.field) - ORDER.indexOf(b.field))
}

/** Where a session would meet another, beside the hour at which it opens. */
export function sayMeeting(error: Extract<SaveSessionError, { code: 'overlaps' }>, field: string): FormError {
  const other = error.with
  const whom = other
    ? `another session of the same person: ${sessionWords(other.session, { site: other.siteName, room: other.roomName })}`
    : 'another date of this session'
  return { field, message: `On ${longDate(error.onDate)} it would be open together with ${whom}` }
}

const NEEDED: Readonly<Record<string, string>> = {
  owner: 'Choose whose session it is',
  mode: 'Choose how people are seen in it',
  startsOn: 'Enter the first date',
  opensAt: 'Enter when it opens',
  closesAt: 'Enter when it closes',
  repeat: 'Choose how often it comes back',
  weekdays: 'Choose at least one weekday',
  nth: 'Choose which one of the month',
  weekday: 'Choose the weekday',
  rule: 'Write the rule',
  grainMin: 'Enter how far apart starts are, in minutes',
  bufferBeforeMin: 'Enter the minutes kept free before a visit, 0 for none',
  bufferAfterMin: 'Enter the minutes kept free after a visit, 0 for none',
  noticeMin: 'Enter the shortest notice in minutes, 0 for none',
  urgentMin: 'Enter the minutes kept for urgent visits, 0 for none',
  urgentReleaseHours: 'Enter the working hours, 0 for never',
}

function faultWords(fault: SessionFault): string {
  switch (fault.code) {
    case 'required':
      return NEEDED[fault.field] ?? 'Enter this'
    case 'given_up':
      return {
        owner: 'This person no longer works here',
        siteId: 'This site is no longer used. Choose another',
        roomId: 'This room is not at that site, or no longer used. Choose another',
      }[fault.field]
    case 'unknown_zone':
      return 'This is no time zone we know. Write its full name, like America/New_York'
    case 'not_a_date':
      return 'Enter a day, a month and a year that make a date'
    case 'not_a_time':
      return 'Enter a time on the clock, like 09:00 or 1:30 pm'
    case 'not_a_number':
      return 'Enter a whole number'
    case 'before_opens':
      return `It closes before it opens. Enter a time after ${fault.opensAt}; a session over midnight is two sessions`
    case 'not_positive':
      return fault.field === 'grainMin' ? 'Starts are at least 1 minute apart' : 'Enter a number above 0'
    case 'negative':
      return 'Enter 0 or more'
    case 'over_a_day':
      return 'A session is at most a day long'
    case 'longer_than_session':
      return 'This is longer than the session itself'
    case 'beyond_bounds':
      return fault.field === 'closesAt'
        ? `A session is at least ${fault.min} minutes long`
        : `Enter minutes from ${fault.min} to ${fault.max}`
    case 'only_clinicians':
      return 'Only a clinician’s session keeps minutes for urgent visits'
    case 'before_start':
      return 'The last date is before the first'
    case 'needed_in_person':
      return 'Choose the site at which people are seen in person'
    case 'out_of_range':
      return fault.field === 'monthDay' ? 'Enter a day from 1 to 31, or the word last' : 'Enter a number from 1 to 99'
    case 'over':
      return 'Every date of this session is past. Enter a later one'
    case 'not_in_rule':
      return `It does not fall on this date. The first date on which it does is ${longDate(fault.firstOn)}`
    case 'never_occurs':
      return 'This rule never falls on a date'
    case 'until_before_start':
      return 'The rule’s UNTIL is before the first date'
    case 'count_with_until':
      return 'A rule has COUNT or UNTIL, not both (RFC 5545)'
    case 'until_not_utc':
      return 'Write UNTIL in universal time, like UNTIL=20270630T235959Z (RFC 5545)'
    case 'oftener_than_daily':
      return `A session opens once a day at most: leave out ${fault.part}`
    case 'unknown_part':
      return `“${fault.part}” is no part of a rule (RFC 5545)`
    case 'repeated_part':
      return `“${fault.part}” is there twice`
    case 'malformed':
      return `“${fault.part}” is not written as RFC 5545 asks, or does not go with the rest`
  }
}
