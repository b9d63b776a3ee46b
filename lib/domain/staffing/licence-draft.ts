/** Where a clinician may examine, as somebody typed it. Two licences of one state never overlap: which would count? */
import { err, ok, type Result } from '#lib/base/result.ts'
import { isDate } from '../calendar/check-session.ts'
import { US_STATES } from '../intake/us-states.ts'

export type LicenceDraft = { state: string; validFrom: string; validTo: string | null }
/** Dates as yyyy-mm-dd. */
export type RawLicence = { state: string; validFrom: string; validTo: string }
export type LicenceFault =
  | { field: 'state' | 'validFrom'; code: 'required' }
  | { field: 'validFrom' | 'validTo'; code: 'not_a_date' }
  | { field: 'validTo'; code: 'before_start' }
  | { field: 'validFrom'; code: 'overlaps'; other: LicenceDraft }

/** `others`: the same clinician's licences but this one. Both ends of a licence are days on which it is valid. */
export function readLicence(raw: RawLicence, others: readonly LicenceDraft[]): Result<LicenceDraft, LicenceFault[]> {
  const faults: LicenceFault[] = []
  const { state, validFrom } = raw
  const validTo = raw.validTo === '' ? null : raw.validTo
  if (!US_STATES.some(({ code }) => code === state)) faults.push({ field: 'state', code: 'required' })
  if (validFrom === '') faults.push({ field: 'validFrom', code: 'required' })
  else if (!isDate(validFrom)) faults.push({ field: 'validFrom', code: 'not_a_date' })
  if (validTo !== null && !isDate(validTo)) faults.push({ field: 'validTo', code: 'not_a_date' })
  else if (validTo !== null && validTo < validFrom) faults.push({ field: 'validTo', code: 'before_start' })
  if (faults.length > 0) return err(faults)
  const other = others.find(
    (each) =>
      each.state === state &&
      (validTo === null || each.validFrom <= validTo) &&
      (each.validTo === null || validFrom <= each.validTo),
  )
  return other ? err([{ field: 'validFrom', code: 'overlaps', other }]) : ok({ state, validFrom, validTo })
}
