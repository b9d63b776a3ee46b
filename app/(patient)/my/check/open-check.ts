/** The way into every page and action of the home check: whose it is, and whether it may go on. */
import { notFound, redirect } from 'next/navigation'
import { currentPatientOrLink, type PatientCtx, patientContext } from '#app/_server/patient-page.ts'
import type { Locale } from '#lib/domain/protocol/schema.ts'
import { type HomeCheckView, readHomeCheck } from '#lib/usecases/read-home-check.ts'
import { type Words, wordsFor } from '#lib/words/words.ts'

export type OpenCheck = { ctx: PatientCtx; referralId: string; view: HomeCheckView; locale: Locale; t: Words }

/** Leads away where an emergency comes first or nothing can be asked yet. */
export async function openCheck(): Promise<OpenCheck> {
  const ctx = await patientContext()
  const { language: locale } = await currentPatientOrLink()
  const { referralId } = ctx.actor
  const check = await readHomeCheck(ctx, { referralId })
  if (!check.ok) return check.error.code === 'not_triaged' ? redirect('/my') : notFound()
  if (check.value.isHelpNeeded) redirect('/my/stop')
  if (check.value.stage === 'closed') redirect('/my')
  return { ctx, referralId, view: check.value, locale, t: wordsFor(locale) }
}
