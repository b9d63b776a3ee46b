/** What the line of one visit says, in words only: they are all that the browser is sent of it. */
import { Temporal } from '#lib/base/time.ts'
import { TASK_WORDS } from '#lib/domain/desk/task-words.ts'
import { isOpen } from '#lib/domain/readiness/board-view.ts'
import { ITEM_WORDS, type ItemReadiness, type ItemState } from '#lib/domain/readiness/items.ts'
import type { LastChange, ShownVisit } from '#lib/usecases/read-board.ts'
import { ageWords, clockWords } from '#lib/words/time-words.ts'
import { complaintWords, DISPOSITION_WORDS } from '../referrals/words.ts'
import { changeWords } from './change-words.ts'

/** `at` is an ISO instant, for machines. */
export type Clock = { at: string; words: string }

export type RowWords = {
  visitId: string
  state: ItemState
  /** Another one says that the visit changed. */
  stamp: string
  from: Clock
  to: Clock
  patientName: string
  clinicianName: string
  complaint: string
  manner: string
  outcome: 'done' | 'no_show' | null
  tasks: string[]
  /** What is open stands in full, what is done in one line behind it. */
  open: { state: ItemState; words: string }[]
  done: string
  closed: string
  helper: { from: Clock; to: Clock } | null
  interpreterName: string | null
  whereabouts: string | null
  lastChange: string | null
}

export function rowWords(visit: ShownVisit, timeZone: string, now: Temporal.Instant): RowWords {
  const { visitId, lastChange, status, helperWindow } = visit
  const clock = (at: string): Clock => ({ at, words: clockWords(Temporal.Instant.from(at), timeZone) })
  return {
    visitId,
    state: visit.worst,
    stamp: lastChange === null ? '' : `${lastChange.at} ${lastChange.action}`,
    from: clock(visit.startsAt),
    to: clock(visit.endsAt),
    patientName: visit.patientName,
    clinicianName: visit.clinicianName,
    complaint: complaintWords(visit.side, visit.condition),
    manner: mannerWords(visit),
    outcome: status === 'done' || status === 'no_show' ? status : null,
    tasks: visit.openTasks.map((kind) => TASK_WORDS[kind].title),
    open: visit.items
      .filter(({ state }) => isOpen(state))
      .map((item) => ({ state: item.state, words: itemWords(item, now) })),
    done: visit.items
      .filter(({ state }) => state === 'done')
      .map(({ item }) => ITEM_WORDS[item])
      .join(', '),
    closed: closedWords(visit),
    helper: helperWindow && { from: clock(helperWindow.from), to: clock(helperWindow.to) },
    interpreterName: visit.interpreterName,
    whereabouts: visit.mode === 'video' ? whereaboutsWords(visit) : null,
    lastChange: lastChange && changedWords(lastChange, now),
  }
}

function itemWords({ item, state, actor, since }: ItemReadiness, now: Temporal.Instant): string {
  const how = state === 'late' ? ', late' : state === 'cannot' ? ', cannot' : ''
  const who = actor === 'nobody' ? '' : `: ${actor} acts`
  const age = since === null ? '' : `, ${ageWords(Temporal.Instant.from(since), now)}`
  return `${ITEM_WORDS[item]}${how}${who}${age}`
}

function closedWords({ closed, openers: [opener] }: ShownVisit): string {
  const titles = closed.map(({ title }) => title).join(', ')
  return closed.length > 0 && opener ? `${titles}. With ${opener.say}: ${opener.opens} more` : titles
}

function mannerWords(visit: ShownVisit): string {
  if (visit.mode === 'in_person') return `In person, ${visit.siteName}, ${visit.roomName}`
  const how = visit.disposition === null ? 'Video' : DISPOSITION_WORDS[visit.disposition]
  return `${visit.disposition?.startsWith('video') ? how : `Video; decided: ${how.toLowerCase()}`}, ${visit.stationCount} ${visit.stationCount === 1 ? 'station' : 'stations'}`
}

function whereaboutsWords({ placeAddress, contactPhone, contactName }: ShownVisit): string {
  const place = placeAddress === null ? 'No place yet' : 'Place given'
  const contact = contactName === null || contactPhone === null ? 'no emergency contact yet' : 'emergency contact given'
  return `${place}, ${contact}`
}

function changedWords({ action, at, by, byKind }: LastChange, now: Temporal.Instant): string {
  const who = byKind === 'staff' ? by : `the ${by}`
  return `${capital(changeWords(action))} ${ageWords(Temporal.Instant.from(at), now)} ago, by ${who}`
}

function capital(words: string): string {
  return words.charAt(0).toUpperCase() + words.slice(1)
}
