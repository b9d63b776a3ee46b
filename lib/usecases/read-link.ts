/**
 * What does the page behind a personal link show before anybody said who they are? Looking changes nothing: mail programs
 * open links by themselves. Unknown, foreign, ended and expired links look the same.
 */
import { findClinicBySlug } from '#db/queries/clinics.ts'
import { findLink } from '#db/queries/links.ts'
import { Temporal } from '#lib/base/time.ts'
import { LOCALES, type Locale } from '#lib/domain/protocol/schema.ts'
import type { Ctx } from './context.ts'

export type LinkPage = {
  clinicId: string
  clinicPhone: string
  language: Locale
  state: 'open' | 'locked' | 'unknown'
}

/** Null when no clinic has that address. Nobody is known yet, so the context has no actor. */
export async function readLink(
  ctx: Omit<Ctx, 'actor'>,
  { clinicSlug, token }: { clinicSlug: string; token: string },
): Promise<LinkPage | null> {
  const clinic = await findClinicBySlug(ctx.db, clinicSlug)
  if (!clinic) return null
  const link = await findLink(ctx.db, clinic.id, ctx.secrets.hashToken(token))
  const language = LOCALES.find((locale) => locale === link?.language) ?? 'en'
  const page = { clinicId: clinic.id, clinicPhone: clinic.phone, language }
  if (!link || link.revokedAt !== null || Temporal.Instant.compare(link.expiresAt, ctx.now()) <= 0)
    return { ...page, state: 'unknown' }
  return { ...page, state: link.failedTries >= clinic.policy.links.wrongTries ? 'locked' : 'open' }
}
