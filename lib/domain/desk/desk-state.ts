/** What the desk needs to know of one referral to say what happens next, from what is on file. */
import type { Temporal } from '#lib/base/time.ts'
import { missingFrom } from '../intake/referral-draft.ts'
import type { ClinicPolicy } from '../policy/clinic-policy.ts'
import type { Side } from '../protocol/schema.ts'
import type { Disposition } from '../screening/screening.ts'
import type { DeskState } from './next-step.ts'
import type { Stage, TaskKind } from './stages.ts'

export type OnFile = {
  id: string
  birthDate: string | null
  phone: string | null
  email: string | null
  state: string | null
  timeZone: string | null
  stage: Stage
  side: Side | null
  seeBy: Temporal.Instant | null
  receivedAt: Temporal.Instant
  placeState: string | null
  placeTimeZone: string | null
  invitedAt: Temporal.Instant | null
  startedAt: Temporal.Instant | null
  finishedAt: Temporal.Instant | null
  disposition: Disposition | null
  overruledTo: Disposition | null
  openTasks: readonly TaskKind[]
  visitMode: 'video' | 'in_person' | null
  visitStatus: 'held' | 'booked' | null
}

/** Silence is counted from the last thing the patient was sent or began, in days on the clinic's policy. */
export function deskState(file: OnFile, policy: Pick<ClinicPolicy, 'messages'>): DeskState {
  const lastHeard = file.startedAt ?? file.invitedAt
  const { visitMode, visitStatus } = file
  return {
    referralId: file.id,
    stage: file.stage,
    // The home check asks where the patient will be; that counts as told.
    missing: missingFrom({
      ...file,
      state: file.placeState ?? file.state,
      timeZone: file.placeTimeZone ?? file.timeZone,
    }),
    openTasks: file.openTasks,
    homeCheck: file.finishedAt ? 'finished' : file.startedAt ? 'started' : file.invitedAt ? 'invited' : 'not_invited',
    chaseAt: lastHeard?.add({ hours: policy.messages.phoneAfterDays * 24 }).toString() ?? null,
    disposition: file.overruledTo ?? file.disposition,
    visit: visitMode !== null && visitStatus !== null ? { mode: visitMode, status: visitStatus } : null,
    seeBy: file.seeBy?.toString() ?? null,
    receivedAt: file.receivedAt.toString(),
  }
}
