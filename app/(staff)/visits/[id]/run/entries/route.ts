/**
 * Takes one entry of the run sheet from a page that keeps what it could not send: 200 written, 409 somebody else wrote or
 * the record is signed, 422 what is wrong at which field. The body is small and is read as it is.
 */
import { staffRequest } from '#app/_server/staff-page.ts'
import { recordEntry, recordEntryInput } from '#lib/usecases/record-entry.ts'

const STATUS = {
  visit_not_found: 404,
  not_open: 409,
  too_early: 409,
  signed: 409,
  conflict: 409,
  not_of_this_visit: 422,
  refused: 422,
  command_of_someone_else: 409,
} as const

/** An entry is a few short texts. */
const MOST_BYTES = 64_000

export async function POST(request: Request, { params }: RouteContext<'/visits/[id]/run/entries'>): Promise<Response> {
  const asked = await staffRequest(request, 'outcome.write')
  if ('refusal' in asked) return asked.refusal
  const text = await request.text()
  if (text.length > MOST_BYTES) return new Response('Too long', { status: 413 })
  const input = recordEntryInput.safeParse({ ...read(text), visitId: (await params).id })
  if (!input.success) return new Response('Not an entry', { status: 400 })
  const result = await recordEntry(asked.ctx, input.data)
  return result.ok ? Response.json(result.value) : Response.json(result.error, { status: STATUS[result.error.code] })
}

function read(text: string): object {
  try {
    const json: unknown = JSON.parse(text)
    return typeof json === 'object' && json !== null ? json : {}
  } catch {
    return {}
  }
}
