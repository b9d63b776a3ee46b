/** Adds a room to a site, renames one, gives one up or takes one back. */
import { recordAudit } from '#db/queries/audit.ts'
import { findSite, writeRoom } from '#db/queries/places.ts'
import { type KeptSession, listSessions } from '#db/queries/sessions.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import { type RoomFault, readRoomName } from '#lib/domain/staffing/site-draft.ts'
import type { Ctx } from './context.ts'
import { once, type Repeated } from './once.ts'
import { type Confirmation, changeClinic, type NotSavedYet } from './steps/change-clinic.ts'
import { isStillKept } from './steps/is-still-kept.ts'

export type SaveRoomInput = Confirmation & {
  key: string
  siteId: string
  /** The site's version that was on the page. */
  version: number
  /** Null = a new one. */
  roomId: string | null
  deed: { kind: 'name'; name: string } | { kind: 'give_up' } | { kind: 'take_back' }
}
export type SavedRoom = { roomId: string; version: number }
type Refusal =
  | { code: 'not_allowed' }
  | { code: 'not_found' }
  | { code: 'changed_meanwhile' }
  | { code: 'faults'; faults: RoomFault[] }
  /** Sessions that keep to this room. */
  | { code: 'sessions_there'; sessions: KeptSession[] }
export type SaveRoomError = Refusal | NotSavedYet | Repeated

export async function saveRoom(ctx: Ctx, input: SaveRoomInput): Promise<Result<SavedRoom, SaveRoomError>> {
  const now = ctx.now()
  const { key, siteId, version, deed } = input
  const { clinicId } = ctx.actor
  if (!may(ctx.actor, 'place.write', { clinicId })) return err({ code: 'not_allowed' })
  const roomId = input.roomId ?? ctx.newId('roo')

  return once<SavedRoom, Refusal | NotSavedYet>(ctx, { key, kind: 'save_room' }, (tx) =>
    changeClinic<SavedRoom, Refusal>(tx, ctx, { roomIds: [roomId] }, input, async () => {
      const site = await findSite(tx, clinicId, siteId)
      const kept = site?.rooms.find(({ id }) => id === roomId) ?? null
      if (!site || (input.roomId !== null && !kept)) return err({ code: 'not_found' })
      if (site.version !== version) return err({ code: 'changed_meanwhile' })
      const others = site.rooms.filter(({ id }) => id !== roomId).map(({ name }) => name)
      const read = deed.kind === 'name' ? readRoomName(deed.name, others) : null
      if (read && !read.ok) return err({ code: 'faults', faults: read.error })
      const name = read?.value ?? kept?.name
      if (name === undefined) return err({ code: 'not_found' })
      if (deed.kind === 'give_up') {
        const sessions = (await listSessions(tx, clinicId, null)).filter(
          (each) => each.session.roomId === roomId && isStillKept(each, now),
        )
        if (sessions.length > 0) return err({ code: 'sessions_there', sessions })
      }
      const isActive = deed.kind === 'give_up' ? false : deed.kind === 'take_back' ? true : (kept?.isActive ?? true)
      await writeRoom(tx, clinicId, siteId, { id: roomId, name, isActive })
      const done = { name: kept ? 'renamed' : 'added', give_up: 'given_up', take_back: 'taken_back' }[deed.kind]
      await recordAudit(tx, {
        id: ctx.newId('aud'),
        at: now,
        actor: ctx.actor,
        action: `room.${done}`,
        subject: roomId,
        before: kept,
        after: { id: roomId, siteId, name, isActive },
      })
      return ok({ roomId, version: version + 1 })
    }),
  )
}
