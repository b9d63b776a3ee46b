/** The signed exam note as a file: text, PDF, or a FHIR R4 document. */
import { examNotePdf } from '#lib/adapters/exam-note-pdf.ts'
import { settings } from '#lib/adapters/settings.ts'
import { Temporal } from '#lib/base/time.ts'
import { noteText } from '#lib/domain/outcomes/exam-note.ts'
import { toFhirBundle } from '#lib/domain/outcomes/fhir-bundle.ts'
import type { Ctx } from '#lib/usecases/context.ts'
import { readExamNote } from '#lib/usecases/read-exam-note.ts'
import { instantWords } from '#lib/words/time-words.ts'

const FORMS = {
  text: { type: 'text/plain; charset=utf-8', name: 'exam-note.txt' },
  pdf: { type: 'application/pdf', name: 'exam-note.pdf' },
  fhir: { type: 'application/fhir+json; charset=utf-8', name: 'exam-note.fhir.json' },
} as const

/** 404 where there is no such visit, no signature yet, or no such form. */
export async function examNoteFile(ctx: Ctx, visitId: string, form: string): Promise<Response> {
  const known = (Object.keys(FORMS) as (keyof typeof FORMS)[]).find((each) => each === form)
  const result = await readExamNote(ctx, { visitId })
  if (known === undefined || !result.ok) return new Response('Not found', { status: 404 })
  const { facts, timeZone } = result.value
  const timeWords = (iso: string) => instantWords(Temporal.Instant.from(iso), timeZone)
  const body = {
    text: () => noteText(facts, timeWords),
    pdf: async () => new Uint8Array(await examNotePdf(facts, timeWords)),
    fhir: () => JSON.stringify(toFhirBundle(facts, settings().baseUrl, timeWords), null, 2),
  }[known]
  const { type, name } = FORMS[known]
  return new Response(await body(), {
    // The name says nothing of the patient.
    headers: { 'content-type': type, 'content-disposition': `inline; filename="${name}"` },
  })
}
