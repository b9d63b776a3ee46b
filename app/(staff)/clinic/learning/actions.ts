'use server'

import { notFound, redirect } from 'next/navigation'
import { staffContext } from '#app/_server/staff-page.ts'
import { type FormState, refuse } from '#app/_ui/form-state.ts'
import { type ReviewedWay, reviewWay, reviewWayInput } from '#lib/usecases/review-way.ts'
import { textIn } from '../read-form.ts'

/** The lead's word on a way; the protocol stays as it is. */
export async function noteReview(way: ReviewedWay, previous: FormState, form: FormData): Promise<FormState> {
  const ctx = await staffContext('learning.review')
  const field = `because-${way.stationId}-${way.wayId}`
  const input = reviewWayInput.safeParse({ ...way, because: textIn(form, field) })
  if (!input.success)
    return refuse(previous, form, [{ field, message: 'Write what you found, in 3 to 2000 characters' }])
  const result = await reviewWay(ctx, input.data)
  if (result.ok) redirect('/clinic/learning?done=reviewed')
  switch (result.error.code) {
    case 'not_allowed':
      return redirect('/not-allowed')
    case 'not_suggested':
      return notFound()
  }
}
