/** The packet on paper: the sections of its page and mail, in the same words, with every set-up drawn to measure. */
import { Temporal } from '#lib/base/time.ts'
import type { Packet, PacketChange } from '#lib/domain/packet/packet.ts'
import type { Locale } from '#lib/domain/protocol/schema.ts'
import { drawingsOf } from '#lib/figures/set-up-drawings.ts'
import { describePacket, isLongList, type PacketPart, type PacketSection } from '#lib/words/packet-text.ts'
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
  const version = say('packet.revision', { number: revision, day: dayWords(at, visit.timeZone, locale) })
  const sectionBlocks = ({ heading, parts }: PacketSection): PdfBlock[] => [
    { heading, level: 2 },
    ...parts.flatMap((part) => blocksOf(part, { youWord, helperWord, locale })),
  ]
  const blocks: PdfBlock[] = [
    { heading: say('packet.title'), level: 1 },
    { text: say('packet.lead') },
    { text: [version, ...(demonstration === null ? [] : [demonstration])].join('. '), look: 'quiet' },
    ...sections.flatMap((section, at): PdfBlock[] => {
      if (isBesideNext(sections[at - 1], section)) return []
      const blocks = sectionBlocks(section)
      const next = sections[at + 1]
      return next && isBesideNext(section, next) ? [{ sideBySide: [blocks, sectionBlocks(next)] }] : blocks
    }),
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

/** Short ones that belong together: when and with whom, how to join and join again. */
function isBesideNext(one: PacketSection | undefined, next: PacketSection): boolean {
  return (one?.id === 'when' && next.id === 'helper') || (one?.id === 'join' && next.id === 'drop')
}

type Hands = { youWord: string; helperWord: string; locale: Locale }

function blocksOf(part: PacketPart, { youWord, helperWord, locale }: Hands): PdfBlock[] {
  if ('text' in part || 'address' in part) return [part]
  if ('list' in part) {
    const { lead, list } = part
    return [{ list, columns: isLongList(list), ...(lead !== null && { lead }) }]
  }
  const { heading, from, notes, asIn, geometry, measures } = part
  const head: PdfBlock[] = [
    { heading, level: 3 },
    { label: from, text: [...notes, ...(asIn === null ? [] : [asIn.words])].join(' ') },
    ...(measures === null ? [] : [{ text: measures, look: 'quiet' } satisfies PdfBlock]),
  ]
  const [first, ...stations] = part.stations.map(
    ({ title, sides, you, helper }): PdfBlock => ({
      ruled: true,
      together: [
        { heading: title, level: 4, ...(sides !== null && { text: sides }) },
        ...(helper === null
          ? [{ text: you }]
          : [
              { label: `${youWord}:`, text: you },
              { label: `${helperWord}:`, text: helper },
            ]),
      ],
    }),
  )
  if (first === undefined) return head
  return geometry === null
    ? [{ together: [...head, first] }, ...stations]
    : [{ beside: drawingsOf(geometry, locale), blocks: [...head, first, ...stations] }]
}
