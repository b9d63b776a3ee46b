/** Where the clinic sees people, as somebody typed it. */
import { err, ok, type Result } from '#lib/base/result.ts'
import { isZone } from '../calendar/check-session.ts'
import { US_STATES } from '../intake/us-states.ts'

export type SiteDraft = { name: string; address: string; state: string; timeZone: string }
export type SiteFault =
  | { field: 'name' | 'address' | 'state'; code: 'required' }
  | { field: 'name' | 'address'; code: 'too_long' }
  | { field: 'name'; code: 'taken' }
  | { field: 'timeZone'; code: 'unknown_zone' }

/** `taken`: names of the clinic's other sites; two of one name would send somebody to the wrong door. */
export function readSite(raw: SiteDraft, taken: readonly string[]): Result<SiteDraft, SiteFault[]> {
  const faults: SiteFault[] = []
  const site = {
    name: raw.name.trim().replace(/\s+/g, ' '),
    address: raw.address.trim().replace(/\s+/g, ' '),
    state: raw.state,
    timeZone: raw.timeZone.trim(),
  }
  for (const field of ['name', 'address'] as const) {
    if (site[field] === '') faults.push({ field, code: 'required' })
    if (site[field].length > 120) faults.push({ field, code: 'too_long' })
  }
  if (isTaken(site.name, taken)) faults.push({ field: 'name', code: 'taken' })
  if (!US_STATES.some(({ code }) => code === site.state)) faults.push({ field: 'state', code: 'required' })
  if (!isZone(site.timeZone)) faults.push({ field: 'timeZone', code: 'unknown_zone' })
  return faults.length > 0 ? err(faults) : ok(site)
}

export type RoomFault = { field: 'roomName'; code: 'required' | 'too_long' | 'taken' }

/** `taken`: names of the site's other rooms. */
export function readRoomName(raw: string, taken: readonly string[]): Result<string, RoomFault[]> {
  const name = raw.trim().replace(/\s+/g, ' ')
  if (name === '') return err([{ field: 'roomName', code: 'required' }])
  if (name.length > 60) return err([{ field: 'roomName', code: 'too_long' }])
  return isTaken(name, taken) ? err([{ field: 'roomName', code: 'taken' }]) : ok(name)
}

function isTaken(name: string, taken: readonly string[]): boolean {
  return taken.some((other) => other.toLowerCase() === name.toLowerCase())
}
