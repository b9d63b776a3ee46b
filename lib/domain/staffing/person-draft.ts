/** Who works here, as somebody typed it: every fault at once, each at the field it was typed into. */
import { err, ok, type Result } from '#lib/base/result.ts'
import { isZone } from '../calendar/check-session.ts'
import { canonicalTag } from '../intake/language-tag.ts'

export type PersonKind = 'clinician' | 'interpreter'
export type RawPerson = { name: string; credentials: string; languages: string; timeZone: string }
export type PersonDraft = { name: string; credentials: string; languages: string[]; timeZone: string }
export type PersonFault =
  | { field: 'name' | 'credentials' | 'languages'; code: 'required' }
  | { field: 'name' | 'credentials'; code: 'too_long' }
  /** `tag` is the piece that is no language. */
  | { field: 'languages'; code: 'unknown_language'; tag: string }
  | { field: 'timeZone'; code: 'unknown_zone' }

/** Languages are BCP 47 tags with spaces or commas between them. Interpreters have no credentials. */
export function readPerson(kind: PersonKind, raw: RawPerson): Result<PersonDraft, PersonFault[]> {
  const faults: PersonFault[] = []
  const name = raw.name.trim().replace(/\s+/g, ' ')
  const credentials = kind === 'clinician' ? raw.credentials.trim() : ''
  if (name === '') faults.push({ field: 'name', code: 'required' })
  if (name.length > 120) faults.push({ field: 'name', code: 'too_long' })
  if (kind === 'clinician' && credentials === '') faults.push({ field: 'credentials', code: 'required' })
  if (credentials.length > 40) faults.push({ field: 'credentials', code: 'too_long' })
  const languages: string[] = []
  for (const written of raw.languages.split(/[\s,;]+/).filter((tag) => tag !== '')) {
    const tag = canonicalTag(written)
    if (tag === null) faults.push({ field: 'languages', code: 'unknown_language', tag: written })
    else if (!languages.includes(tag)) languages.push(tag)
  }
  if (raw.languages.trim() === '') faults.push({ field: 'languages', code: 'required' })
  if (!isZone(raw.timeZone.trim())) faults.push({ field: 'timeZone', code: 'unknown_zone' })
  return faults.length > 0 ? err(faults) : ok({ name, credentials, languages, timeZone: raw.timeZone.trim() })
}
