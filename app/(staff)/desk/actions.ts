'use server'

import { redirect } from 'next/navigation'
import { staffContext } from '#app/_server/staff-page.ts'
import type { QuestFault } from '#lib/domain/desk/find-patient.ts'
import { phoneWords } from '#lib/domain/intake/phone-number.ts'
import { findPatients } from '#lib/usecases/find-patients.ts'
import { plainDate } from '#lib/words/session-words.ts'
import { complaintWords } from '../referrals/words.ts'

/** In words: the browser needs no more. */
export type FoundLine = {
  name: string
  born: string
  phone: string
  referrals: { referralId: string; complaint: string; isClosed: boolean }[]
}
export type FindState = {
  typed: string
  problem: string | null
  /** Null before anybody was looked for. */
  found: { patients: FoundLine[]; isCut: boolean } | null
}

/** Looks for whoever is on the phone. Sent as a form and not as an address: a name in an address is kept in too many places. */
export async function findOnPhone(_previous: FindState, form: FormData): Promise<FindState> {
  const ctx = await staffContext('referral.read')
  const typed = String(form.get('who') ?? '').trim()
  const result = await findPatients(ctx, { typed })
  if (result.ok) {
    const patients = result.value.patients.map(({ name, birthDate, phone, referrals }) => ({
      name,
      born: birthDate === null ? 'date of birth not known' : `born ${plainDate(birthDate)}`,
      phone: phone === null ? 'no phone number' : phoneWords(phone),
      referrals: referrals.map(({ referralId, side, condition, stage }) => ({
        referralId,
        complaint: complaintWords(side, condition),
        isClosed: stage === 'closed',
      })),
    }))
    return { typed, problem: null, found: { patients, isCut: result.value.isCut } }
  }
  if (result.error.code === 'not_allowed') return redirect('/not-allowed')
  return { typed, problem: FAULT_WORDS[result.error.fault], found: null }
}

const FAULT_WORDS: Record<QuestFault, string> = {
  missing: 'Type a name, a phone number or a date of birth',
  too_short: 'Type at least two letters of the name, or four digits of the phone number',
  too_long: 'This is too long for a name',
  not_a_date: 'There is no such date. Type it like 3/9/1961',
}
