/** Whose calendar feeds there are: for whoever arranges all of them, for a clinician their own. */
import { getClinic } from '#db/queries/clinics.ts'
import { listFeeds } from '#db/queries/feeds.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { Ctx } from './context.ts'

/** Instants are ISO text. */
export type Calendars = {
  timeZone: string
  /** Whether the feeds say who comes. */
  patientNames: boolean
  calendars: {
    clinicianId: string
    name: string
    credentials: string
    isOwn: boolean
    feed: { createdAt: string; createdBy: string | null } | null
  }[]
}
export type ReadCalendarsError = { code: 'not_allowed' }

export async function readCalendars(ctx: Ctx): Promise<Result<Calendars, ReadCalendarsError>> {
  const { actor } = ctx
  const { clinicId } = actor
  const own = actor.kind === 'staff' ? actor.clinicianId : null
  const isForAll = may(actor, 'feed.write', { clinicId })
  if (!isForAll && !(own !== null && may(actor, 'feed.write', { clinicId, clinicianId: own })))
    return err({ code: 'not_allowed' })
  const [clinic, rows] = await Promise.all([
    getClinic(ctx.db, clinicId),
    listFeeds(ctx.db, clinicId, isForAll ? null : own),
  ])
  return ok({
    timeZone: clinic.timeZone,
    patientNames: clinic.policy.feeds.patientNames,
    calendars: rows.map(({ clinicianId, name, credentials, createdAt, createdBy }) => ({
      clinicianId,
      name,
      credentials,
      isOwn: clinicianId === own,
      feed: createdAt && { createdAt: createdAt.toString(), createdBy },
    })),
  })
}
