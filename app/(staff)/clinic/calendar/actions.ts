'use server'

import { revalidatePath } from 'next/cache'
import { redirect } from 'next/navigation'
import { wholeAddress } from '#app/_server/feeds.ts'
import { staffContext } from '#app/_server/staff-page.ts'
import { type FormState, refuse } from '#app/_ui/form-state.ts'
import { unreachable } from '#lib/base/invariant.ts'
import { type EndFeedError, endFeed } from '#lib/usecases/end-feed.ts'
import { type RenewFeedError, renewFeed } from '#lib/usecases/renew-feed.ts'
import type { AddressState } from './address-state.ts'

const PAGE = '/clinic/calendar'

/** Makes an address, or a new one. It is told in this answer and never again. */
export async function makeAddress(clinicianId: string, _previous: AddressState, form: FormData): Promise<AddressState> {
  const ctx = await staffContext('feed.write')
  const key = `${String(form.get('commandKey') ?? '')}:make`
  const made = await renewFeed(ctx, { key, clinicianId })
  revalidatePath(PAGE)
  if (!made.ok) return { address: null, problem: problemWords(made.error) }
  const { path } = made.value
  if (path === null)
    return { address: null, problem: 'This address was made a moment ago and is shown only once. Make a new one.' }
  return { address: wholeAddress(path), problem: null }
}

/** Ends the address that is alive. */
export async function takeBack(clinicianId: string, previous: FormState, form: FormData): Promise<FormState> {
  const ctx = await staffContext('feed.write')
  const key = `${String(form.get('commandKey') ?? '')}:end`
  const ended = await endFeed(ctx, { key, clinicianId })
  if (!ended.ok && ended.error.code !== 'no_feed')
    return refuse(previous, form, [{ field: `end-${clinicianId}`, message: problemWords(ended.error) }])
  redirect(`${PAGE}?done=ended`)
}

function problemWords(error: RenewFeedError | EndFeedError): string {
  switch (error.code) {
    case 'clinician_not_found':
      return 'This clinician is no longer here.'
    case 'changed_meanwhile':
      return 'Somebody else made an address at the same moment. Make a new one if you need it.'
    case 'no_feed':
      return 'There is no address any more.'
    case 'command_of_someone_else':
      return 'This form was sent already. Look at what stands here now.'
    default:
      return unreachable(error)
  }
}
