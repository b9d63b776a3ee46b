/**
 * Who holds this cookie? A patient's browser stays open for half an hour of
 * silence and half a day in all (documented limits, ASVS 5.0 7.3); what was
 * answered is saved at each step, so nothing is lost when it closes.
 */
import { getClinic } from '#db/queries/clinics.ts'
import { findPatientSession, touchPatientSession } from '#db/queries/links.ts'
import { Temporal } from '#lib/base/time.ts'
import type { PatientActor } from '#lib/domain/access/actor.ts'
import { LOCALES, type Locale } from '#lib/domain/protocol/schema.ts'
import type { Ctx } from './context.ts'

export const PATIENT_IDLE_MIN = 30
export const PATIENT_ABSOLUTE_HOURS = 12
/** Writing at each request would cost more than it tells. */
const TOUCH_AFTER_SEC = 60

export type PatientSession = {
  actor: PatientActor
  language: Locale
  clinic: { name: string; phone: string; emergencyNumber: string; timeZone: string }
}

/** Null when there is none, or it has run out: the page then asks for the link again. */
export async function readPatientSession(ctx: Ctx, sessionToken: string): Promise<PatientSession | null> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  const session = await findPatientSession(ctx.db, clinicId, ctx.secrets.hashToken(sessionToken))
  if (!session) return null
  const ends = [
    session.lastSeenAt.add({ minutes: PATIENT_IDLE_MIN }),
    session.createdAt.add({ hours: PATIENT_ABSOLUTE_HOURS }),
    session.linkExpiresAt,
  ]
  if (ends.some((end) => Temporal.Instant.compare(end, now) <= 0)) return null
  if (Temporal.Instant.compare(session.lastSeenAt.add({ seconds: TOUCH_AFTER_SEC }), now) < 0) {
    await touchPatientSession(ctx.db, clinicId, session.id, now)
  }
  const { name, phone, emergencyNumber, timeZone } = await getClinic(ctx.db, clinicId)
  return {
    actor: { kind: 'patient', clinicId, id: session.patientId, referralId: session.referralId },
    language: LOCALES.find((locale) => locale === session.language) ?? 'en',
    clinic: { name, phone, emergencyNumber, timeZone },
  }
}
