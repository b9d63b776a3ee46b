/** The packet on paper: the sections of its page and mail, in the same words, with every set-up drawn to measure. */
import { Temporal } from '#lib/base/time.ts'
import type { Packet, PacketChange } from '#lib/domain/packet/packet.ts'
import type { Locale } from '#lib/domain/protocol/schema.ts'
import { drawingsOf } from '#lib/figures/set-up-drawings.ts'
import { describePacket, type PacketPart } from '#lib/words/packet-text.ts'
import { dayWords } from '#lib/words/time-words.ts'
import { wordsFor } from '#lib/words/words.ts'
import { type PdfBlock, renderPdf } from './pdf-document.ts'

export type PacketToPrint = {
  packet: Packet
  changes: readonly PacketChange[]
  revision: number
  at: Temporal.Instant
}

/** The file's bytes. */
export async function packetPdf({ packet, changes, revision, at }: PacketToPrint, locale: Locale): Promise<Buffer> {
  const say = wordsFor(locale)
  const { sections, youWord, helperWord, demonstration } = describePacket(packet, changes, locale)
  const { clinic, visit } = packet
  const day = dayWords(at, visit.timeZone, locale)
  const blocks: PdfBlock[] = [
    { heading: say('packet.title'), level: 1 },
    { text: say('packet.lead') },
    { text: say('packet.revision', { number: revision, day }), look: 'quiet' },
    ...(demonstration === null ? [] : [{ text: demonstration, look: 'quiet' } satisfies PdfBlock]),
    ...sections.flatMap(({ heading, parts }): PdfBlock[] => [
      { heading, level: 2 },
      ...parts.flatMap((part) => blocksOf(part, { youWord, helperWord, locale })),
    ]),
  ]
  return renderPdf({
    title: `${say('packet.title')}, ${dayWords(Temporal.Instant.from(visit.startsAt), visit.timeZone, locale)}`,
    language: locale,
    foot: say('mail.frame.questions', { clinic: clinic.name, phone: clinic.phone }),
    pageOf: (page, pages) => say('packet.page', { page, pages }),
    blocks,
    madeAt: new Date(at.epochMilliseconds),
  })
}

type Hands = { youWord: string; helperWord: string; locale: Locale }

function blocksOf(part: PacketPart, { youWord, helperWord, locale }: Hands): PdfBlock[] {
  if ('text' in part || 'address' in part) return [part]
  if ('list' in part) return [part]
  const { heading, notes, geometry, measures, stations } = part
  const head: PdfBlock[] = [
    { heading, level: 3 },
    ...notes.map((text) => ({ text })),
    ...(geometry === null || measures === null
      ? []
      : [{ drawings: drawingsOf(geometry, locale), caption: measures } satisfies PdfBlock]),
  ]
  return [
    { together: head },
    ...stations.map(
      ({ title, sides, you, helper }): PdfBlock => ({
        ruled: true,
        together: [
          { heading: title, level: 4 },
          ...(sides === null ? [] : [{ text: sides, look: 'strong' } satisfies PdfBlock]),
          ...(helper === null
            ? [{ text: you }]
            : [
                { label: youWord, text: you },
                { label: helperWord, text: helper },
              ]),
        ],
      }),
    ),
  ]
}
