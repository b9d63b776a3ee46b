/** Adds a site, changes one, gives one up or takes one back. A site with sessions in it is not given up over their heads. */
import { recordAudit } from '#db/queries/audit.ts'
import { findSite, listSites, writeSite } from '#db/queries/places.ts'
import { type KeptSession, listSessions } from '#db/queries/sessions.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import { readSite, type SiteDraft, type SiteFault } from '#lib/domain/staffing/site-draft.ts'
import type { Ctx } from './context.ts'
import { once, type Repeated } from './once.ts'
import { type Confirmation, changeClinic, type NotSavedYet } from './steps/change-clinic.ts'
import { isStillKept } from './steps/is-still-kept.ts'

export type SaveSiteInput = Confirmation & {
  key: string
  /** Null = a new one. */
  siteId: string | null
  /** The version that was on the page; null with a new one. */
  version: number | null
  deed: { kind: 'write'; raw: SiteDraft } | { kind: 'give_up' } | { kind: 'take_back' }
}
export type SavedSite = { siteId: string; version: number }
type Refusal =
  | { code: 'not_allowed' }
  | { code: 'not_found' }
  | { code: 'changed_meanwhile' }
  | { code: 'faults'; faults: SiteFault[] }
  /** Sessions that still open there. */
  | { code: 'sessions_there'; sessions: KeptSession[] }
export type SaveSiteError = Refusal | NotSavedYet | Repeated

export async function saveSite(ctx: Ctx, input: SaveSiteInput): Promise<Result<SavedSite, SaveSiteError>> {
  const now = ctx.now()
  const { key, deed } = input
  const { clinicId } = ctx.actor
  if (!may(ctx.actor, 'place.write', { clinicId })) return err({ code: 'not_allowed' })
  const siteId = input.siteId ?? ctx.newId('sit')

  return once<SavedSite, Refusal | NotSavedYet>(ctx, { key, kind: 'save_site' }, async (tx) => {
    const roomIds = (await findSite(tx, clinicId, siteId))?.rooms.map(({ id }) => id) ?? []
    return changeClinic<SavedSite, Refusal>(tx, ctx, { roomIds }, input, async () => {
      // Read again with the calendar locked: of two changes at once the second must see the first.
      const kept = input.siteId === null ? null : await findSite(tx, clinicId, siteId)
      if (input.siteId !== null && !kept) return err({ code: 'not_found' })
      if (kept && kept.version !== input.version) return err({ code: 'changed_meanwhile' })
      const others = (await listSites(tx, clinicId)).filter(({ id }) => id !== siteId)
      const read =
        deed.kind === 'write'
          ? readSite(
              deed.raw,
              others.map(({ name }) => name),
            )
          : null
      if (read && !read.ok) return err({ code: 'faults', faults: read.error })
      const details = read?.value ?? kept
      if (!details) return err({ code: 'not_found' })
      if (deed.kind === 'give_up') {
        const sessions = (await listSessions(tx, clinicId, null)).filter(
          (each) => each.session.siteId === siteId && isStillKept(each, now),
        )
        if (sessions.length > 0) return err({ code: 'sessions_there', sessions })
      }
      const isActive = deed.kind === 'give_up' ? false : deed.kind === 'take_back' ? true : (kept?.isActive ?? true)
      const { name, address, state, timeZone } = details
      const site = { name, address, state, timeZone, isActive }
      await writeSite(tx, clinicId, { id: siteId, ...site })
      const done = { write: kept ? 'changed' : 'added', give_up: 'given_up', take_back: 'taken_back' }[deed.kind]
      await recordAudit(tx, {
        id: ctx.newId('aud'),
        at: now,
        actor: ctx.actor,
        action: `site.${done}`,
        subject: siteId,
        before: kept && {
          name: kept.name,
          address: kept.address,
          state: kept.state,
          timeZone: kept.timeZone,
          isActive: kept.isActive,
        },
        after: site,
      })
      return ok({ siteId, version: (kept?.version ?? 0) + 1 })
    })
  })
}
