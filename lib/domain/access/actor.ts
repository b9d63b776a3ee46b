/** Who is asking. Every use case receives one and asks `may` before it acts. */
export const ROLES = ['coordinator', 'clinician', 'lead', 'admin'] as const
export type Role = (typeof ROLES)[number]

export type StaffActor = { kind: 'staff'; clinicId: string; id: string; role: Role; clinicianId: string | null }
/** A patient sees one referral: the one their link was made for. */
export type PatientActor = { kind: 'patient'; clinicId: string; id: string; referralId: string }
/** The worker, the seed and the clock. */
export type SystemActor = { kind: 'system'; clinicId: string; id: 'system' }
export type Actor = StaffActor | PatientActor | SystemActor
