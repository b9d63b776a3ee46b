/**
 * Who may do what. One written matrix, asked by every use case and walked by the
 * tests. It lists what is allowed; whatever it does not list is refused, so a new
 * action is closed to everybody until someone decides otherwise.
 *
 * Above the matrix stand two rules without exception: nobody acts in another
 * clinic, and a patient sees the one referral their link was made for.
 */
import type { Actor, Role } from './actor.ts'

export const ACTIONS = [
  'referral.read',
  'referral.add',
  'referral.import',
  'referral.close',
  'patient.edit',
  'match.decide',
  'triage.write',
  'check.invite',
  'check.answer',
  'screening.read',
  'screening.overrule',
  'slot.search',
  'visit.read',
  'visit.book',
  'visit.move',
  'visit.cancel',
  'packet.read',
  'outcome.write',
  'no_show.write',
  'readiness.confirm',
  'missing.send',
  'plan.adjust',
  'change.report',
  'task.acknowledge',
  'board.read',
  'tray.read',
  'session.write',
  'session.lose',
  'standby.read',
  'standby.write',
  'offer.answer',
  'people.write',
  'account.write',
  'passphrase.write',
  'feed.write',
  'waits.read',
  'learning.read',
  'learning.review',
  'place.write',
  'protocol.read',
  'protocol.write',
  'protocol.sign',
  'audit.read',
] as const
export type Action = (typeof ACTIONS)[number]

/**
 * clinic: anything of the actor's clinic. own_list: only where the target's
 * clinician is the actor. own_referral: only the referral of the patient's link.
 */
export type Scope = 'clinic' | 'own_list' | 'own_referral' | 'never'

export type Party = Role | 'patient' | 'system'
export const PARTIES = [
  'coordinator',
  'clinician',
  'lead',
  'admin',
  'patient',
  'system',
] as const satisfies readonly Party[]

export type Target = { clinicId: string; referralId?: string; clinicianId?: string | null }

type Row = Partial<Record<Party, Exclude<Scope, 'never'>>>

const staffWhoTreat = { coordinator: 'clinic', clinician: 'clinic', lead: 'clinic' } as const satisfies Row

const ALLOWED: Record<Action, Row> = {
  // Everybody who treats or arranges needs the whole picture: colleagues stand in for each other. An admin keeps
  // accounts and needs no patient's record (HIPAA 45 CFR 164.502(b), minimum necessary). A patient sees their own.
  'referral.read': { ...staffWhoTreat, patient: 'own_referral', system: 'clinic' },
  'screening.read': { ...staffWhoTreat, patient: 'own_referral', system: 'clinic' },
  'visit.read': { ...staffWhoTreat, patient: 'own_referral', system: 'clinic' },
  'packet.read': { ...staffWhoTreat, patient: 'own_referral', system: 'clinic' },
  'board.read': staffWhoTreat,

  // Bringing referrals in is the coordinator's desk; the seed does it for the demo clinic. A clinician or lead may type
  // one in (a colleague phones), but a file of many belongs to the person who then has to sort them.
  'referral.add': { ...staffWhoTreat, system: 'clinic' },
  'referral.import': { coordinator: 'clinic', system: 'clinic' },
  'referral.close': staffWhoTreat,
  // "Is this the same person?" joins two records. A person answers it, never the system.
  'match.decide': { coordinator: 'clinic', lead: 'clinic' },
  'patient.edit': { coordinator: 'clinic', lead: 'clinic' },

  // Triage writes down what the referral says, by rule; it may only raise urgency. Clinicians correct it when they read it.
  'triage.write': { ...staffWhoTreat, system: 'clinic' },
  'check.invite': { coordinator: 'clinic', lead: 'clinic', system: 'clinic' },
  // By the patient on their phone, or by staff with the patient on the line.
  'check.answer': { ...staffWhoTreat, patient: 'own_referral', system: 'clinic' },
  // Setting the engine's answer aside is a clinical judgement or, from the coordinator, a safer choice with a reason on
  // file; the engine's answer stays beside it. Never the system, never the patient.
  'screening.overrule': staffWhoTreat,

  'slot.search': { ...staffWhoTreat, patient: 'own_referral', system: 'clinic' },
  'visit.book': { coordinator: 'clinic', lead: 'clinic', patient: 'own_referral', system: 'clinic' },
  'visit.move': { coordinator: 'clinic', lead: 'clinic', patient: 'own_referral' },
  // A clinician who falls ill must be able to stop the visits of their own list when no coordinator is there.
  'visit.cancel': { coordinator: 'clinic', clinician: 'own_list', lead: 'clinic', patient: 'own_referral' },
  // What was found is said by whoever examined, or by the lead. The seed shows records that clinicians would have made.
  'outcome.write': { clinician: 'own_list', lead: 'clinic', system: 'clinic' },
  // That nobody came, the desk can see as well.
  'no_show.write': { coordinator: 'clinic', clinician: 'own_list', lead: 'clinic', system: 'clinic' },
  // The worker never confirms anything on a person's behalf; the seed shows marks that people would have made.
  'readiness.confirm': { ...staffWhoTreat, patient: 'own_referral', system: 'clinic' },
  // Asking once more for what is missing: whoever looks at the board, never the system on its own beside its reminders.
  'missing.send': staffWhoTreat,
  // Which stations are done and how is a clinical judgement, within what is safe at this home.
  'plan.adjust': { clinician: 'clinic', lead: 'clinic' },
  'change.report': { ...staffWhoTreat, patient: 'own_referral', system: 'clinic' },
  // Behind an emergency task stands a phone call. Only a person who made it may say that it was made.
  'task.acknowledge': staffWhoTreat,

  // The tray shows what was sent: the coordinator answers questions about it, the admin sees that sending works.
  'tray.read': { coordinator: 'clinic', lead: 'clinic', admin: 'clinic' },
  // When people work: the coordinator keeps the calendar, clinicians may keep their own sessions.
  'session.write': { coordinator: 'clinic', clinician: 'own_list', lead: 'clinic', admin: 'clinic', system: 'clinic' },
  // A lost session moves many patients at once: by whoever may move each of them.
  'session.lose': { coordinator: 'clinic', lead: 'clinic' },
  // Who waits for a sooner start. Patients put themselves on and off the list, and answer what they are offered; the
  // system offers and lets offers run out, but never accepts for anybody.
  'standby.read': staffWhoTreat,
  'standby.write': { coordinator: 'clinic', lead: 'clinic', patient: 'own_referral', system: 'clinic' },
  'offer.answer': { coordinator: 'clinic', lead: 'clinic', patient: 'own_referral' },
  // Who works here and where: people with their licences, sites, rooms and the days on which the clinic is closed.
  // A clinician's calendar is read by whoever has its address, so who may make one is who may see that list of visits; an
  // admin helps colleagues to set theirs up, and it names no patient unless the clinic decided so.
  'feed.write': { coordinator: 'clinic', clinician: 'own_list', lead: 'clinic', admin: 'clinic' },
  // How long patients wait names none of them.
  'waits.read': { coordinator: 'clinic', clinician: 'clinic', lead: 'clinic', admin: 'clinic' },
  // Counts of what happened name no patient; whoever arranges, treats or keeps the clinic may learn from them.
  'learning.read': { ...staffWhoTreat, admin: 'clinic' },
  // "Reviewed, because …" is a clinical judgement on a way of examining: the licensed lead's alone.
  'learning.review': { lead: 'clinic' },
  'people.write': { coordinator: 'clinic', lead: 'clinic', admin: 'clinic', system: 'clinic' },
  // Who can sign in, and as what. Everybody changes their own passphrase, and nobody else's by that way.
  'account.write': { lead: 'clinic', admin: 'clinic' },
  'passphrase.write': { ...staffWhoTreat, admin: 'clinic' },
  'place.write': { coordinator: 'clinic', lead: 'clinic', admin: 'clinic', system: 'clinic' },
  'protocol.read': { ...staffWhoTreat, admin: 'clinic', system: 'clinic' },
  // What is on a draft decides how patients are examined: the lead's to write, and to answer for.
  'protocol.write': { lead: 'clinic' },
  // The clinic's licensed lead alone, not even the seed in the lead's name.
  'protocol.sign': { lead: 'clinic' },
  'audit.read': { lead: 'clinic', admin: 'clinic' },
}

/** The whole matrix as data: every action by every party. */
export const MATRIX = Object.fromEntries(
  ACTIONS.map((action) => [
    action,
    Object.fromEntries(PARTIES.map((party) => [party, ALLOWED[action][party] ?? 'never'])),
  ]),
) as Readonly<Record<Action, Readonly<Record<Party, Scope>>>>

/** Whether the actor may do this; without a target the question is about the actor's clinic as a whole. */
export function may(actor: Actor, action: Action, target?: Target): boolean {
  if (target && target.clinicId !== actor.clinicId) return false
  const scope = MATRIX[action][actor.kind === 'staff' ? actor.role : actor.kind]
  switch (scope) {
    case 'clinic':
      return true
    case 'own_list':
      return actor.kind === 'staff' && actor.clinicianId !== null && target?.clinicianId === actor.clinicianId
    case 'own_referral':
      return actor.kind === 'patient' && target?.referralId === actor.referralId
    case 'never':
      return false
  }
}
