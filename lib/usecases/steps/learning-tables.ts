/** The tables of each topic, from what the database counted. */
import type { Db } from '#db/client.ts'
import {
  countAnswersToReminders,
  countDispositions,
  countDueByVideo,
  countMissed,
  countReadiness,
  countReminded,
  countTries,
  type LearningScope,
  listWaitWeeks,
  spreadDays,
} from '#db/queries/learning.ts'
import { DISPOSITION_WORDS, PRIORITY_WORDS } from '#lib/domain/desk/code-words.ts'
import { PRIORITIES, type Priority } from '#lib/domain/desk/stages.ts'
import { bandWords } from '#lib/domain/learning/bands.ts'
import type { DaysTable, LearningTable, ShareTable } from '#lib/domain/learning/report.ts'
import { shareOf } from '#lib/domain/learning/share.ts'
import type { Topic } from '#lib/domain/learning/topics.ts'
import { failuresOf, waysOf } from '#lib/domain/learning/tries.ts'
import { REASON_WORDS, RESULT_WORDS } from '#lib/domain/outcomes/vocabulary.ts'
import type { Protocol } from '#lib/domain/protocol/schema.ts'
import { ITEM_WORDS, type ItemState } from '#lib/domain/readiness/items.ts'
import { wayNames } from './way-names.ts'

const MODE_WORDS = { video: 'Video', in_person: 'In person' } as const

/** How a visit stood a day before, as the board said it. */
const WORST_WORDS: Readonly<Record<ItemState, string>> = {
  done: 'Ready',
  not_needed: 'Ready',
  waiting: 'Something was waited for',
  late: 'Something was late',
  cannot: 'Something could not be as planned',
}

type Ask = {
  db: Db
  scope: LearningScope
  days: { from: string; to: string }
  /** Those in force, for names. */
  protocols: readonly Protocol[]
}

export const TABLES_OF: Readonly<Record<Topic, (ask: Ask) => Promise<LearningTable[]>>> = {
  stations,
  visits,
  readiness,
  missed,
  days,
  waits,
  reminders,
}

/** Sides are tries of their own. What was planned and not recorded is no try. */
async function stations({ db, scope, protocols }: Ask): Promise<LearningTable[]> {
  const tries = await countTries(db, scope)
  const [ways, failures] = [waysOf(tries), failuresOf(tries)]
  const names = wayNames(protocols)
  // Versions of a protocol stand together: a way that kept its name is the same way.
  const byWay = Map.groupBy(ways, ({ protocolId, stationId, wayId }) => `${protocolId} ${stationId} ${wayId}`)
  const sum = (of: typeof ways, what: 'done' | 'withDifficulty' | 'notPossible' | 'stopped' | 'notReached' | 'of') =>
    of.reduce((total, line) => total + line[what], 0)
  const all = failures.reduce((total, { n }) => total + n, 0)
  return [
    {
      kind: 'share',
      id: 'by-way',
      caption: 'Done of what screening said was possible, by station and way',
      by: ['Station', 'Way'],
      counted: 'done',
      whole: 'tries',
      also: ['with_difficulty', 'not_possible', 'stopped', 'not_reached'],
      // The weakest first: there is where to look.
      lines: [...byWay.values()]
        .flatMap((of) => {
          const [first] = of
          if (!first) return []
          const { station, way } = names(first)
          return [
            {
              names: [station, way],
              share: shareOf(sum(of, 'done'), sum(of, 'of')),
              also: [sum(of, 'withDifficulty'), sum(of, 'notPossible'), sum(of, 'stopped'), sum(of, 'notReached')],
            },
          ]
        })
        .sort((a, b) => (a.share.share ?? 2) - (b.share.share ?? 2)),
      note: 'Of signed visits. Done with difficulty counts as done; what nobody got to, also for want of time, was no try. Each side is a try of its own.',
    },
    {
      kind: 'share',
      id: 'why-not',
      caption: 'Why stations were not done',
      by: ['Why', 'What'],
      counted: 'tries',
      whole: 'not_done',
      also: [],
      lines: failures.map(({ reason, result, n }) => ({
        names: [REASON_WORDS[reason], RESULT_WORDS[result]],
        share: shareOf(n, all),
        also: [],
      })),
    },
  ]
}

async function visits({ db, scope }: Ask): Promise<LearningTable[]> {
  const lines = await countDispositions(db, scope)
  const byVideo = lines.filter(({ mode }) => mode === 'video')
  const table = (
    head: Pick<ShareTable, 'id' | 'caption' | 'counted' | 'whole' | 'note'>,
    of: typeof lines,
    count: (line: (typeof lines)[number]) => [number, number],
    also: ShareTable['also'] = [],
    more: (line: (typeof lines)[number]) => number[] = () => [],
  ): ShareTable => ({
    ...head,
    kind: 'share',
    by: ['Screening said', 'Visit'],
    also,
    lines: of.map((line) => ({
      names: [DISPOSITION_WORDS[line.disposition], MODE_WORDS[line.mode]],
      share: shareOf(...count(line)),
      also: more(line),
    })),
  })
  return [
    table(
      {
        id: 'took-place',
        caption: 'Visits that took place',
        counted: 'took_place',
        whole: 'booked',
        note: 'Of all visits of the period that are over. Left early, failed for technical reasons and stopped for safety are parts of what took place; the rest was missed or cancelled.',
      },
      lines,
      ({ done, booked }) => [done, booked],
      ['left_early', 'technical_failure', 'stopped_for_safety', 'missed', 'cancelled'],
      (line) => [line.leftEarly, line.technicalFailure, line.stoppedForSafety, line.missed, line.cancelled],
    ),
    table(
      {
        id: 'followed-in-person',
        caption: 'Video visits that led to one in person',
        counted: 'then_in_person',
        whole: 'took_place',
        note: 'The patient was, or is to be, seen in person after the video visit: booked in the same referral, or decided as its follow-up.',
      },
      byVideo,
      ({ followed, done }) => [followed, done],
    ),
    table(
      {
        id: 'moved-in-person',
        caption: 'Cancelled video visits replaced by one in person',
        counted: 'in_person_instead',
        whole: 'cancelled',
      },
      byVideo,
      ({ replaced, cancelled }) => [replaced, cancelled],
    ),
  ]
}

async function readiness({ db, scope }: Ask): Promise<LearningTable[]> {
  const [lines, due] = await Promise.all([countReadiness(db, scope), countDueByVideo(db, scope)])
  const known = lines.filter(({ item }) => item === null)
  const unknown = due - known.reduce((sum, line) => sum + line.due, 0)
  const merged = Map.groupBy(known, ({ worst }) => WORST_WORDS[worst])
  const sum = (of: typeof lines, what: 'done' | 'due') => of.reduce((total, line) => total + line[what], 0)
  const order = Object.values(WORST_WORDS)
  return [
    {
      kind: 'share',
      id: 'by-readiness',
      caption: 'Video visits that took place, by how ready they were 24 hours before',
      by: ['24 hours before'],
      counted: 'took_place',
      whole: 'due',
      also: [],
      lines: [...merged]
        .sort(([a], [b]) => order.indexOf(a) - order.indexOf(b))
        .map(([words, of]) => ({ names: [words], share: shareOf(sum(of, 'done'), sum(of, 'due')), also: [] })),
      ...(unknown > 0 && {
        note: `Of ${unknown} more it is not known how ready they were: they were booked or moved within the last day, or it was not written down then.`,
      }),
    },
    {
      kind: 'share',
      id: 'by-open-item',
      caption: 'Video visits that took place, by what was still open 24 hours before',
      by: ['Open 24 hours before'],
      counted: 'took_place',
      whole: 'due',
      also: [],
      lines: lines.flatMap(({ item, done, due: of }) =>
        item === null ? [] : [{ names: [ITEM_WORDS[item]], share: shareOf(done, of), also: [] }],
      ),
      note: 'A visit with several open items stands in several lines.',
    },
  ]
}

async function missed({ db, scope }: Ask): Promise<LearningTable[]> {
  const lines = await countMissed(db, scope)
  const table = (
    by: 'band' | 'mode' | 'month' | 'all',
    head: Pick<ShareTable, 'id' | 'caption' | 'by' | 'note'>,
    words: (key: string) => string,
  ): ShareTable => ({
    ...head,
    kind: 'share',
    counted: 'missed',
    whole: 'due',
    also: [],
    lines: lines
      .filter((line) => line.by === by && line.due > 0)
      .map((line) => ({ names: [words(line.key)], share: shareOf(line.missed, line.due), also: [] })),
  })
  return [
    table(
      'band',
      {
        id: 'by-lead-time',
        caption: 'Missed, by how long ahead the visit was booked',
        by: ['Booked ahead'],
        note: 'Missed of due: a visit that was cancelled in time is in neither. A visit that was moved counts from when it was first booked.',
      },
      (key) => asLineStart(bandWords(Number(key))),
    ),
    table('mode', { id: 'by-mode', caption: 'Missed, by video and in person', by: ['Visit'] }, (key) =>
      key === 'video' ? MODE_WORDS.video : MODE_WORDS.in_person,
    ),
    table('month', { id: 'by-month', caption: 'Missed, by month', by: ['Month'] }, (key) => key),
    table('all', { id: 'all', caption: 'Missed, all together', by: ['Visits'] }, () => 'All'),
  ]
}

async function days({ db, scope }: Ask): Promise<LearningTable[]> {
  const order: readonly (string | null)[] = [null, ...PRIORITIES]
  const lines = (await spreadDays(db, scope)).sort((a, b) => order.indexOf(a.priority) - order.indexOf(b.priority))
  const table = (what: 'decision' | 'visit', head: Pick<DaysTable, 'id' | 'caption' | 'note'>): DaysTable => ({
    ...head,
    kind: 'days',
    by: ['Priority'],
    lines: lines.map((line) => ({
      names: [line.priority === null ? 'All' : PRIORITY_WORDS[line.priority as Priority]],
      spread: line[what],
    })),
  })
  const cohort = `Of the referrals that came in during the period${scope.clinicianId === null ? '' : ' and were first seen by this clinician'}, in calendar days.`
  return [
    table('decision', {
      id: 'to-decision',
      caption: 'From the referral to the decision',
      note: `${cohort} The decision is the first screening that no longer asked for answers.`,
    }),
    table('visit', {
      id: 'to-visit',
      caption: 'From the referral to the first visit that took place',
      note: `${cohort} Who still waits is not in the figures, so the newest weeks look shorter than they will be.`,
    }),
  ]
}

async function waits({ db, scope, days: { from, to } }: Ask): Promise<LearningTable[]> {
  const weeks = await listWaitWeeks(db, scope, { from, to })
  const modes = ['video', 'in_person'] as const
  const horizon = Math.max(0, ...weeks.map(({ horizonDays }) => horizonDays))
  const byWeek = Map.groupBy(weeks, ({ week }) => week)
  return [
    {
      kind: 'trend',
      id: 'third-next-available',
      caption: 'Third next available start, week by week',
      by: ['Week from'],
      unit: 'days',
      series: modes.map((mode) => MODE_WORDS[mode]),
      lines: [...byWeek].map(([on, of]) => ({
        on,
        values: modes.map((mode) => {
          const days = of.find((week) => week.mode === mode)?.days ?? null
          return days !== null && days > horizon ? null : days
        }),
      })),
      note: `The median over the week’s days and ${scope.clinicianId === null ? 'all clinicians' : 'this clinician'}, in calendar days, weekends included. Written down once a day since this version runs. A gap: fewer than three starts were open within ${horizon} days.`,
    },
  ]
}

async function reminders({ db, scope }: Ask): Promise<LearningTable[]> {
  const [fates, asked] = await Promise.all([countReminded(db, scope), countAnswersToReminders(db, scope)])
  const words = { sent: 'Went out', failed: 'Could not be delivered', none: 'None was due' } as const
  return [
    {
      kind: 'share',
      id: 'day-before',
      caption: 'Missed, by the reminder of the day before',
      by: ['Reminder'],
      counted: 'missed',
      whole: 'due',
      also: [],
      lines: (['sent', 'failed', 'none'] as const).flatMap((fate) => {
        const line = fates.find((each) => each.fate === fate)
        return line ? [{ names: [words[fate]], share: shareOf(line.missed, line.due), also: [] }] : []
      }),
      note: 'Who got none differs in other ways too: no e-mail address, or booked on the last day. This is no proof that reminders work.',
    },
    {
      kind: 'share',
      id: 'still-missing',
      caption: 'Visits of which something was confirmed, around the mail that says what is still missing',
      by: ['When'],
      counted: 'something_confirmed',
      whole: 'mails',
      also: [],
      lines:
        asked.reminders === 0
          ? []
          : [
              { names: ['In the 48 hours before the mail'], share: shareOf(asked.before, asked.reminders), also: [] },
              { names: ['In the 48 hours after it'], share: shareOf(asked.after, asked.reminders), also: [] },
            ],
      note: 'The visit comes nearer all the while, so some would have confirmed without it.',
    },
  ]
}

function asLineStart(words: string): string {
  return words.charAt(0).toUpperCase() + words.slice(1)
}
