/**
 * Does a booked visit still have its place in the clinic? After a change to a session, a holiday, a person, a licence or a
 * room, every claim on time is held against the clinic as it is then. What it was booked by (grain, notice, buffers) is
 * not asked again: a promise once made is broken only by what makes it impossible.
 */
import { type Interval, merge } from '../calendar/interval.ts'
import { type ClinicSession, openingsOf } from '../calendar/session.ts'
import { type Licence, speaks, type VisitMode } from '../calendar/supply.ts'
import { DAY_MS, dateOfWall, toWall, zoneClock } from '../calendar/zone-clock.ts'

/** Why a visit has lost its place, gravest first. */
export const LOSSES = [
  'clinician_gone',
  'session_closed',
  'other_mode',
  'other_place',
  'room_gone',
  'no_licence',
  'interpreter_gone',
  'language_gone',
] as const
export type Loss = (typeof LOSSES)[number]

/** A visit that is held or booked. Instants are epoch milliseconds. */
export type ClaimAtStake = {
  visitId: string
  mode: VisitMode
  clinicianId: string
  sessionId: string
  interpreterId: string | null
  roomId: string | null
  start: number
  end: number
  patientTimeZone: string
  /** By video: where the patient will be. */
  placeState: string | null
  /** Language in which the patient needs to be spoken to (BCP 47), by interpreter or clinician; null = any. */
  language: string | null
}

/** What the clinic offers, whoever and whatever is given up included. */
export type ClinicAsItIs = {
  sessions: readonly (ClinicSession & { isPaused: boolean })[]
  holidays: readonly string[]
  /** Whoever works here, with their languages. */
  clinicians: ReadonlyMap<string, readonly string[]>
  interpreters: ReadonlyMap<string, readonly string[]>
  licences: readonly Licence[]
  rooms: ReadonlyMap<string, { siteId: string; state: string; isActive: boolean }>
}

/** What each claim has lost; a claim that has its place is left out. */
export function lossesOf(clinic: ClinicAsItIs, claims: readonly ClaimAtStake[]): ReadonlyMap<string, Loss[]> {
  const lost = new Map<string, Loss[]>()
  if (claims.length === 0) return lost
  const openings = expandAll(clinic, claims)
  for (const claim of claims) {
    const losses = lossesOfOne(clinic, claim, openings)
    if (losses.length > 0) lost.set(claim.visitId, losses)
  }
  return lost
}

/** The claims that lose something by a change which they had before it. */
export function newlyLost(
  before: ReadonlyMap<string, readonly Loss[]>,
  after: ReadonlyMap<string, readonly Loss[]>,
): string[] {
  return [...after].flatMap(([visitId, losses]) =>
    losses.some((loss) => !before.get(visitId)?.includes(loss)) ? [visitId] : [],
  )
}

type Openings = (session: ClinicSession) => readonly Interval[]

function lossesOfOne(clinic: ClinicAsItIs, claim: ClaimAtStake, openings: Openings): Loss[] {
  const clinicianSpeaks = clinic.clinicians.get(claim.clinicianId)
  if (!clinicianSpeaks) return ['clinician_gone']
  const losses: Loss[] = [...sessionLosses(clinic, claim, openings)]
  const room = claim.roomId === null ? undefined : clinic.rooms.get(claim.roomId)
  if (claim.mode === 'in_person' && !room?.isActive) losses.push('room_gone')
  const state = claim.mode === 'video' ? claim.placeState : (room?.state ?? null)
  if (state !== null && !isLicensed(clinic, claim, state)) losses.push('no_licence')
  if (claim.interpreterId !== null && !hasInterpreter(clinic, claim, room?.siteId ?? null, openings))
    losses.push('interpreter_gone')
  const interpreterSpeaks = claim.interpreterId === null ? [] : (clinic.interpreters.get(claim.interpreterId) ?? [])
  if (claim.language !== null && !speaks([...clinicianSpeaks, ...interpreterSpeaks], claim.language))
    losses.push('language_gone')
  return losses
}

/**
 * A visit keeps its place in its own session, also while that is paused (a pause only takes nothing new), or in another
 * one of the same clinician that would take it.
 */
function sessionLosses(clinic: ClinicAsItIs, claim: ClaimAtStake, openings: Openings): Loss[] {
  const candidates = clinic.sessions.filter(
    ({ owner, id, isPaused }) =>
      owner.kind === 'clinician' && owner.id === claim.clinicianId && (id === claim.sessionId || !isPaused),
  )
  const tried = candidates.map((session) => ({ session, losses: lossesIn(clinic, session, claim, openings) }))
  if (tried.some(({ losses }) => losses.length === 0)) return []
  return tried.find(({ session }) => session.id === claim.sessionId)?.losses ?? ['session_closed']
}

function lossesIn(clinic: ClinicAsItIs, session: ClinicSession, claim: ClaimAtStake, openings: Openings): Loss[] {
  if (!openings(session).some((opening) => covers(opening, claim))) return ['session_closed']
  if (session.mode !== 'either' && session.mode !== claim.mode) return ['other_mode']
  if (claim.mode === 'video' || claim.roomId === null) return []
  const isThere = clinic.rooms.get(claim.roomId)?.siteId === session.siteId
  return isThere && (session.roomId === null || session.roomId === claim.roomId) ? [] : ['other_place']
}

/** On the day (or days, over midnight) where the patient is: at home for video, at the site in person. */
function isLicensed(clinic: ClinicAsItIs, claim: ClaimAtStake, state: string): boolean {
  const session = clinic.sessions.find(({ id }) => id === claim.sessionId)
  const zone = claim.mode === 'video' ? claim.patientTimeZone : (session?.timeZone ?? claim.patientTimeZone)
  const clock = zoneClock(zone, claim.start - DAY_MS, claim.end + DAY_MS)
  return [claim.start, claim.end - 1].every((at) => {
    const day = dateOfWall(toWall(clock, at))
    return clinic.licences.some(
      (licence) =>
        licence.clinicianId === claim.clinicianId &&
        licence.state === state &&
        licence.validFrom <= day &&
        (licence.validTo === null || day <= licence.validTo),
    )
  })
}

function hasInterpreter(clinic: ClinicAsItIs, claim: ClaimAtStake, siteId: string | null, openings: Openings): boolean {
  if (claim.interpreterId === null || !clinic.interpreters.has(claim.interpreterId)) return false
  const serving = clinic.sessions.filter(
    ({ owner, mode, siteId: at }) =>
      owner.kind === 'interpreter' &&
      owner.id === claim.interpreterId &&
      (mode === 'either' || mode === claim.mode) &&
      (claim.mode === 'video' || at === null || at === siteId),
  )
  return merge(serving.flatMap(openings)).some((opening) => covers(opening, claim))
}

function covers(opening: Interval, { start, end }: ClaimAtStake): boolean {
  return opening.start <= start && end <= opening.end
}

/** Openings of each session over the days on which there are claims, worked out once each. */
function expandAll(clinic: ClinicAsItIs, claims: readonly ClaimAtStake[]): Openings {
  const from = Math.min(...claims.map(({ start }) => start))
  const to = Math.max(...claims.map(({ end }) => end))
  const holidays = new Set(clinic.holidays)
  const known = new Map<string, readonly Interval[]>()
  return (session) => {
    const already = known.get(session.id)
    if (already) return already
    const clock = zoneClock(session.timeZone, from - 5 * DAY_MS, to + 5 * DAY_MS)
    const openings = openingsOf(session, clock, from, to, holidays)
    known.set(session.id, openings)
    return openings
  }
}
