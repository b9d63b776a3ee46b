/** Words of the protocol desk that several of its pages use. */
import { Temporal } from '#lib/base/time.ts'
import { PART_NAMES, PARTS, type Part } from '#lib/domain/versions/parts.ts'
import type { VersionView } from '#lib/usecases/read-protocol.ts'

/** What of a protocol can be read by itself: its lists, and what has no list of its own. */
export const READ_PARTS = [...PART_NAMES, 'figures', 'order', 'sources'] as const
export type ReadPart = (typeof READ_PARTS)[number]

export const PART_HEADINGS: Record<ReadPart, string> = {
  ...(Object.fromEntries(PART_NAMES.map((part) => [part, PARTS[part].heading])) as Record<Part, string>),
  figures: 'Thresholds and costs',
  order: 'Order',
  sources: 'Sources',
}

/** "November 27, 2026" */
export function dateWords(at: string, timeZone: string): string {
  const date = Temporal.Instant.from(at).toZonedDateTimeISO(timeZone).toPlainDate()
  return date.toLocaleString('en-US', { year: 'numeric', month: 'long', day: 'numeric' })
}

/** Where a version stands, as the end of a sentence: "version 1 …". */
export function standingWords({ status, isInForce, signedOffAt, signedOffBy }: VersionView, timeZone: string): string {
  if (status === 'draft' || signedOffAt === null) return 'is a draft. Nobody is triaged with it.'
  const since = `${dateWords(signedOffAt, timeZone)}, signed off by ${signedOffBy ?? 'the clinic lead'}`
  return isInForce ? `is in force since ${since}.` : `was signed off on ${since}.`
}

export function addressOf({ id, version }: { id: string; version: number }): string {
  return `/clinic/protocol/${id}/${version}`
}

export const STATEMENT =
  'I am the licensed lead of this clinic. I have read this version and its changes, local rules come first, and I answer for its use on our patients.'
