/**
 * Has this referral been here before, and is this somebody the clinic knows?
 *
 * The first question is answered by one canonical text, hashed and made unique by
 * whoever stores it. The second is only ever a suggestion with its reasons: two
 * people made one, or one made two, is found out in the exam room, so a person
 * decides. Nothing here is a score; each rule can be read out loud.
 */
import type { ReferralDraft } from './referral-draft.ts'

/**
 * The text that makes a referral the same one again: the sender's number where
 * there is one, else the day and the reason; for the same patient in both cases,
 * because two senders may count from the same number.
 */
export function referralFingerprint(
  draft: Pick<ReferralDraft, 'externalId' | 'receivedOn' | 'reason'>,
  patientKey: string,
): string {
  return JSON.stringify(
    draft.externalId !== null
      ? ['referral', 'number', patientKey, draft.externalId]
      : ['referral', 'reason', patientKey, draft.receivedOn, plain(draft.reason)],
  )
}

type Person = Pick<ReferralDraft, 'givenName' | 'familyName' | 'birthDate' | 'phone' | 'email'>

/** Stands for a patient before it is decided who they are: the same file read twice gives the same key. */
export function patientKey({ givenName, familyName, birthDate, phone, email }: Person): string {
  const told = birthDate ?? phone ?? email?.toLowerCase() ?? ''
  return JSON.stringify([plain(givenName), plain(familyName), told])
}

export type Candidate = Person & { id: string }

/** In the order in which they are read out. */
export const MATCH_REASONS = [
  'same_name',
  'names_swapped',
  'part_of_name',
  'name_one_letter_off',
  'same_birth_date',
  'birth_day_and_month_swapped',
  'birth_date_one_digit_off',
  'birth_date_not_known',
  'different_birth_date',
  'same_phone',
  'same_email',
] as const
export type MatchReason = (typeof MATCH_REASONS)[number]

export const MATCH_REASON_WORDS: Readonly<Record<MatchReason, string>> = {
  same_name: 'same name',
  names_swapped: 'first and last name the other way round',
  part_of_name: 'one name is part of the other',
  name_one_letter_off: 'name differs by one letter',
  same_birth_date: 'same date of birth',
  birth_day_and_month_swapped: 'date of birth with day and month the other way round',
  birth_date_one_digit_off: 'date of birth differs by one digit',
  birth_date_not_known: 'a date of birth is not known',
  different_birth_date: 'different date of birth',
  same_phone: 'same phone number',
  same_email: 'same e-mail address',
}

export type PatientMatch = { candidateId: string; strength: 'same' | 'likely'; because: MatchReason[] }

/**
 * Everybody among the candidates who may be this patient: `same` when name, date
 * of birth and a way to reach them are all equal, `likely` when a person should look.
 * Surest first; candidates that are too far off are left out.
 */
export function likelySamePatient(draft: Person, candidates: readonly Candidate[]): PatientMatch[] {
  return candidates
    .flatMap((candidate) => {
      const match = compare(draft, candidate)
      return match ? [{ candidateId: candidate.id, ...match }] : []
    })
    .sort((a, b) => bySureness(a, b) || (a.candidateId < b.candidateId ? -1 : 1))
}

function compare(draft: Person, candidate: Candidate): Omit<PatientMatch, 'candidateId'> | null {
  const name = compareNames(draft, candidate)
  const birth = compareBirthDates(draft.birthDate, candidate.birthDate)
  const contact: MatchReason[] = []
  if (draft.phone !== null && draft.phone === candidate.phone) contact.push('same_phone')
  if (draft.email !== null && draft.email.toLowerCase() === candidate.email?.toLowerCase()) contact.push('same_email')
  const because = [...(name ? [name] : []), birth, ...contact]

  const isReached = contact.length > 0
  if (name === 'same_name' && birth === 'same_birth_date' && isReached) return { strength: 'same', because }

  const isNearBirth = birth !== 'different_birth_date' && birth !== 'birth_date_not_known'
  const isWholeName = name === 'same_name' || name === 'names_swapped'
  const isLikely =
    (name !== null && isNearBirth) ||
    // Married, adopted, or written down by ear.
    (isReached && birth === 'same_birth_date') ||
    // Nothing speaks against it.
    (isWholeName && birth === 'birth_date_not_known') ||
    (name !== null && isReached && birth === 'birth_date_not_known') ||
    // Parent and child with one name and one phone, or a slip in the year: somebody has to look.
    (isWholeName && isReached)
  return isLikely ? { strength: 'likely', because } : null
}

const isContact = (reason: MatchReason): boolean => reason === 'same_phone' || reason === 'same_email'

/** Same before likely; then whoever is reached the same way; then the nearer name and date of birth. */
function bySureness(a: PatientMatch, b: PatientMatch): number {
  if (a.strength !== b.strength) return a.strength === 'same' ? -1 : 1
  const contacts = b.because.filter(isContact).length - a.because.filter(isContact).length
  const nearness = ({ because }: PatientMatch): string =>
    because.map((reason) => String.fromCharCode(MATCH_REASONS.indexOf(reason))).join('')
  return contacts || (nearness(a) < nearness(b) ? -1 : nearness(a) > nearness(b) ? 1 : 0)
}

function compareNames(a: Person, b: Person): MatchReason | null {
  const [givenA, familyA, givenB, familyB] = [
    plain(a.givenName),
    plain(a.familyName),
    plain(b.givenName),
    plain(b.familyName),
  ]
  const isSame = (x: string, y: string): boolean => x !== '' && joined(x) === joined(y)
  if (isSame(givenA, givenB) && isSame(familyA, familyB)) return 'same_name'
  if (isSame(givenA, familyB) && isSame(familyA, givenB)) return 'names_swapped'
  if (isPart(givenA, givenB) && isPart(familyA, familyB)) return 'part_of_name'
  if (isSame(givenA, givenB) && isOneLetterOff(joined(familyA), joined(familyB))) return 'name_one_letter_off'
  if (isSame(familyA, familyB) && isOneLetterOff(joined(givenA), joined(givenB))) return 'name_one_letter_off'
  return null
}

/** Letters that Unicode does not take apart into a letter and an accent. */
const WHOLE_LETTERS: Readonly<Record<string, string>> = {
  ß: 'ss',
  ø: 'o',
  đ: 'd',
  ð: 'd',
  ł: 'l',
  ı: 'i',
  æ: 'ae',
  œ: 'oe',
  þ: 'th',
}

/**
 * Lower case, without accents; words of letters and digits with one space between.
 * Only the accents of European letters go: a vowel sign of an Indian script is a letter of the name.
 */
export function plain(written: string): string {
  return written
    .toLowerCase()
    .normalize('NFKD')
    .replace(/[\u0300-\u036f]/g, '')
    .replace(/[ßøđðłıæœþ]/g, (letter) => WHOLE_LETTERS[letter] ?? letter)
    .replace(/['’ʼ.]/g, '')
    .replace(/[^\p{L}\p{N}\p{M}]+/gu, ' ')
    .trim()
}

/** Anne-Marie, Anne Marie and Annemarie are one name. */
function joined(name: string): string {
  return name.replaceAll(' ', '')
}

/** Every word of the shorter name stands in the longer one: Maria in Maria José, Garcia in Garcia Lopez. */
function isPart(a: string, b: string): boolean {
  const [few, many] = [a.split(' '), b.split(' ')].sort((x, y) => x.length - y.length) as [string[], string[]]
  return a !== '' && b !== '' && few.every((word) => many.includes(word))
}

/** One letter put in, left out, changed, or two neighbours swapped; names under four letters are too short to tell. */
function isOneLetterOff(a: string, b: string): boolean {
  const [short, long] = [[...a], [...b]].sort((x, y) => x.length - y.length) as [string[], string[]]
  if (short.length < 4 || long.length - short.length > 1) return false
  let same = 0
  while (same < short.length && short[same] === long[same]) same += 1
  const rest = (letters: string[], from: number): string => letters.slice(from).join('')
  if (short.length < long.length) return rest(short, same) === rest(long, same + 1)
  const isChanged = rest(short, same + 1) === rest(long, same + 1)
  const isSwapped =
    short[same] === long[same + 1] && short[same + 1] === long[same] && rest(short, same + 2) === rest(long, same + 2)
  return same < short.length && (isChanged || isSwapped)
}

function compareBirthDates(a: string | null, b: string | null): MatchReason {
  if (a === null || b === null) return 'birth_date_not_known'
  if (a === b) return 'same_birth_date'
  const [year, month, day] = a.split('-')
  if (`${year}-${day}-${month}` === b) return 'birth_day_and_month_swapped'
  const differing = [...a].filter((digit, index) => digit !== b[index]).length
  return differing === 1 ? 'birth_date_one_digit_off' : 'different_birth_date'
}
