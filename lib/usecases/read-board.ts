/** The readiness board of one day, in the clinic's own zone: a page of its visits with their items, and what the day counts. */
import { z } from 'zod'
import { countByDay, listClosing, listDay, listDetails, listLastChanges } from '#db/queries/board.ts'
import { getClinic } from '#db/queries/clinics.ts'
import { getProtocol } from '#db/queries/protocols.ts'
import { listMarks } from '#db/queries/readiness.ts'
import { invariant } from '#lib/base/invariant.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { Temporal } from '#lib/base/time.ts'
import { may } from '#lib/domain/access/policy.ts'
import { type BoardPage, boardPage, MODES, SHOWS, SORTS } from '#lib/domain/readiness/board-view.ts'
import { type BoardVisit, describeVisit, judgeStored } from '#lib/domain/readiness/board-visit.ts'
import { READINESS_ITEMS } from '#lib/domain/readiness/items.ts'
import { standingOf } from '#lib/domain/readiness/readiness.ts'
import type { Ctx } from './context.ts'

/** Out of an address: whatever is no answer counts as none given. */
export const readBoardInput = z.object({
  /** Null = today. */
  day: z.iso.date().nullable().catch(null),
  show: z.enum(SHOWS).nullable().catch(null),
  clinicianId: z.string().min(1).nullable().catch(null),
  mode: z.enum(MODES).nullable().catch(null),
  missing: z.enum(READINESS_ITEMS).nullable().catch(null),
  sort: z.enum(SORTS).catch('clinician'),
  page: z.coerce.number().int().min(1).catch(1),
})
export type ReadBoardInput = z.output<typeof readBoardInput>

/** `at` is an ISO instant; `by` a name, or what acted by itself. */
export type LastChange = { action: string; at: string; by: string; byKind: string }
export type ShownVisit = BoardVisit & { lastChange: LastChange | null }

export type Board = Omit<BoardPage<unknown>, 'lines'> & {
  /** yyyy-mm-dd in `timeZone`. */
  day: string
  today: string
  timeZone: string
  now: string
  clinicName: string
  emergencyNumber: string
  /** Everybody who has a visit on that day, by name. */
  clinicians: { id: string; name: string; visits: number }[]
  /** Today and the days after it. */
  days: { day: string; visits: number }[]
  visits: ShownVisit[]
}
export type ReadBoardError = { code: 'not_allowed' }

const DAYS_AHEAD = 7

export async function readBoard(ctx: Ctx, input: ReadBoardInput): Promise<Result<Board, ReadBoardError>> {
  const now = ctx.now()
  const { db } = ctx
  const { clinicId } = ctx.actor
  if (!may(ctx.actor, 'board.read')) return err({ code: 'not_allowed' })
  const { name: clinicName, emergencyNumber, timeZone, policy } = await getClinic(db, clinicId)
  const today = now.toZonedDateTimeISO(timeZone).toPlainDate()
  const shown = input.day === null ? today : Temporal.PlainDate.from(input.day)
  const startOf = (day: Temporal.PlainDate) => day.toZonedDateTime(timeZone).toInstant()

  const [stored, byDay] = await Promise.all([
    listDay(db, clinicId, startOf(shown), startOf(shown.add({ days: 1 }))),
    countByDay(db, clinicId, startOf(today), startOf(today.add({ days: DAYS_AHEAD })), timeZone),
  ])
  const marks = await listMarks(
    db,
    clinicId,
    stored.map((visit) => visit.visitId),
  )
  const lines = []
  for (const visit of stored) {
    const protocol = await getProtocol(db, clinicId, visit.protocolId, visit.protocolVersion)
    const items = judgeStored(visit, marks.get(visit.visitId) ?? [], protocol, policy.readiness, now)
    lines.push({ ...visit, items, worst: standingOf(items, visit.hasOpenTask), visit, protocol })
  }
  const { lines: onPage, ...counted } = boardPage(lines, input)

  const ids = onPage.map(({ visitId }) => visitId)
  const referralIds = onPage.map(({ referralId }) => referralId)
  const [details, closing, changes] = await Promise.all([
    listDetails(db, clinicId, ids),
    listClosing(db, clinicId, ids),
    listLastChanges(db, clinicId, referralIds),
  ])
  const visits = onPage.map(({ visit, items, protocol }): ShownVisit => {
    const more = details.get(visit.visitId)
    invariant(more, 'a visit is never deleted')
    const screening = closing.get(visit.visitId) ?? null
    const change = changes.get(visit.referralId)
    return {
      ...describeVisit({ ...visit, ...more, screening }, items, protocol),
      lastChange: change ? { ...change, at: change.at.toString() } : null,
    }
  })
  const ofClinician = Map.groupBy(lines, ({ clinicianId }) => clinicianId)
  return ok({
    ...counted,
    day: shown.toString(),
    today: today.toString(),
    timeZone,
    now: now.toString(),
    clinicName,
    emergencyNumber,
    clinicians: [...ofClinician]
      .map(([id, theirs]) => ({ id, name: theirs[0]?.clinicianName ?? id, visits: theirs.length }))
      .sort((a, b) => a.name.localeCompare(b.name, 'en')),
    days: Array.from({ length: DAYS_AHEAD }, (_, n) => {
      const day = today.add({ days: n }).toString()
      return { day, visits: byDay.get(day) ?? 0 }
    }),
    visits,
  })
}
