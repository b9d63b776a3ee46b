/** The signed exam note as text, PDF or FHIR. */
import { examNoteFile } from '#app/_server/exam-note-file.ts'
import { staffRequest } from '#app/_server/staff-page.ts'

export async function GET(request: Request, { params }: RouteContext<'/visits/[id]/note/[form]'>): Promise<Response> {
  const asked = await staffRequest(request, 'visit.read')
  if ('refusal' in asked) return asked.refusal
  const { id, form } = await params
  return examNoteFile(asked.ctx, id, form)
}
