/**
 * The clinician signs: the record is locked, what was planned and not reached is written down, the visit is over, and how
 * it goes on is decided and arranged. Nothing closes without a word.
 */
import { z } from 'zod'
import type { Db } from '#db/client.ts'
import { recordAudit } from '#db/queries/audit.ts'
import { type Clinic, getClinic } from '#db/queries/clinics.ts'
import { endVisit, insertUndone, listChecks, listStationRows, updateRecord } from '#db/queries/outcomes.ts'
import { getProtocol } from '#db/queries/protocols.ts'
import { listVisitsOf } from '#db/queries/referrals.ts'
import { findReferralOfVisit } from '#db/queries/visits.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { Temporal } from '#lib/base/time.ts'
import { may } from '#lib/domain/access/policy.ts'
import { FOLLOW_UPS_AFTER, followUpLimit } from '#lib/domain/outcomes/next-step.ts'
import { type LeftOver, leftOver, openChecks, openTurns, revisionOf } from '#lib/domain/outcomes/record.ts'
import { CHECK_WORDS, FOLLOW_UPS, VISIT_OUTCOMES } from '#lib/domain/outcomes/vocabulary.ts'
import type { StoredVisit } from '#lib/domain/readiness/board-visit.ts'
import type { Ctx } from './context.ts'
import { once, type Repeated } from './once.ts'
import { arrangeFollowUp } from './steps/arrange-follow-up.ts'
import { type NotOpen, openToWrite } from './steps/open-to-write.ts'

export const signVisitInput = z.object({
  key: z.string().min(8),
  visitId: z.string(),
  /** `revisionOf` what was on the page: nobody signs what they have not seen. */
  revision: z.coerce.number().int().min(0),
  outcome: z.enum(VISIT_OUTCOMES).exclude(['no_show']),
  note: z.string().trim().max(5000),
  /** Whoever completes a visit says so when something planned was left out. */
  isRestNotDone: z.boolean(),
  followUp: z.object({
    kind: z.enum(FOLLOW_UPS),
    stations: z.array(z.string()).max(60),
    /** yyyy-mm-dd in the clinic's zone. */
    seeByOn: z.iso.date().nullable(),
    because: z.string().trim().max(1000),
  }),
})
export type SignVisitInput = z.output<typeof signVisitInput>

export type SignedVisit = { visitId: string; referralId: string; followUpReferralId: string | null }
export type SignFault = {
  field: 'outcome' | 'rest' | 'followUp' | 'stations' | 'seeByOn' | 'because' | 'note'
  message: string
}
type Refusal = NotOpen | { code: 'changed_meanwhile' } | { code: 'refused'; faults: SignFault[] }
export type SignVisitError = Refusal | Repeated

export async function signVisit(ctx: Ctx, input: SignVisitInput): Promise<Result<SignedVisit, SignVisitError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  const { key, visitId } = input
  const whose = await findReferralOfVisit(ctx.db, clinicId, visitId)
  if (!whose || !may(ctx.actor, 'outcome.write', { clinicId, ...whose })) return err({ code: 'visit_not_found' })

  const sign = async (tx: Db): Promise<Result<SignedVisit, Refusal>> => {
    const opened = await openToWrite(tx, ctx, visitId)
    if (!opened.ok) return opened
    const { visit, record } = opened.value
    const checks = await listChecks(tx, clinicId, visitId)
    const rows = await listStationRows(tx, clinicId, visitId)
    const isSeen = input.revision === revisionOf({ checks, stations: rows, isStopped: record.stoppedAt !== null })
    if (!isSeen) return err({ code: 'changed_meanwhile' })

    const clinic = await getClinic(tx, clinicId)
    const open = openTurns(visit.plan, rows)
    const left = leftOver(visit.plan, visit.mode === 'video' ? visit.screening : null, rows)
    const others = await listVisitsOf(tx, clinicId, visit.referralId)
    const hasOtherVisit = others.some(({ id, status }) => id !== visitId && status === 'booked')
    const seeBy = input.followUp.kind === 'in_person' && !hasOtherVisit ? seeByOf(input, clinic) : null
    const faults = faultsOf(input, visit, { clinic, left, open: open.length, seeBy, hasOtherVisit, now })
    if ((record.stoppedAt !== null) !== (input.outcome === 'stopped_for_safety'))
      faults.push({
        field: 'outcome',
        message:
          record.stoppedAt === null
            ? 'Use the stop button of the run sheet first: it tells the desk'
            : 'The visit was stopped for safety, and that stays on record',
      })
    const unchecked = visit.mode === 'video' ? openChecks(checks) : []
    if (unchecked.length > 0)
      faults.push({
        field: 'note',
        message: `Confirm or skip first: ${unchecked.map((item) => CHECK_WORDS[item].toLowerCase()).join(', ')}`,
      })
    if (faults.length > 0) return err({ code: 'refused', faults })

    // Left out by whoever completed the visit, or never reached because it ended before.
    const undone =
      input.outcome === 'completed'
        ? { result: 'not_possible' as const, reason: 'no_time' as const }
        : { result: 'not_reached' as const, reason: null }
    const by = { recordedBy: ctx.actor.id, recordedAt: now }
    await insertUndone(
      tx,
      open.map((turn) => ({ clinicId, visitId, ...turn, ...undone, ...by })),
    )
    const { outcome, note } = input
    await updateRecord(tx, clinicId, visitId, { outcome, note, endedAt: now, signedBy: ctx.actor.id, signedAt: now })
    await endVisit(tx, clinicId, visitId, outcome, now)
    await recordAudit(tx, {
      id: ctx.newId('aud'),
      at: now,
      actor: ctx.actor,
      action: 'visit.signed',
      subject: visitId,
      referralId: visit.referralId,
      after: { outcome, followUp: hasOtherVisit ? 'other_visit' : input.followUp.kind },
    })
    const protocol = await getProtocol(tx, clinicId, visit.protocolId, visit.protocolVersion)
    const { kind, stations, because } = input.followUp
    const followUpReferralId = await arrangeFollowUp(tx, ctx, {
      ...{ visitId, outcome, hasOtherVisit, seeBy },
      referralId: visit.referralId,
      clinicianName: visit.clinicianName,
      visitOn: visit.startsAt.toZonedDateTimeISO(clinic.timeZone).toPlainDate().toString(),
      kind: hasOtherVisit ? 'none' : kind,
      stations: protocol.stations.filter(({ id }) => kind !== 'none' && stations.includes(id)),
      because: hasOtherVisit ? 'The other booked visit stays as it is.' : because || null,
    })
    return ok({ visitId, referralId: visit.referralId, followUpReferralId })
  }
  return once<SignedVisit, Refusal>(ctx, { key, kind: 'sign_visit' }, sign, {
    visit_records_signed_kept: { code: 'signed' },
  })
}

type Known = {
  clinic: Clinic
  left: readonly LeftOver[]
  open: number
  seeBy: Temporal.Instant | null
  hasOtherVisit: boolean
  now: Temporal.Instant
}

function faultsOf(
  { outcome, isRestNotDone, followUp, note }: SignVisitInput,
  visit: StoredVisit,
  { clinic, left, open, seeBy, hasOtherVisit, now }: Known,
): SignFault[] {
  const faults: SignFault[] = []
  const fault = (field: SignFault['field'], message: string) => faults.push({ field, message })
  if (outcome === 'completed' && open > 0 && !isRestNotDone)
    fault('rest', 'Some of what was planned has no entry: record it, or say that there was no time')
  if (outcome !== 'completed' && visit.mode === 'video' && note.length < 3) fault('note', 'Write down what happened')
  if (hasOtherVisit) return faults
  if (!FOLLOW_UPS_AFTER[outcome].includes(followUp.kind))
    fault('followUp', 'After such a visit somebody has to see or call the patient')
  if (followUp.kind === 'none' && followUp.because.length < 3) fault('because', 'Say why nothing more is needed')
  if (followUp.kind !== 'in_person') return faults
  if (followUp.stations.length === 0 && followUp.because.length < 3)
    fault('because', 'Choose what is to be examined, or write it down')
  const limit = followUpLimit(
    outcome,
    left.filter(({ stationId }) => followUp.stations.includes(stationId)),
    now,
    clinic.policy,
    hoursOf(clinic),
  )
  if (seeBy === null) fault('seeByOn', 'Say by which day')
  else if (Temporal.Instant.compare(seeBy, now) <= 0) fault('seeByOn', 'This day is over')
  else if (Temporal.Instant.compare(seeBy, limit) > 0)
    fault(
      'seeByOn',
      `At the latest ${limit.toZonedDateTimeISO(clinic.timeZone).toPlainDate()}: it can be brought forward, not put off`,
    )
  return faults
}

/** The end of the clinic's day on the day that was chosen. */
function seeByOf({ followUp: { seeByOn } }: SignVisitInput, clinic: Clinic): Temporal.Instant | null {
  if (seeByOn === null) return null
  const plainTime = Temporal.PlainTime.from(clinic.policy.closesAt)
  return Temporal.PlainDate.from(seeByOn).toZonedDateTime({ timeZone: clinic.timeZone, plainTime }).toInstant()
}

function hoursOf({ timeZone, policy, holidays }: Clinic) {
  return { timeZone, closesAt: policy.closesAt, holidays }
}
