/**
 * With whom must a new patient be compared? Comparing everybody with everybody
 * would take hours for a large file, so people are found by what any likely match
 * shares with them: a date of birth that is the same or one slip away, a phone
 * number, an e-mail address, or the whole name where a date of birth is not known.
 * Nobody whom `likelySamePatient` would name is left out; a test holds the two together.
 */
import { type Candidate, plain } from './matching.ts'

type Person = Omit<Candidate, 'id'>

/** Candidates by each of their keys, each with the words of its name: they are asked for far more often than they change. */
export type CandidateIndex = Map<string, { candidate: Candidate; words: string[] }[]>

export function indexCandidates(candidates: Iterable<Candidate>): CandidateIndex {
  const index: CandidateIndex = new Map()
  for (const candidate of candidates) addCandidate(index, candidate)
  return index
}

/** Puts one more person into the index, such as the patient of an earlier row of the same file. */
export function addCandidate(index: CandidateIndex, candidate: Candidate): void {
  const entry = { candidate, words: nameWords(candidate) }
  const born = candidate.birthDate === null ? `born?${wholeName(candidate)}` : `born ${candidate.birthDate}`
  for (const key of [born, `named ${wholeName(candidate)}`, ...contactKeys(candidate)]) {
    const there = index.get(key)
    if (there) there.push(entry)
    else index.set(key, [entry])
  }
}

/** Everybody who could be likely the same, each once. */
export function candidatesFor(person: Person, index: CandidateIndex): Candidate[] {
  const found = new Set<Candidate>()
  const look = (key: string, named?: readonly string[]) => {
    for (const { candidate, words } of index.get(key) ?? []) {
      if (named === undefined || words.some((word) => named.includes(word))) found.add(candidate)
    }
  }
  for (const key of contactKeys(person)) look(key)
  if (person.birthDate === null) look(`named ${wholeName(person)}`)
  else {
    look(`born?${wholeName(person)}`)
    const words = nameWords(person)
    for (const date of [person.birthDate, ...oneSlipFrom(person.birthDate)]) look(`born ${date}`, words)
  }
  return [...found]
}

/** Dates of birth that one slip of the pen makes of this one: a wrong digit, or day and month the other way round. */
export function birthDatesNear(date: string): string[] {
  return oneSlipFrom(date).filter(isDate)
}

/** Not all of them are dates; nobody was born on the others. */
function oneSlipFrom(date: string): string[] {
  const [year, month, day] = date.split('-')
  const near = new Set([`${year}-${day}-${month}`])
  for (let at = 0; at < date.length; at += 1) {
    if (date[at] === '-') continue
    for (const digit of '0123456789') near.add(date.slice(0, at) + digit + date.slice(at + 1))
  }
  near.delete(date)
  return [...near]
}

function isDate(text: string): boolean {
  const [year, month, day] = text.split('-').map(Number) as [number, number, number]
  return month >= 1 && month <= 12 && day >= 1 && day <= daysIn(year, month)
}

function daysIn(year: number, month: number): number {
  if (month === 2) return year % 4 === 0 && (year % 100 !== 0 || year % 400 === 0) ? 29 : 28
  return [4, 6, 9, 11].includes(month) ? 30 : 31
}

function contactKeys({ phone, email }: Person): string[] {
  return [...(phone === null ? [] : [`phone ${phone}`]), ...(email === null ? [] : [`email ${email.toLowerCase()}`])]
}

/** Both names in either order: first and last name the other way round meet here too. */
function wholeName(person: Person): string {
  const names = [plain(person.givenName), plain(person.familyName)].map((name) => name.replaceAll(' ', ''))
  return names.sort().join('|')
}

/** Two names that are likely the same share one of these: a whole name or a word of one. */
function nameWords({ givenName, familyName }: Person): string[] {
  return [plain(givenName), plain(familyName)].flatMap((name) => [name.replaceAll(' ', ''), ...name.split(' ')])
}
