/** Who signs in, as somebody typed it: every fault at once, each at the field it was typed into. */
import { z } from 'zod'
import { err, ok, type Result } from '#lib/base/result.ts'
import { ROLES, type Role } from '../access/actor.ts'
import { type PassphraseFault, passphraseFault } from '../access/passphrase.ts'

export type RawAccount = { name: string; email: string; role: string; clinicianId: string; passphrase: string }
export type AccountDraft = {
  name: string
  /** In lower case. */
  email: string
  role: Role
  /** The clinician they are; null where they examine nobody. */
  clinicianId: string | null
  /** Null = leave the one they have, or none: they sign in through their organisation. */
  passphrase: string | null
}
export type AccountFault =
  | { field: 'name' | 'email' | 'role'; code: 'required' }
  | { field: 'name'; code: 'too_long' }
  | { field: 'email'; code: 'no_address' }
  /** Whoever signs in as a clinician has a list of visits of their own. */
  | { field: 'clinicianId'; code: 'required' }
  | { field: 'clinicianId'; code: 'unknown' }
  | { field: 'passphrase'; code: PassphraseFault }

/** `clinicianIds`: those of the clinic. A passphrase is taken as it was typed, blanks and all. */
export function readAccount(
  raw: RawAccount,
  clinicianIds: ReadonlySet<string>,
): Result<AccountDraft, readonly AccountFault[]> {
  const faults: AccountFault[] = []
  const name = raw.name.trim().replace(/\s+/g, ' ')
  const email = raw.email.trim().toLowerCase()
  const role = ROLES.find((each) => each === raw.role)
  const clinicianId = raw.clinicianId === '' ? null : raw.clinicianId
  const passphrase = raw.passphrase === '' ? null : raw.passphrase
  if (name === '') faults.push({ field: 'name', code: 'required' })
  if (name.length > 120) faults.push({ field: 'name', code: 'too_long' })
  if (email === '') faults.push({ field: 'email', code: 'required' })
  else if (email.length > 254 || !z.email().safeParse(email).success)
    faults.push({ field: 'email', code: 'no_address' })
  if (!role) faults.push({ field: 'role', code: 'required' })
  if (role === 'clinician' && clinicianId === null) faults.push({ field: 'clinicianId', code: 'required' })
  if (clinicianId !== null && !clinicianIds.has(clinicianId)) faults.push({ field: 'clinicianId', code: 'unknown' })
  const weak = passphrase === null ? null : passphraseFault(passphrase)
  if (weak !== null) faults.push({ field: 'passphrase', code: weak })
  return faults.length > 0 || !role ? err(faults) : ok({ name, email, role, clinicianId, passphrase })
}
