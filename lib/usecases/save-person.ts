/** Adds a clinician or an interpreter, changes one, gives one up or takes one back. Nobody is deleted: visits were theirs. */
import { recordAudit } from '#db/queries/audit.ts'
import { findClinician, findInterpreter, writeClinician, writeInterpreter } from '#db/queries/people.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import { type PersonFault, type PersonKind, type RawPerson, readPerson } from '#lib/domain/staffing/person-draft.ts'
import type { Ctx } from './context.ts'
import { once, type Repeated } from './once.ts'
import { type Confirmation, changeClinic, type NotSavedYet } from './steps/change-clinic.ts'

export type SavePersonInput = Confirmation & {
  key: string
  kind: PersonKind
  /** Null = a new one. */
  personId: string | null
  /** The version that was on the page; null with a new one. */
  version: number | null
  deed: { kind: 'write'; raw: RawPerson } | { kind: 'give_up' } | { kind: 'take_back' }
}
export type SavedPerson = { personId: string; version: number }
type Refusal =
  | { code: 'not_allowed' }
  | { code: 'not_found' }
  | { code: 'changed_meanwhile' }
  | { code: 'faults'; faults: PersonFault[] }
export type SavePersonError = Refusal | NotSavedYet | Repeated

export async function savePerson(ctx: Ctx, input: SavePersonInput): Promise<Result<SavedPerson, SavePersonError>> {
  const now = ctx.now()
  const { key, kind, deed } = input
  const { clinicId } = ctx.actor
  if (!may(ctx.actor, 'people.write', { clinicId })) return err({ code: 'not_allowed' })
  const typed = deed.kind === 'write' ? readPerson(kind, deed.raw) : null
  if (typed && !typed.ok) return err({ code: 'faults', faults: typed.error })

  const personId = input.personId ?? ctx.newId(kind === 'clinician' ? 'cli' : 'int')
  const concerned = kind === 'clinician' ? { clinicianId: personId } : { interpreterId: personId }
  return once<SavedPerson, Refusal | NotSavedYet>(ctx, { key, kind: 'save_person' }, (tx) =>
    changeClinic<SavedPerson, Refusal>(tx, ctx, concerned, input, async () => {
      const kept = input.personId === null ? null : await findPerson(tx, clinicId, kind, personId)
      if (input.personId !== null && !kept) return err({ code: 'not_found' })
      if (kept && kept.version !== input.version) return err({ code: 'changed_meanwhile' })
      const before = kept && {
        name: kept.name,
        credentials: kept.credentials,
        languages: kept.languages,
        timeZone: kept.timeZone,
        isActive: kept.isActive,
      }
      const details = typed?.ok ? typed.value : before
      if (!details) return err({ code: 'not_found' })
      const isActive = deed.kind === 'give_up' ? false : deed.kind === 'take_back' ? true : (kept?.isActive ?? true)
      const { credentials, ...person } = { ...details, isActive }
      if (kind === 'clinician') await writeClinician(tx, clinicId, { id: personId, ...person, credentials })
      else await writeInterpreter(tx, clinicId, { id: personId, ...person })
      const done = { write: kept ? 'changed' : 'added', give_up: 'given_up', take_back: 'taken_back' }[deed.kind]
      await recordAudit(tx, {
        id: ctx.newId('aud'),
        at: now,
        actor: ctx.actor,
        action: `${kind}.${done}`,
        subject: personId,
        before,
        after: { ...person, credentials },
      })
      return ok({ personId, version: (kept?.version ?? 0) + 1 })
    }),
  )
}

/** Interpreters have no credentials. */
async function findPerson(tx: Ctx['db'], clinicId: string, kind: PersonKind, id: string) {
  if (kind === 'clinician') return findClinician(tx, clinicId, id)
  const interpreter = await findInterpreter(tx, clinicId, id)
  return interpreter && { ...interpreter, credentials: '' }
}
