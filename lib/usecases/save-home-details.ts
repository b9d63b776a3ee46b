/** Saves one page of the home check's details: place, contact, times, or agreement. */
import { z } from 'zod'
import { findReferralToScreen } from '#db/queries/assessments.ts'
import { recordAudit } from '#db/queries/audit.ts'
import { findHomeCheck, type HomeCheckChange, saveHomeCheck } from '#db/queries/home-checks.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import {
  consentSchema,
  contactSchema,
  type DetailStep,
  placeSchema,
  timesSchema,
  windowsFrom,
} from '#lib/domain/home/details.ts'
import { findState } from '#lib/domain/intake/us-states.ts'
import type { Ctx } from './context.ts'
import { inTransaction } from './in-transaction.ts'
import { refitVisit } from './steps/refit-visit.ts'

/** One page as its form sent it. */
export const homeDetailsInput = z.discriminatedUnion('step', [
  placeSchema.extend({ step: z.literal('place') }),
  contactSchema.extend({ step: z.literal('contact') }),
  timesSchema.extend({ step: z.literal('times') }),
  consentSchema.extend({ step: z.literal('consent') }),
])
export type HomeDetailsInput = z.output<typeof homeDetailsInput>

export type SavedHomeDetails = { step: DetailStep }
export type SaveHomeDetailsError =
  | { code: 'referral_not_found' }
  | { code: 'check_closed' }
  /** Somebody else filled in this page since the form was opened. */
  | { code: 'changed_meanwhile' }

export async function saveHomeDetails(
  ctx: Ctx,
  referralId: string,
  input: HomeDetailsInput,
  /** `detailsShown` of this page when the form was opened, where several people may fill in the same one. */
  shown?: string,
): Promise<Result<SavedHomeDetails, SaveHomeDetailsError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  return inTransaction<SavedHomeDetails, SaveHomeDetailsError>(ctx, async (tx) => {
    const referral = await findReferralToScreen(tx, clinicId, referralId)
    if (!referral || !may(ctx.actor, 'check.answer', { clinicId, referralId }))
      return err({ code: 'referral_not_found' })
    if (referral.stage === 'closed') return err({ code: 'check_closed' })

    const before = await findHomeCheck(tx, clinicId, referralId)
    const stamp = stampOf(input.step)
    const isAnswered = stamp === null || before?.[stamp] != null
    if (isAnswered && before && detailsGiven(input) === detailsShown(before, input.step))
      return ok({ step: input.step })
    const change = { ...changeFrom(input), ...(stamp && { [stamp]: now }) }
    if (shown !== undefined && detailsShown(before, input.step) !== shown) return err({ code: 'changed_meanwhile' })
    await saveHomeCheck(tx, clinicId, referralId, { ...change, ...(before?.startedAt ? {} : { startedAt: now }) })
    await recordAudit(tx, {
      id: ctx.newId('aud'),
      at: now,
      actor: ctx.actor,
      action: `check.${input.step}_given`,
      subject: referralId,
      referralId,
      before: before && pick(before, change),
      after: change,
    })
    // Another state needs another licence, another helper's hours another start.
    await refitVisit(tx, ctx, referralId)
    return ok({ step: input.step })
  })
}

/** What one page of details stands at, in one string, for a form to carry along. */
export function detailsShown(details: HomeCheckChange | null, step: DetailStep): string {
  const empty: unknown[] = []
  // No row yet and a row whose times nobody has touched look the same to whoever opened the form.
  return JSON.stringify(FIELDS[step].map((field) => details?.[field] ?? (field.endsWith('Windows') ? empty : null)))
}

/** The same string for what a form sends: equal = this page was left as it was. */
export function detailsGiven(input: HomeDetailsInput): string {
  return detailsShown(changeFrom(input), input.step)
}

const FIELDS = {
  place: ['placeAddress', 'placeState', 'timeZone'],
  contact: ['callbackPhone', 'contactName', 'contactPhone'],
  times: ['patientWindows', 'helperWindows', 'helperName'],
  consent: [],
} as const satisfies Record<DetailStep, readonly (keyof HomeCheckChange)[]>

function changeFrom(input: HomeDetailsInput): HomeCheckChange {
  switch (input.step) {
    case 'place': {
      const { placeAddress, placeState, timeZone } = input
      return { placeAddress, placeState: findState(placeState)?.code ?? placeState, timeZone }
    }
    case 'contact': {
      const { callbackPhone, contactName, contactPhone } = input
      return { callbackPhone, contactName, contactPhone }
    }
    case 'times':
      return {
        patientWindows: windowsFrom(input.days, input.parts),
        helperWindows: windowsFrom(input.helperDays, input.helperParts),
        helperName: input.helperName === '' ? null : input.helperName,
      }
    case 'consent':
      return {}
  }
}

/** When a page was answered that may rightly be left empty, or whose answer is a deed. */
function stampOf(step: DetailStep): 'timesAnsweredAt' | 'consentedAt' | null {
  if (step === 'times') return 'timesAnsweredAt'
  return step === 'consent' ? 'consentedAt' : null
}

function pick(before: HomeCheckChange, change: HomeCheckChange): HomeCheckChange {
  const keys = Object.keys(change) as (keyof HomeCheckChange)[]
  return Object.fromEntries(keys.map((key) => [key, before[key]])) as HomeCheckChange
}
