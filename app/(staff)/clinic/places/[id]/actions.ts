'use server'

import { redirect } from 'next/navigation'
import { type StaffCtx, signedInStaff, staffContext } from '#app/_server/staff-page.ts'
import { type FormError, type FormState, refuse } from '#app/_ui/form-state.ts'
import type { RoomFault, SiteFault } from '#lib/domain/staffing/site-draft.ts'
import { type SaveRoomInput, saveRoom } from '#lib/usecases/save-room.ts'
import { type SaveSiteError, type SaveSiteInput, saveSite } from '#lib/usecases/save-site.ts'
import { sessionWords } from '#lib/words/session-words.ts'
import { answerShared } from '../../answer.ts'
import { marksIn, textIn, versionIn } from '../../read-form.ts'

/** Adds a site, or saves where it is. */
export async function keepSite(siteId: string | null, previous: FormState, form: FormData): Promise<FormState> {
  const ctx = await staffContext('place.write')
  const raw = {
    name: textIn(form, 'name'),
    address: textIn(form, 'address'),
    state: textIn(form, 'state'),
    timeZone: textIn(form, 'timeZone'),
  }
  return writeSite(ctx, { siteId, version: versionIn(form), deed: { kind: 'write', raw } }, 'name', previous, form)
}

/** Gives a site up, or takes it back. */
export async function standSite(
  siteId: string,
  deed: 'give_up' | 'take_back',
  previous: FormState,
  form: FormData,
): Promise<FormState> {
  const ctx = await staffContext('place.write')
  const version = Number(textIn(form, 'siteVersion'))
  return writeSite(ctx, { siteId, version, deed: { kind: deed } }, 'stand', previous, form)
}

async function writeSite(
  ctx: StaffCtx,
  what: Pick<SaveSiteInput, 'siteId' | 'version' | 'deed'>,
  field: string,
  previous: FormState,
  form: FormData,
): Promise<FormState> {
  const { timeZone } = (await signedInStaff()).clinic
  const key = textIn(form, 'commandKey')
  const result = await saveSite(ctx, { ...what, key, isDryRun: false, confirmed: marksIn(form) })
  if (result.ok) {
    const done = what.deed.kind === 'write' ? (what.siteId === null ? 'added' : 'saved') : what.deed.kind
    return redirect(`/clinic/places/${result.value.siteId}?done=${done}`)
  }
  switch (result.error.code) {
    case 'faults':
      return refuse(previous, form, result.error.faults.map(sayFault))
    case 'sessions_there':
      return refuse(previous, form, sessionsThere(result.error, field))
    default:
      return answerShared(previous, form, result.error, { field, timeZone })
  }
}

/** Adds a room, or gives one another name. */
export async function keepRoom(
  siteId: string,
  roomId: string | null,
  previous: FormState,
  form: FormData,
): Promise<FormState> {
  const ctx = await staffContext('place.write')
  return writeRoom(
    ctx,
    { siteId, roomId, deed: { kind: 'name', name: textIn(form, 'roomName') } },
    'roomName',
    previous,
    form,
  )
}

/** Gives a room up, or takes it back. */
export async function standRoom(
  siteId: string,
  roomId: string,
  deed: 'give_up' | 'take_back',
  previous: FormState,
  form: FormData,
): Promise<FormState> {
  const ctx = await staffContext('place.write')
  return writeRoom(ctx, { siteId, roomId, deed: { kind: deed } }, 'standRoom', previous, form)
}

async function writeRoom(
  ctx: StaffCtx,
  what: Pick<SaveRoomInput, 'siteId' | 'roomId' | 'deed'>,
  field: string,
  previous: FormState,
  form: FormData,
): Promise<FormState> {
  const { timeZone } = (await signedInStaff()).clinic
  const result = await saveRoom(ctx, {
    ...what,
    key: textIn(form, 'commandKey'),
    version: Number(textIn(form, 'siteVersion')),
    isDryRun: false,
    confirmed: marksIn(form),
  })
  if (result.ok) return redirect(`/clinic/places/${what.siteId}?done=room`)
  switch (result.error.code) {
    case 'faults':
      return refuse(previous, form, result.error.faults.map(sayFault))
    case 'sessions_there':
      return refuse(previous, form, sessionsThere(result.error, field))
    default:
      return answerShared(previous, form, result.error, { field, timeZone })
  }
}

/** One line a session: each has to be ended or moved first. */
function sessionsThere({ sessions }: Extract<SaveSiteError, { code: 'sessions_there' }>, field: string): FormError[] {
  return sessions.map(({ ownerName, session, siteName, roomName }) => ({
    field,
    message: `First end or move this session of ${ownerName}: ${sessionWords(session, { site: siteName, room: roomName })}`,
  }))
}

function sayFault(fault: SiteFault | RoomFault): FormError {
  const { field, code } = fault
  const message = {
    required: {
      name: 'Enter the name of the site',
      address: 'Enter the address',
      state: 'Choose the state',
      timeZone: 'Enter the time zone',
      roomName: 'Enter the name of the room',
    }[field],
    too_long: 'This is too long',
    taken: field === 'roomName' ? 'Another room of this site has that name' : 'Another site has that name',
    unknown_zone: 'This is no time zone we know. Write its full name, like America/New_York',
  }[code]
  return { field, message }
}
