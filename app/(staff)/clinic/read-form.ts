/** Reads what was typed on a page of the clinic: text trimmed, dates as yyyy-mm-dd or a text that is no date. */
import { readDate } from '#app/_ui/read-date.ts'

export function textIn(form: FormData, name: string): string {
  return String(form.get(name) ?? '').trim()
}

/** A date whose parts make none is passed on as such, so that it is refused at its field. */
export function dateIn(form: FormData, name: string): string {
  const read = readDate(form, name)
  if (read.ok) return read.value.toString()
  return read.error.code === 'missing' ? '' : 'no date'
}

/** What the person ticked below the visits that lose their place. */
export function marksIn(form: FormData): string[] {
  return textIn(form, 'confirmed').split(' ').filter(Boolean)
}

/** Null where nothing was carried along, as on the form for something new. */
export function versionIn(form: FormData): number | null {
  const version = textIn(form, 'version')
  return /^\d+$/.test(version) ? Number(version) : null
}
