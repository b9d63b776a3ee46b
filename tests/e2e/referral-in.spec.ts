/** Referrals come in: typed, from a CSV file, from a FHIR bundle; bad rows are named, and nothing comes in twice. */
import { readFileSync, rmSync, truncateSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { deskLine, fillLetter, typeReferral } from './referral-walk.ts'
import { expect, type Page, problems, test } from './watched.ts'

test('a typed referral stands on the desk under what has to happen next, with what it left out', async ({
  desk,
  newPatient,
}) => {
  const patient = newPatient({ phone: '' })
  await desk.goto('/desk')
  await desk.getByRole('link', { name: 'New referral' }).click()
  await fillLetter(desk, patient, { reason: 'Heel sore in the morning.', side: 'Not told', icd10: 'M72.2' })
  await desk.getByRole('button', { name: 'Add this referral' }).click()

  await expect(desk.getByRole('status')).toContainText('The referral is in.')
  await expect(desk.getByRole('heading', { level: 1 })).toContainText(`${patient.name}.`)
  const missing = desk.getByRole('list', { name: 'What is missing' })
  await expect(missing).toContainText('Phone')
  await expect(missing).toContainText('Left, right or both')
  await expect(desk.getByRole('list', { name: 'History' })).toContainText('Robin Marl took the referral in (typed)')

  await desk.getByRole('link', { name: 'Desk', exact: true }).first().click()
  await expect(deskLine(desk, 'Triage', patient)).toContainText('Missing: phone')
})

test('what is wrong with a typed referral is said beside the field, and nothing typed is lost', async ({
  desk,
  newPatient,
}) => {
  const patient = newPatient({ family: '', email: 'not an address' })
  await desk.goto('/referrals/new')
  await fillLetter(desk, patient)
  await desk.getByRole('button', { name: 'Add this referral' }).click()

  const alert = problems(desk)
  await expect(alert.getByRole('link')).toHaveCount(2)
  await expect(desk).toHaveTitle(/^Error: /)
  await expect(desk.getByLabel('First and middle names')).toHaveValue(patient.given)
  await expect(desk.getByLabel('E-mail address')).toHaveValue('not an address')
  await alert.getByRole('link').first().click()
  await expect(desk.getByLabel('Last name or names')).toBeFocused()
})

test('a CSV file comes in once, and the same file again brings nothing', async ({ desk }) => {
  await bringIn(desk, 'seed/samples/referrals.csv')
  const first = desk.getByRole('heading', { level: 1 })
  await expect(first).toHaveText('12 referrals came in.')

  await bringIn(desk, 'seed/samples/referrals.csv')
  await expect(first).toHaveText('No referral came in, 12 were known already.')
  await desk.goto('/desk?show=triage')
  await expect(desk.getByRole('link', { name: 'Quillon Samplewood' })).toHaveCount(1)
})

test('rows that could not come in are listed with line, column and reason; the good ones are in', async ({ desk }) => {
  await bringIn(desk, 'seed/samples/referrals-with-faults.csv')
  await expect(desk.getByRole('heading', { level: 1 })).toHaveText(/^2 referrals came in, \d+ faults to mend\.$/)
  const rows = await desk.getByRole('table', { name: 'Rows that could not come in' }).locator('tbody tr').all()
  const faults = await Promise.all(rows.map(async (row) => row.locator('td').allTextContents()))
  const places = faults.map(([line, column]) => `${line} ${column}`)
  // Counted by hand in the file: the header is line 1, and the row that begins in line 5 is two lines long.
  expect(places).toEqual(
    expect.arrayContaining(['3 birth_date', '4 family_name', '4 phone', '5 birth_date', '5 email', '5 side']),
  )
  expect(places).toEqual(expect.arrayContaining([expect.stringMatching(/^8 /), expect.stringMatching(/^9 /)]))
  expect(places.filter((place) => /^[27] /.test(place))).toEqual([])
  for (const [, , reason] of faults) expect(reason).toMatch(/\w+ \w+/)
})

test('a FHIR bundle comes in with its patients, codes and urgency', async ({ desk }) => {
  await bringIn(desk, 'seed/samples/referrals.fhir.json')
  await expect(desk.getByRole('heading', { level: 1 })).toHaveText(/^4 referrals came in/)
  await desk.goto('/desk?show=triage')
  await desk.getByRole('link', { name: 'Ottoline Mockingham' }).click()
  await expect(desk.getByRole('definition').filter({ hasText: 'M76.822' })).toBeVisible()
  await expect(desk.getByRole('list', { name: 'History' })).toContainText('took the referral in (from a FHIR file)')
})

test('the template to start from comes in as it is', async ({ desk }, testInfo) => {
  await desk.goto('/referrals/import')
  const download = desk.waitForEvent('download')
  await desk.getByRole('link', { name: 'Download a template' }).click()
  const path = testInfo.outputPath('referrals-template.csv')
  await (await download).saveAs(path)
  const columns = await desk
    .getByRole('table', { name: 'Columns of a CSV file' })
    .getByRole('rowheader')
    .allTextContents()
  expect(readFileSync(path, 'utf8').split(/\r?\n/)[0]?.split(',')).toEqual(columns)
  await bringIn(desk, path)
  await expect(desk.getByRole('heading', { level: 1 })).toHaveText(/^1 referral came in/)
})

test('somebody whom the clinic may know is shown beside the record, and stays apart when a person says so', async ({
  desk,
  newPatient,
}) => {
  const patient = newPatient()
  await typeReferral(desk, patient)
  // Another number and address, the same name and date of birth.
  await typeReferral(desk, { ...patient, phone: '503-555-0177', email: '' }, { reason: 'Now the other foot.' })
  const question = desk.getByRole('table', { name: /^Speaks for it: same name, same date of birth/ })
  await expect(question).toContainText(patient.email)
  await expect(desk.getByRole('heading', { level: 1 })).toContainText('Next: same person')

  await desk.getByRole('button', { name: 'Different people: keep them apart' }).click()
  await expect(desk.getByRole('status')).toContainText('Kept apart: they are two people.')
  await expect(question).toHaveCount(0)
  await desk.goto('/desk?show=triage')
  await expect(desk.getByRole('link', { name: patient.name })).toHaveCount(2)
})

test('a second referral for the same person joins the record that was there', async ({ desk, newPatient }) => {
  const patient = newPatient()
  await typeReferral(desk, patient)
  await typeReferral(desk, { ...patient, phone: '503-555-0178', email: '' }, { reason: 'Now the other foot.' })
  await desk.getByRole('button', { name: 'Same person: join them' }).click()
  await expect(desk.getByRole('status')).toContainText('The referral now belongs to the record that was there.')
  // What the record knew is known of the new referral.
  await expect(desk.getByRole('definition').filter({ hasText: patient.email })).toBeVisible()
})

test('the same typed referral again opens the one that is there', async ({ desk, newPatient }) => {
  const patient = newPatient()
  const referralId = await typeReferral(desk, patient)
  await desk.goto('/referrals/new')
  await fillLetter(desk, patient)
  await desk.getByRole('button', { name: 'Add this referral' }).click()
  await expect(desk.getByRole('status')).toContainText('This referral was here before. Nothing was added.')
  await expect(desk).toHaveURL(new RegExp(`/referrals/${referralId}`))
})

test.describe('a file of 50 MB', () => {
  test.use({ expectedComplaints: [/status of 413/] })

  test('is refused in plain words, with a way on', async ({ desk }) => {
    const path = join(tmpdir(), `farstep-e2e-large-${process.pid}.csv`)
    writeFileSync(path, 'external_id,given_name\n')
    truncateSync(path, 50 * 1024 * 1024)
    await bringIn(desk, path)
    rmSync(path)
    await expect(desk.getByRole('heading', { name: 'The file is too large' })).toBeVisible()
    await expect(desk.getByText('A file may have up to 10 MB. Nothing of it was brought in.')).toBeVisible()
    await desk.getByRole('link', { name: 'Choose another file' }).click()
    await expect(desk.getByLabel('File', { exact: true })).toBeVisible()
  })
})

async function bringIn(desk: Page, path: string): Promise<void> {
  await desk.goto('/referrals/import')
  await desk.getByLabel('File', { exact: true }).setInputFiles(path)
  await desk.getByRole('button', { name: 'Bring this file in' }).click()
  await expect(desk).toHaveURL(/\/referrals\/import\/[\w-]+$|\/api\/imports$/)
}
