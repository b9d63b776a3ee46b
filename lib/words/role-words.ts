/** What somebody works as, in the words of the clinic. */
import type { Role } from '#lib/domain/access/actor.ts'

export const ROLE_WORDS: Record<Role, string> = {
  coordinator: 'Coordinator',
  clinician: 'Clinician',
  lead: 'Clinic lead',
  admin: 'Administrator',
}
