/**
 * Takes referrals in, whichever way they came: each once, each with its patient.
 *
 * A referral that was here before is counted, not added. A patient who is surely
 * one the clinic knows (name, date of birth and a way to reach them all equal) is
 * joined to that record; somebody who only may be gets a record of their own and
 * the question to a person, because two people made one is the worse mistake.
 */
import type { Db } from '#db/client.ts'
import { recordAudits } from '#db/queries/audit.ts'
import { getClinic } from '#db/queries/clinics.ts'
import {
  findPatientForUpdate,
  insertMatches,
  insertPatients,
  listCandidates,
  type NewMatch,
  type NewPatient,
  type Patient,
  updatePatient,
} from '#db/queries/patients.ts'
import { insertReferrals, knownFingerprints, lockIntake, type NewReferral } from '#db/queries/referrals.ts'
import { insertTasks, type NewTask } from '#db/queries/tasks.ts'
import { Temporal } from '#lib/base/time.ts'
import { addCandidate, birthDatesNear, candidatesFor, indexCandidates } from '#lib/domain/intake/candidate-index.ts'
import { likelySamePatient, patientKey, referralFingerprint } from '#lib/domain/intake/matching.ts'
import { PERSON_FIELDS, type ReferralDraft } from '#lib/domain/intake/referral-draft.ts'
import type { Ctx } from '../context.ts'

export type TakenIn = {
  added: { referralId: string; patientId: string }[]
  /** Referrals that were here before, by the id they have. */
  known: string[]
}

export type ToTakeIn = { drafts: readonly ReferralDraft[]; source: 'typed' | 'csv' | 'fhir'; importId: string | null }

/** Above this many it is quicker to read everybody once than to ask who shares something. */
const ASK_ABOUT_MAX = 50

/** Adds what is new, in the order of the drafts. */
export async function takeIn(tx: Db, ctx: Ctx, { drafts, source, importId }: ToTakeIn): Promise<TakenIn> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  await lockIntake(tx, clinicId)
  const { timeZone } = await getClinic(tx, clinicId)

  const printed = drafts.map((draft) => ({
    draft,
    fingerprint: ctx.secrets.hashText(referralFingerprint(draft, patientKey(draft))),
  }))
  const onFile = await knownFingerprints(
    tx,
    clinicId,
    printed.map(({ fingerprint }) => fingerprint),
  )
  const index = indexCandidates(await listCandidates(tx, clinicId, sharedBy(drafts)))

  const taken: TakenIn = { added: [], known: [] }
  const patients: NewPatient[] = []
  const referrals: NewReferral[] = []
  const matches: NewMatch[] = []
  const tasks: NewTask[] = []
  const joined: { patientId: string; draft: ReferralDraft; referralId: string }[] = []

  for (const { draft, fingerprint } of printed) {
    const known = onFile.get(fingerprint)
    if (known !== undefined) {
      taken.known.push(known)
      continue
    }
    const referralId = ctx.newId('ref')
    onFile.set(fingerprint, referralId)
    const found = likelySamePatient(draft, candidatesFor(draft, index))
    const same = found.filter(({ strength }) => strength === 'same')
    // Two records that are both surely this person are a question for a person as well.
    const sure = same.length === 1 ? same[0] : undefined
    const patientId = sure?.candidateId ?? ctx.newId('pat')
    if (sure) joined.push({ patientId, draft, referralId })
    else {
      patients.push(patientOf(draft, { clinicId, id: patientId, createdAt: now }))
      addCandidate(index, { ...draft, id: patientId })
      for (const { candidateId, because } of found) matches.push({ clinicId, referralId, candidateId, because })
      if (found.length > 0) {
        tasks.push({
          clinicId,
          referralId,
          id: ctx.newId('tsk'),
          kind: 'match',
          dedupeKey: 'match',
          detail: { importId },
          openedAt: now,
          dueAt: null,
        })
      }
    }
    referrals.push({
      clinicId,
      id: referralId,
      patientId,
      source,
      fingerprint,
      externalId: draft.externalId,
      receivedAt: receivedAt(draft.receivedOn, now, timeZone),
      referrerName: draft.referrerName,
      referrerPhone: draft.referrerPhone,
      reason: draft.reason,
      icd10: draft.icd10,
      conditionText: draft.conditionText,
      priority: draft.priority,
      stage: 'received',
      side: draft.side,
      createdAt: now,
    })
    taken.added.push({ referralId, patientId })
  }

  await insertPatients(tx, patients)
  await insertReferrals(tx, referrals)
  await insertMatches(tx, matches)
  await insertTasks(tx, tasks)
  const brought = new Map<string, object>()
  for (const { patientId, draft, referralId } of joined)
    brought.set(referralId, await complete(tx, ctx, patientId, draft))
  await recordAudits(
    tx,
    referrals.map(({ id, patientId }) => ({
      id: ctx.newId('aud'),
      at: now,
      actor: ctx.actor,
      action: 'referral.added',
      subject: id,
      referralId: id,
      after: { source, importId, patientId, ...brought.get(id) },
    })),
  )
  return taken
}

function sharedBy(drafts: readonly ReferralDraft[]) {
  // Without a date of birth only the name is left to go by, and names are compared by more than their letters.
  if (drafts.length > ASK_ABOUT_MAX || drafts.some(({ birthDate }) => birthDate === null)) return 'everybody' as const
  return {
    birthDates: drafts.flatMap(({ birthDate }) =>
      birthDate === null ? [] : [birthDate, ...birthDatesNear(birthDate)],
    ),
    phones: drafts.flatMap(({ phone }) => phone ?? []),
    emails: drafts.flatMap(({ email }) => email?.toLowerCase() ?? []),
  }
}

/** The day begins at midnight where the clinic is; counted from there, a time limit can only come sooner. */
function receivedAt(receivedOn: string, now: Temporal.Instant, timeZone: string): Temporal.Instant {
  const today = now.toZonedDateTimeISO(timeZone).toPlainDate()
  if (receivedOn === today.toString()) return now
  return Temporal.PlainDate.from(receivedOn).toZonedDateTime(timeZone).toInstant()
}

function patientOf(draft: ReferralDraft, row: Pick<NewPatient, 'clinicId' | 'id' | 'createdAt'>): NewPatient {
  const told = Object.fromEntries(PERSON_FIELDS.map((field) => [field, draft[field]]))
  return { ...row, ...told, givenName: draft.givenName, familyName: draft.familyName, language: draft.language }
}

/** Fills what the record lacks. What differs is kept in the record of deeds for a person to see, and changes nothing. */
async function complete(
  tx: Db,
  ctx: Ctx,
  patientId: string,
  draft: ReferralDraft,
): Promise<{ differs?: Partial<Patient> }> {
  const patient = await findPatientForUpdate(tx, ctx.actor.clinicId, patientId)
  if (!patient) return {}
  const filled: Partial<Patient> = {}
  const differs: Partial<Patient> = {}
  for (const field of PERSON_FIELDS) {
    const told = draft[field]
    if (told === null || told === patient[field]) continue
    if (patient[field] === null) filled[field] = told
    else differs[field] = told
  }
  if (Object.keys(filled).length > 0) {
    await updatePatient(tx, ctx.actor.clinicId, patientId, filled)
    await recordAudits(tx, [
      {
        id: ctx.newId('aud'),
        at: ctx.now(),
        actor: ctx.actor,
        action: 'patient.completed',
        subject: patientId,
        after: filled,
      },
    ])
  }
  return Object.keys(differs).length > 0 ? { differs } : {}
}
