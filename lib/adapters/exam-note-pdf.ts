/** The exam note on paper: the sections of its text, in the same words. */
import { Temporal } from '#lib/base/time.ts'
import { type NoteFacts, noteSections, noteTitle, type TimeWords } from '#lib/domain/outcomes/exam-note.ts'
import { type PdfBlock, renderPdf } from './pdf-document.ts'

/** The file's bytes. */
export async function examNotePdf(facts: NoteFacts, timeWords: TimeWords): Promise<Buffer> {
  const last = facts.addenda.at(-1)?.at ?? facts.signed.at
  return renderPdf({
    title: noteTitle(facts),
    language: 'en',
    foot: `${facts.clinic.name}, ${facts.clinic.phone}`,
    pageOf: (page, pages) => `Page ${page} of ${pages}`,
    bodySize: 10.5,
    blocks: [
      { heading: noteTitle(facts), level: 1 },
      ...noteSections(facts, timeWords).flatMap(({ heading, lines }): PdfBlock[] => [
        { heading, level: 2 },
        lines.length === 1 ? { text: lines.join() } : { list: lines.map((text) => ({ text })) },
      ]),
    ],
    madeAt: new Date(Temporal.Instant.from(last).epochMilliseconds),
  })
}
