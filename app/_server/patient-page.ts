/**
 * The one place where the app asks who a patient's browser belongs to. It came in by a personal link and a date of birth;
 * from then on a cookie names its session, and every page and action of `/my` begins here.
 */

import { cookies, headers } from 'next/headers'
import { redirect } from 'next/navigation'
import { cache } from 'react'
import type { PatientActor } from '#lib/domain/access/actor.ts'
import { LOCALES, type Locale } from '#lib/domain/protocol/schema.ts'
import { closePatientSession } from '#lib/usecases/close-patient-session.ts'
import type { Ctx } from '#lib/usecases/context.ts'
import { type ClinicContact, readClinicContact } from '#lib/usecases/read-clinics.ts'
import { readLink } from '#lib/usecases/read-link.ts'
import { PATIENT_ABSOLUTE_HOURS, type PatientSession, readPatientSession } from '#lib/usecases/read-patient-session.ts'
import { clinicContext, contextOf, unsignedContext } from './runtime.ts'
import { cookieName, cookieOptions } from './session-cookies.ts'

export type PatientCtx = Ctx & { actor: PatientActor }

/** The context of the patient at this browser; otherwise a page that says to open the link again. */
export async function patientContext(): Promise<PatientCtx> {
  return contextOf((await currentPatientOrLink()).actor)
}

/** The patient at this browser with their language and clinic, for layouts and words. */
export async function currentPatientOrLink(): Promise<PatientSession> {
  return (await currentPatient()) ?? redirect('/link-needed')
}

/** The patient at this browser, if any. Asked of the database once a request. */
export const currentPatient = cache(async (): Promise<PatientSession | null> => {
  const value = (await cookies()).get(cookieName('patient'))?.value
  const [clinicId, token] = value?.split(' ') ?? []
  return clinicId && token ? readPatientSession(clinicContext(clinicId), token) : null
})

/** Whom this visitor would call: the clinic of the link they are opening, of their cookie (also an old one), or the only one here. */
export const clinicOfVisitor = cache(async (): Promise<ClinicContact | null> => {
  const ofLink = (await headers()).get('x-path')?.match(/^\/go\/([^/]+)/)?.[1]
  const ofCookie = (await cookies()).get(cookieName('patient'))?.value.split(' ')[0]
  return readClinicContact(unsignedContext(), ofLink ?? ofCookie ?? null)
})

/**
 * What this visitor reads: the patient's own language, that of the link they are opening, of the page that was closed here,
 * or the one their browser asks for first.
 */
export const languageOfVisitor = cache(async (): Promise<Locale> => {
  const patient = await currentPatient()
  if (patient) return patient.language
  const asked = await headers()
  const [, clinicSlug, token] = asked.get('x-path')?.match(/^\/go\/([^/]+)\/([^/]+)$/) ?? []
  if (clinicSlug !== undefined && token !== undefined) {
    const link = await readLink(unsignedContext(), { clinicSlug, token })
    if (link) return link.language
  }
  const closed = (await cookies()).get(cookieName('patient'))?.value.split(' ')[2]
  const wanted = closed ?? asked.get('accept-language')?.slice(0, 2).toLowerCase()
  return LOCALES.find((locale) => locale === wanted) ?? 'en'
})

/** Lets this browser in after `openLink`. Only in a server action or a route handler. */
export async function rememberPatient({
  clinicId,
  sessionToken,
  language,
}: {
  clinicId: string
  sessionToken: string
  language: Locale
}): Promise<void> {
  const jar = await cookies()
  jar.set(cookieName('patient'), `${clinicId} ${sessionToken} ${language}`, {
    ...cookieOptions(),
    maxAge: PATIENT_ABSOLUTE_HOURS * 3600,
  })
}

/** Ends this browser's session and forgets who was here, such as on a shared computer; clinic and language stay known. */
export async function forgetPatient(): Promise<void> {
  const jar = await cookies()
  const [clinicId, token] = jar.get(cookieName('patient'))?.value.split(' ') ?? []
  if (clinicId && token) await closePatientSession(clinicContext(clinicId), token)
  const language = await languageOfVisitor()
  jar.set(cookieName('patient'), `${clinicId ?? ''} closed ${language}`, {
    ...cookieOptions(),
    maxAge: PATIENT_ABSOLUTE_HOURS * 3600,
  })
}
