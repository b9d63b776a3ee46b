/**
 * Is this visit ready, and if not, who is expected to act? Each item is judged
 * by itself, with who acts and since when; the visit is as ready as its worst
 * item. What was confirmed for another start or an older packet does not count:
 * it has to be said again.
 */
import { Temporal } from '#lib/base/time.ts'
import { type ItemActor, type ItemReadiness, type ItemState, READINESS_ITEMS, type ReadinessItem } from './items.ts'

/** The latest word of a person on an item. */
export type Mark = {
  item: ReadinessItem
  state: 'confirmed' | 'withdrawn'
  at: Temporal.Instant
  /** Start of the visit when it was said. */
  forStartsAt: Temporal.Instant
  /** As it is shown: "patient", or the name of who wrote it down. */
  saidBy: string
}

export type VisitToJudge = {
  mode: 'video' | 'in_person'
  startsAt: Temporal.Instant
  bookedAt: Temporal.Instant
  /** Things the plan uses; none = nothing to fetch. */
  needsEquipment: boolean
  needsHelper: boolean
  needsImage: boolean
  imageReceived: boolean
  needsInterpreter: boolean
  hasInterpreter: boolean
  hasLicence: boolean
  homeCheckInvitedAt: Temporal.Instant | null
  homeCheckFinishedAt: Temporal.Instant | null
  hasPlaceAndContact: boolean
  consentedAt: Temporal.Instant | null
  /** When the newest packet was made; null = none. */
  packetAt: Temporal.Instant | null
  marks: readonly Mark[]
}

export type ReadinessPolicy = { homeCheckFreshDays: number; lateHoursBefore: number }

export type JudgedItem = Omit<ItemReadiness, 'since'> & { since: Temporal.Instant | null }

const HOUR_MS = 3_600_000

/** Every item in its fixed order. */
export function judgeReadiness(visit: VisitToJudge, policy: ReadinessPolicy, now: Temporal.Instant): JudgedItem[] {
  const msLeft = visit.startsAt.epochMilliseconds - now.epochMilliseconds
  const isLate = msLeft <= policy.lateHoursBefore * HOUR_MS
  const open = (actor: ItemActor, since: Temporal.Instant | null): Judged => ({
    state: isLate ? 'late' : 'waiting',
    actor,
    since,
  })
  const judge = judgeFor(visit, policy, open)
  return READINESS_ITEMS.map((item) => {
    const { saidBy = null, ...judged } = judge(item)
    return { item, ...judged, saidBy }
  })
}

/** From worst to best: the visit is as ready as its worst item. */
export const WORST_FIRST: readonly ItemState[] = ['cannot', 'late', 'waiting', 'done', 'not_needed']

export function worstOf(items: readonly { state: ItemState }[]): ItemState {
  return WORST_FIRST.find((state) => items.some((item) => item.state === state)) ?? 'not_needed'
}

/**
 * How a visit stands: as its worst item. While a person still has something to do about its referral, a red flag to call
 * about or a message that did not arrive, it can't go on as it is, however ready its items are.
 */
export function standingOf(items: readonly { state: ItemState }[], hasOpenTask: boolean): ItemState {
  return hasOpenTask ? 'cannot' : worstOf(items)
}

type Judged = { state: ItemState; actor: ItemActor; since: Temporal.Instant | null; saidBy?: string }
type Open = (actor: ItemActor, since: Temporal.Instant | null) => Judged

const NOT_NEEDED: Judged = { state: 'not_needed', actor: 'nobody', since: null }
const done = (since: Temporal.Instant | null): Judged => ({ state: 'done', actor: 'nobody', since })

function judgeFor(visit: VisitToJudge, policy: ReadinessPolicy, open: Open): (item: ReadinessItem) => Judged {
  const { bookedAt, packetAt } = visit
  const isVideo = visit.mode === 'video'
  return (item) => {
    const mark = visit.marks.find((each) => each.item === item)
    switch (item) {
      case 'licence':
        return visit.hasLicence ? done(null) : { state: 'cannot', actor: 'coordinator', since: null }
      case 'interpreter':
        if (!visit.needsInterpreter) return NOT_NEEDED
        return visit.hasInterpreter ? done(bookedAt) : open('coordinator', bookedAt)
      case 'image':
        if (!visit.needsImage) return NOT_NEEDED
        return visit.imageReceived ? done(null) : open('coordinator', bookedAt)
    }
    // Everything else prepares a home.
    if (!isVideo) return NOT_NEEDED
    switch (item) {
      case 'home_check': {
        const finished = visit.homeCheckFinishedAt
        if (finished === null) return open('patient', visit.homeCheckInvitedAt)
        const staleFrom = finished.add({ hours: policy.homeCheckFreshDays * 24 })
        return Temporal.Instant.compare(visit.startsAt, staleFrom) <= 0 ? done(finished) : open('patient', staleFrom)
      }
      case 'equipment':
        if (!visit.needsEquipment) return NOT_NEEDED
        return byMark(mark, 'patient', packetAt ?? bookedAt)
      case 'helper':
        if (!visit.needsHelper) return NOT_NEEDED
        return byMark(mark?.forStartsAt.equals(visit.startsAt) ? mark : undefined, 'helper', bookedAt)
      case 'packet_opened':
        return byMark(mark, 'patient', packetAt ?? bookedAt)
      case 'rehearsal':
        // Offered, never required.
        return mark?.state === 'confirmed' ? done(mark.at) : NOT_NEEDED
      case 'place_and_contact':
        return visit.hasPlaceAndContact ? done(null) : open('patient', bookedAt)
      case 'consent':
        return visit.consentedAt === null ? open('patient', bookedAt) : done(visit.consentedAt)
    }
  }

  function byMark(mark: Mark | undefined, actor: ItemActor, since: Temporal.Instant): Judged {
    if (mark?.state === 'withdrawn')
      return { state: 'cannot', actor: 'coordinator', since: mark.at, saidBy: mark.saidBy }
    const counts = mark !== undefined && Temporal.Instant.compare(mark.at, since) >= 0
    return counts ? { ...done(mark.at), saidBy: mark.saidBy } : open(actor, since)
  }
}
