'use server'

import { redirect } from 'next/navigation'
import { redirectToPart } from '#app/_server/redirect-to-part.ts'
import { staffContext } from '#app/_server/staff-page.ts'
import { type FormState, refuse, valuesOf } from '#app/_ui/form-state.ts'
import { recordEntry, recordEntryInput } from '#lib/usecases/record-entry.ts'
import { slotOf } from './slot.ts'

/** Writes one entry where no script did: the same form, sent as a page. */
export async function writeEntry(visitId: string, previous: FormState, form: FormData): Promise<FormState> {
  const ctx = await staffContext('outcome.write')
  const { kind, item, stationId, side, wayId, base, entryId, ...fields } = valuesOf(form)
  const input = recordEntryInput.safeParse({
    ...{ visitId, base, entryId },
    what: { kind, item, stationId, side, wayId, fields },
  })
  if (!input.success) return refuse(previous, form, [{ field: 'result', message: 'This entry cannot be read' }])
  const result = await recordEntry(ctx, input.data)
  if (result.ok) redirectToPart(`/visits/${visitId}/run#${slotOf(input.data.what)}`)
  switch (result.error.code) {
    case 'visit_not_found':
      return redirect('/board')
    case 'refused':
      return refuse(previous, form, result.error.faults)
    case 'conflict': {
      const { said, by } = result.error.standing
      return refuse(previous, form, [
        {
          field: 'result',
          message: `${by} wrote meanwhile: ${said} Press “Write it down” once more to put yours in its place.`,
        },
      ])
    }
    default:
      return refuse(previous, form, [{ field: 'result', message: REFUSED[result.error.code] }])
  }
}

const REFUSED = {
  not_open: 'This visit was cancelled',
  too_early: 'Nothing can be recorded before an hour ahead of the start',
  signed: 'The record is signed: write an addendum instead',
  not_of_this_visit: 'This is not part of the visit any more; load the page again',
  command_of_someone_else: 'Load the page again and write it once more',
} as const
