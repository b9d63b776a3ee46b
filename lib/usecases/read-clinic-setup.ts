/** Who works here and where, and on which days the clinic is closed, for those who keep these lists. */
import { getClinic } from '#db/queries/clinics.ts'
import { type Holiday, listHolidays } from '#db/queries/holidays.ts'
import { type KeptClinician, type KeptInterpreter, listClinicians, listInterpreters } from '#db/queries/people.ts'
import type { KeptSite } from '#db/queries/places.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { type Action, may } from '#lib/domain/access/policy.ts'
import { federalHolidays } from '#lib/domain/calendar/holidays.ts'
import type { Ctx } from './context.ts'
import { readSessions, type SessionLine } from './read-sessions.ts'

export type ReadSetupError = { code: 'not_allowed' }

export type PeopleView = {
  /** yyyy-mm-dd in the clinic's zone. */
  today: string
  timeZone: string
  clinicians: (KeptClinician & { sessions: SessionLine[] })[]
  interpreters: (KeptInterpreter & { sessions: SessionLine[] })[]
}

/** Everybody who works here or did, with their sessions. */
export async function readPeople(ctx: Ctx): Promise<Result<PeopleView, ReadSetupError>> {
  const refused = refusal(ctx, 'people.write')
  if (refused) return refused
  const { clinicId } = ctx.actor
  const [{ today, timeZone, sessions }, clinicians, interpreters] = await Promise.all([
    readSessions(ctx),
    listClinicians(ctx.db, clinicId),
    listInterpreters(ctx.db, clinicId),
  ])
  const sessionsOf = Map.groupBy(sessions, ({ session: { owner } }) => `${owner.kind} ${owner.id}`)
  return ok({
    today,
    timeZone,
    clinicians: clinicians.map((one) => ({ ...one, sessions: sessionsOf.get(`clinician ${one.id}`) ?? [] })),
    interpreters: interpreters.map((one) => ({ ...one, sessions: sessionsOf.get(`interpreter ${one.id}`) ?? [] })),
  })
}

export type PlacesView = { timeZone: string; sites: (KeptSite & { sessionCount: number })[] }

/** Every site with its rooms, also those that were given up. */
export async function readPlaces(ctx: Ctx): Promise<Result<PlacesView, ReadSetupError>> {
  const refused = refusal(ctx, 'place.write')
  if (refused) return refused
  const { timeZone, sessions, sites } = await readSessions(ctx)
  return ok({
    timeZone,
    sites: sites.map((site) => ({
      ...site,
      sessionCount: sessions.filter(({ session, standing }) => session.siteId === site.id && standing !== 'ended')
        .length,
    })),
  })
}

export type HolidaysView = {
  year: number
  thisYear: number
  days: Holiday[]
  /** How many days each other year has. */
  years: { year: number; count: number }[]
  /** Federal holidays of the year that are not on the list, by the day on which they are observed. */
  offered: Holiday[]
}

/** The days of one year; without a year, of this one. */
export async function readHolidays(
  ctx: Ctx,
  { year: asked }: { year: number | null },
): Promise<Result<HolidaysView, ReadSetupError>> {
  const refused = refusal(ctx, 'place.write')
  if (refused) return refused
  const { clinicId } = ctx.actor
  const { timeZone } = await getClinic(ctx.db, clinicId)
  const thisYear = ctx.now().toZonedDateTimeISO(timeZone).year
  const year = asked ?? thisYear
  const all = await listHolidays(ctx.db, clinicId)
  const yearOf = ({ onDate }: Holiday) => Number(onDate.slice(0, 4))
  const counts = Map.groupBy(all, yearOf)
  const around = new Set([...counts.keys(), thisYear, thisYear + 1, thisYear + 2, year])
  // New Year's Day of the next year may be kept on the last day of this one.
  const federal = [...federalHolidays(year), ...federalHolidays(year + 1)]
    .map(({ observed, name }) => ({ onDate: observed, name }))
    .filter((day) => yearOf(day) === year)
  return ok({
    year,
    thisYear,
    days: all.filter((day) => yearOf(day) === year),
    years: [...around].sort((a, b) => a - b).map((each) => ({ year: each, count: counts.get(each)?.length ?? 0 })),
    offered: federal.filter(({ onDate }) => !all.some((day) => day.onDate === onDate)),
  })
}

function refusal(ctx: Ctx, action: Action): Result<never, ReadSetupError> | null {
  return may(ctx.actor, action, { clinicId: ctx.actor.clinicId }) ? null : err({ code: 'not_allowed' })
}
