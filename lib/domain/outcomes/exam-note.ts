/** The exam note: what was found, in the order of the exam, as plain sections. Text, print and FHIR are made from it. */
import { invariant } from '#lib/base/invariant.ts'
import type { Measure, MeasureUnit, Reference, Side } from '../protocol/schema.ts'
import type { StationEntry } from './read-entry.ts'
import { rangeWords } from './references.ts'
import { sayEntry } from './say-entry.ts'
import {
  CHECK_WORDS,
  type CheckItem,
  type CheckState,
  FOLLOW_UP_WORDS,
  type FollowUp,
  type StationResult,
  VISIT_OUTCOME_WORDS,
  type VisitOutcome,
} from './vocabulary.ts'

export type NoteFacts = {
  visit: {
    id: string
    clinicianName: string
    mode: 'video' | 'in_person'
    startsAt: string
    endsAt: string | null
    condition: string
    side: Side
  }
  patient: { id: string; givenName: string; familyName: string; birthDate: string | null; language: string }
  clinic: { id: string; name: string; phone: string }
  protocol: { id: string; version: number; demonstration: boolean }
  checks: readonly { item: CheckItem; state: CheckState; because: string | null }[]
  stations: readonly NoteStation[]
  outcome: VisitOutcome
  note: string
  stoppedAt: string | null
  signed: { by: string; at: string }
  followUp: { kind: FollowUp; because: string | null; seeBy: string | null; stations: readonly string[] } | null
  addenda: readonly { id: string; text: string; by: string; at: string }[]
}

export type NoteStation = Omit<StationEntry, 'result'> & {
  stationId: string
  title: string
  side: Side
  result: StationResult
  wayMisses: string | null
  measures: readonly Measure[]
}

export type NoteSection = { heading: string; lines: string[] }

/** How a time is told: the words of times are the reader's business. */
export type TimeWords = (iso: string) => string

const SIDE_WORDS: Readonly<Record<Side, string>> = { left: 'left', right: 'right', both: 'both sides' }

export function noteTitle({ patient }: NoteFacts): string {
  return `Exam note: ${patient.givenName} ${patient.familyName}`
}

/** The whole note. */
export function noteSections(facts: NoteFacts, timeWords: TimeWords): NoteSection[] {
  const { visit, patient, clinic, protocol, followUp } = facts
  const born = patient.birthDate === null ? 'date of birth not on file' : `born ${patient.birthDate}`
  const mode = visit.mode === 'video' ? 'by video' : 'at the clinic'
  return [
    {
      heading: 'Visit',
      lines: [
        `${patient.givenName} ${patient.familyName}, ${born}.`,
        `Visit ${mode} with ${visit.clinicianName}, ${clinic.name}, ${timeWords(visit.startsAt)}.`,
        `Suspected: ${visit.condition}, ${SIDE_WORDS[visit.side]}.`,
        `${VISIT_OUTCOME_WORDS[facts.outcome]}.`,
        ...(facts.stoppedAt === null ? [] : [`Stopped for safety at ${timeWords(facts.stoppedAt)}.`]),
      ],
    },
    {
      heading: 'Before the exam',
      lines: facts.checks.map(
        ({ item, state, because }) => `${CHECK_WORDS[item]}: ${state}${because === null ? '' : ` (${because})`}.`,
      ),
    },
    {
      heading: 'Exam',
      lines: facts.stations.map(
        (station) =>
          `${station.title}, ${SIDE_WORDS[station.side]}: ${sayEntry(station, station.measures)}${
            station.wayMisses === null || !isDone(station) ? '' : ` (Lesser way: ${station.wayMisses})`
          }`,
      ),
    },
    { heading: 'Published ranges beside the measured values', lines: rangesBeside(facts.stations) },
    { heading: 'Note', lines: facts.note === '' ? [] : [facts.note] },
    {
      heading: 'How it goes on',
      lines: followUp === null ? [] : [sayFollowUp(followUp, timeWords)],
    },
    { heading: 'Signature', lines: [`Signed by ${facts.signed.by}, ${timeWords(facts.signed.at)}.`] },
    { heading: 'Addenda', lines: facts.addenda.map(({ text, by, at }) => `${by}, ${timeWords(at)}: ${text}`) },
    {
      heading: 'How to read this',
      lines: [
        `Protocol ${protocol.id}, version ${protocol.version}${protocol.demonstration ? ', a demonstration that needs local clinical sign-off' : ''}.`,
        'An exam by video supports a decision and clears nothing: what was not seen is not known.',
      ],
    },
  ].filter(({ lines }) => lines.length > 0)
}

function isDone({ result }: NoteStation): boolean {
  return result === 'done' || result === 'done_with_difficulty'
}

/** Each measure that has a value, once, with everything that is published about it. */
function rangesBeside(stations: readonly NoteStation[]): string[] {
  const measured = stations.flatMap(({ measures, values }) => measures.filter(({ id }) => values[id] !== undefined))
  const once = [...new Map(measured.map((measure) => [measure.title, measure])).values()]
  return once.map(({ title, unit, references }) =>
    references.length === 0
      ? `${title}: no published range here.`
      : `${title}: ${references.map((each) => sayReference(each, unit)).join('; ')}.`,
  )
}

export function sayReference(reference: Reference, unit: MeasureUnit): string {
  return `${reference.who} ${rangeWords(reference, unit)} (${reference.source})`
}

function sayFollowUp(
  { kind, because, seeBy, stations }: NonNullable<NoteFacts['followUp']>,
  timeWords: TimeWords,
): string {
  const parts = [
    FOLLOW_UP_WORDS[kind] + (seeBy === null ? '' : `, by ${timeWords(seeBy)}`),
    ...(stations.length === 0 ? [] : [`Still to be examined: ${stations.join('; ')}`]),
    ...(because === null ? [] : [because]),
  ]
  return parts.map((part) => `${part}.`.replace(/\.\.$/, '.')).join(' ')
}

/** The note as a text file. */
export function noteText(facts: NoteFacts, timeWords: TimeWords): string {
  const sections = noteSections(facts, timeWords)
  invariant(sections.length > 0, 'a signed visit has something to say')
  return [
    noteTitle(facts),
    ...sections.map(({ heading, lines }) => `${heading}\n${lines.map((line) => `- ${line}`).join('\n')}`),
  ]
    .join('\n\n')
    .concat('\n')
}
