/**
 * What came in with a file of referrals? Whatever its format, the answer has one
 * shape: the referrals that can be read, and for each that cannot the place, the
 * column and the reason. One bad row never keeps a good one out.
 */
import type { ReferralDraft } from './referral-draft.ts'

/** Enough for some 50 000 referrals; more than that is not a day's post. */
export const REFERRAL_FILE_MAX_BYTES = 10 * 1024 * 1024

/** `line`: in a CSV file the line where the row begins; in a Bundle the number of the entry, from 1. 0 = the whole file. */
export type FileFault = { line: number; column: string; reason: string }

export type ReferralFile = { drafts: { line: number; draft: ReferralDraft }[]; faults: FileFault[] }

/** Nothing could be read, for one reason. */
export function unreadable(reason: string, line = 0, column = ''): ReferralFile {
  return { drafts: [], faults: [{ line, column, reason }] }
}
