/**
 * Closes a lost session and moves its visits as they were approved: all of it or nothing. If the world has moved on since
 * it was looked at (a visit was moved or cancelled, a start was taken), nothing happens and whoever approved it is told what.
 */
import { z } from 'zod'
import type { Db } from '#db/client.ts'
import { lockCalendar, lockVisitsAtStake, type VisitAtStake } from '#db/queries/at-stake.ts'
import { recordAudit } from '#db/queries/audit.ts'
import { findBookingCase } from '#db/queries/booking-case.ts'
import { listSiteOfRooms, parkVisits, placeParked } from '#db/queries/lost-session.ts'
import { findSession, type KeptSession, updateSession, writeException } from '#db/queries/sessions.ts'
import { findOfferOfHold, findTakenStart } from '#db/queries/standby.ts'
import { findReferralOfVisit, queueFor, releaseHeldVisit } from '#db/queries/visits.ts'
import { invariant } from '#lib/base/invariant.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { BookingCase, Claim } from '#lib/domain/booking/booking-case.ts'
import { messagesForNewPacket } from '#lib/domain/messages/schedule.ts'
import { type LostTime, withoutLost } from '#lib/domain/replacement/lost-time.ts'
import type { Ctx } from './context.ts'
import { once, type Repeated } from './once.ts'
import { lostTimeInput } from './plan-replacement.ts'
import { strandedKey } from './steps/change-clinic.ts'
import {
  askedStartInput,
  type ClaimRefusal,
  claimStart,
  RACE_LOST,
  type ReadyClaim,
  setAside,
} from './steps/claim-start.ts'
import { freeTime, settleOffer } from './steps/free-time.ts'
import { type LostVisit, lostVisits } from './steps/lost-visits.ts'
import { openTask } from './steps/open-task.ts'
import { prepareVisit } from './steps/prepare-visit.ts'
import { queueMessages } from './steps/queue-messages.ts'
import { revisePacket } from './steps/revise-packet.ts'

export const becauseInput = z.string().trim().min(3).max(300)

export const replaceVisitsInput = z.object({
  key: z.string().min(8),
  sessionId: z.string(),
  /** The version that was on the page. */
  version: z.coerce.number().int(),
  lost: lostTimeInput,
  because: becauseInput,
  /** Every visit that was on the page, as it was then. Start null = it stays where it is, and somebody calls. */
  visits: z.array(
    z.object({ visitId: z.string(), version: z.coerce.number().int(), start: askedStartInput.nullable() }),
  ),
})
export type ReplaceVisitsInput = z.output<typeof replaceVisitsInput>

export type ReplacedVisits = { sessionId: string; moved: number; byPhone: number }

/** What is no longer as it was shown. */
export type WorldChange = {
  visitId: string
  patientName: string | null
  what: 'new' | 'gone' | 'changed' | 'start_taken' | 'start_refused' | 'not_possible'
}
type Refusal =
  | { code: 'session_not_found' }
  /** The session was changed since it was looked at, perhaps by the same approval sent from two windows. */
  | { code: 'changed_meanwhile' }
  | { code: 'world_moved'; changes: WorldChange[] }
export type ReplaceVisitsError = Refusal | Repeated

const RACED = Object.fromEntries(
  Object.keys(RACE_LOST).map((constraint) => [constraint, { code: 'world_moved', changes: [] } satisfies Refusal]),
)

/** Carries out what was approved, in one transaction. */
export async function replaceVisits(
  ctx: Ctx,
  input: ReplaceVisitsInput,
): Promise<Result<ReplacedVisits, ReplaceVisitsError>> {
  const now = ctx.now()
  const { key, sessionId, version, lost, because } = input
  const { clinicId } = ctx.actor
  if (!may(ctx.actor, 'session.lose', { clinicId })) return err({ code: 'session_not_found' })

  return once<ReplacedVisits, Refusal>(
    ctx,
    { key, kind: 'replace_visits' },
    async (tx) => {
      const cases = await lockCases(tx, clinicId, input)
      const kept = await lockSession(tx, clinicId, sessionId, input)
      if (!kept) return err({ code: 'session_not_found' })
      if (kept.version !== version) return err({ code: 'changed_meanwhile' })
      const { owner } = kept.session
      const concerned = owner.kind === 'clinician' ? { clinicianId: owner.id } : { interpreterId: owner.id }
      const atStake = await lockVisitsAtStake(tx, clinicId, concerned, now)
      const gone = await lostVisits(tx, clinicId, kept, lost, atStake, now)
      const booked = gone.filter(({ status }) => status === 'booked')
      const changes = compare(input, booked, atStake)
      if (changes.length > 0) return err({ code: 'world_moved', changes })

      await close(tx, ctx, kept, input)
      for (const { visitId } of gone.filter(({ status }) => status === 'held')) {
        const offer = await findOfferOfHold(tx, clinicId, visitId)
        if (offer) await settleOffer(tx, ctx, offer, 'withdrawn')
        else await releaseHeldVisit(tx, clinicId, visitId, now)
      }
      const moving = input.visits.filter(({ start }) => start !== null)
      await parkVisits(
        tx,
        clinicId,
        moving.map(({ visitId }) => visitId),
      )
      const refused: WorldChange[] = []
      for (const { visitId, start } of moving) {
        const visit = booked.find((each) => each.visitId === visitId)
        const bookingCase = cases.get(visitId)
        invariant(visit && bookingCase && start, 'every visit that moves was found')
        const claim = claimOf(bookingCase, visitId)
        if (!claim) return err({ code: 'world_moved', changes: [changeOf(visit, 'changed')] })
        const asked = { ...start, released: ['after_see_by' as const], because }
        const ready = await claimStart(tx, ctx, bookingCase, asked, { now, asOf: now, keep: null, moving: claim })
        if (!ready.ok) refused.push(changeOf(visit, whatOf(ready.error)))
        else {
          const old = await findTakenStart(tx, clinicId, visitId)
          await place(tx, ctx, bookingCase, claim, ready.value, sessionId)
          // A clinician whose visit lost its interpreter is there all the same.
          if (old && owner.kind === 'interpreter')
            await freeTime(tx, ctx, { clinicianId: old.clinicianId, from: old.busyFrom, to: old.busyTo })
        }
      }
      if (refused.length > 0) return err({ code: 'world_moved', changes: refused })

      const left = booked.filter(({ visitId }) => !moving.some((each) => each.visitId === visitId))
      for (const { visitId, referralId, startsAt, losses } of left) {
        await openTask(tx, ctx, {
          referralId,
          kind: 'stranded',
          dedupeKey: strandedKey(visitId),
          detail: { visitId, sessionId, reasons: losses },
          dueAt: startsAt,
        })
      }
      const done: ReplacedVisits = { sessionId, moved: moving.length, byPhone: left.length }
      await recordAudit(tx, {
        id: ctx.newId('aud'),
        at: now,
        actor: ctx.actor,
        action: 'session.lost',
        subject: sessionId,
        after: { ...lost, because, moved: done.moved, byPhone: left.map(({ visitId }) => visitId) },
      })
      return ok(done)
    },
    RACED,
  )
}

/** Referrals first, in one order, as every command on a visit does. */
async function lockCases(
  tx: Db,
  clinicId: string,
  { visits }: ReplaceVisitsInput,
): Promise<ReadonlyMap<string, BookingCase>> {
  const cases = new Map<string, BookingCase>()
  const whose: { visitId: string; referralId: string }[] = []
  for (const { visitId } of visits) {
    const found = await findReferralOfVisit(tx, clinicId, visitId)
    if (found) whose.push({ visitId, referralId: found.referralId })
  }
  for (const { visitId, referralId } of whose.toSorted((a, b) => (a.referralId < b.referralId ? -1 : 1))) {
    const bookingCase = await findBookingCase(tx, clinicId, referralId, { lock: true })
    if (bookingCase) cases.set(visitId, bookingCase)
  }
  return cases
}

/** Then everybody the visits go to or come from: clinicians, interpreters, rooms, each in one order. */
async function lockSession(
  tx: Db,
  clinicId: string,
  sessionId: string,
  { visits }: ReplaceVisitsInput,
): Promise<KeptSession | null> {
  await lockCalendar(tx, clinicId, 'everybody')
  const kept = await findSession(tx, clinicId, sessionId)
  if (!kept) return null
  const { owner } = kept.session
  const wanted = visits.flatMap(({ start }) => (start ? [start] : []))
  const sorted = (ids: readonly (string | null)[]) => [...new Set(ids)].sort()
  const interpreters = wanted.map(({ interpreterId }) => interpreterId)
  for (const id of sorted([...interpreters, owner.kind === 'interpreter' ? owner.id : null]))
    await queueFor(tx, clinicId, 'interpreter', id)
  for (const id of sorted(wanted.map(({ roomId }) => roomId))) await queueFor(tx, clinicId, 'room', id)
  return findSession(tx, clinicId, sessionId)
}

/** What was on the page against what is there now. */
function compare(
  { visits }: ReplaceVisitsInput,
  booked: readonly LostVisit[],
  atStake: readonly VisitAtStake[],
): WorldChange[] {
  const shown = new Map(visits.map((visit) => [visit.visitId, visit.version]))
  const now = new Map(booked.map((visit) => [visit.visitId, visit]))
  return [
    ...booked.filter(({ visitId }) => !shown.has(visitId)).map((visit) => changeOf(visit, 'new')),
    ...booked
      .filter(({ visitId, version }) => shown.has(visitId) && shown.get(visitId) !== version)
      .map((visit) => changeOf(visit, 'changed')),
    ...[...shown.keys()]
      .filter((visitId) => !now.has(visitId))
      .map((visitId): WorldChange => {
        const patientName = atStake.find((visit) => visit.visitId === visitId)?.patientName ?? null
        return { visitId, patientName, what: 'gone' }
      }),
  ]
}

function changeOf({ visitId, patientName }: VisitAtStake, what: WorldChange['what']): WorldChange {
  return { visitId, patientName, what }
}

function whatOf({ code }: ClaimRefusal): WorldChange['what'] {
  return code === 'start_taken' || code === 'start_refused' ? code : 'not_possible'
}

function claimOf({ booked, earlyLook }: BookingCase, visitId: string): Claim | null {
  return [booked, earlyLook].find((claim) => claim?.visitId === visitId) ?? null
}

async function close(tx: Db, ctx: Ctx, { session, status }: KeptSession, { lost }: { lost: LostTime }): Promise<void> {
  const { clinicId } = ctx.actor
  const rest = withoutLost(session, lost)
  if (lost.kind === 'opening')
    await writeException(tx, clinicId, session.id, lost.onDate, { kind: 'closed', onDate: lost.onDate })
  await updateSession(tx, clinicId, rest ?? session, rest === null ? 'ended' : status)
}

/** Writes one visit where it goes. News for the patient is a time, a place or a way to be seen that is another. */
async function place(
  tx: Db,
  ctx: Ctx,
  bookingCase: BookingCase,
  was: Claim,
  ready: ReadyClaim,
  lostSessionId: string,
): Promise<void> {
  const now = ctx.now()
  const { clinicId, referralId } = bookingCase
  const { start, preparation, clinic } = ready
  const { visitId } = was
  const sites = await listSiteOfRooms(tx, clinicId)
  const siteOf = (roomId: string | null) => (roomId === null ? null : (sites.get(roomId) ?? null))
  const isNews =
    !start.startsAt.equals(was.startsAt) ||
    !start.endsAt.equals(was.endsAt) ||
    start.mode !== was.mode ||
    siteOf(start.roomId) !== siteOf(was.roomId)
  await placeParked(tx, clinicId, visitId, { start, preparation, isNews, at: now })
  await recordAudit(tx, {
    id: ctx.newId('aud'),
    at: now,
    actor: ctx.actor,
    action: 'visit.moved',
    subject: visitId,
    referralId,
    before: { startsAt: was.startsAt.toString(), clinicianId: was.clinicianId, mode: was.mode },
    after: {
      visitId,
      startsAt: start.startsAt.toString(),
      mode: start.mode,
      clinicianId: start.clinicianId,
      ...setAside(preparation),
      lostSessionId,
    },
  })
  const calendarSequence = was.calendarSequence + (isNews ? 1 : 0)
  const visit = { id: visitId, referralId, startsAt: start.startsAt, calendarSequence }
  if (!isNews && start.mode === 'video') {
    const packet = await revisePacket(tx, ctx, clinic, visitId)
    const timing = { policy: clinic.policy, zone: preparation.patientTimeZone, now }
    if (packet?.isNew)
      await queueMessages(tx, ctx, messagesForNewPacket({ visit, revision: packet.revision, ...timing }))
  }
  await prepareVisit(tx, ctx, bookingCase, visit, ready, now)
}
