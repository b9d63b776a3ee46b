/** The steps by which the clinic keeps itself, taken on its own pages. */
import { expect, type Page } from '@playwright/test'
import { Temporal } from '#lib/base/time.ts'
import { CLINIC_ZONE } from '#seed/demo-clinic.ts'
import { problems } from './watched.ts'

export const today = Temporal.Now.zonedDateTimeISO(CLINIC_ZONE).toPlainDate()
/** "March 2, 2027", with the weekday where it is asked for. */
export const dayWords = (date: Temporal.PlainDate, options: Intl.DateTimeFormatOptions = {}) =>
  date.toLocaleString('en-US', { year: 'numeric', month: 'long', day: 'numeric', ...options })

/** What the name of a clinician begins with whom a journey has added. */
export const ADDED_CLINICIAN = 'Doctor '
/** A name that no other run of a journey gives. */
export const clinicianNameOf = (family: string) => `${ADDED_CLINICIAN}${family}`

/** The next Sunday on which the clinic's clocks change. */
export function nextChange(): Temporal.PlainDate {
  const at = today.add({ days: 30 }).toZonedDateTime(CLINIC_ZONE).getTimeZoneTransition('next')
  if (!at) throw new Error('the clinic’s zone changes its clocks no more')
  return at.toPlainDate()
}

export async function fillDate(page: Page, label: string, date: Temporal.PlainDate): Promise<void> {
  const group = page.getByRole('group', { name: label })
  await group.getByLabel('Month').fill(String(date.month))
  await group.getByLabel('Day').fill(String(date.day))
  await group.getByLabel('Year').fill(String(date.year))
}

/** Adds a clinician with a licence of Oregon; stands on their page afterwards. */
export async function addClinician(desk: Page, name: string): Promise<void> {
  await desk.goto('/clinic')
  await desk.getByRole('link', { name: 'People' }).click()
  await desk.getByRole('link', { name: 'Add a clinician' }).click()
  await desk.getByRole('button', { name: 'Add this clinician' }).click()
  await expect(problems(desk)).toContainText('Enter the name')
  await desk.getByLabel('Name', { exact: true }).fill(name)
  await desk.getByLabel('Credentials').fill('DPM')
  await desk.getByRole('button', { name: 'Add this clinician' }).click()
  await expect(desk.getByRole('heading', { name: 'Added.' })).toBeVisible()
  await expect(desk.getByRole('heading', { level: 1 })).toHaveText(`${name}, DPM: holds no licence today.`)

  await desk.getByLabel('State').selectOption('Oregon')
  await fillDate(desk, 'Valid from', today.subtract({ years: 1 }))
  await fillDate(desk, 'Valid to', today.subtract({ years: 2 }))
  await desk.getByRole('button', { name: 'Add this licence' }).click()
  await expect(problems(desk)).toContainText('It ends before it starts')
  for (const part of ['Month', 'Day', 'Year'])
    await desk.getByRole('group', { name: 'Valid to' }).getByLabel(part).fill('')
  await desk.getByRole('button', { name: 'Add this licence' }).click()
  await expect(desk.getByRole('heading', { level: 1 })).toHaveText(`${name}, DPM: may examine patients in Oregon.`)
}
