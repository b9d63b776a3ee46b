/** The phone rings: whoever is on it is found on the desk, also when their referral is closed, and it is taken up again. */
import { checkPage } from './page-checks.ts'
import { typeReferral } from './referral-walk.ts'
import { expect, type Page, test } from './watched.ts'

test('a caller is found by name and by phone, with or without JavaScript, and a closed referral is opened again', async ({
  desk,
  open,
  newPatient,
}) => {
  const patient = newPatient()
  const referralId = await typeReferral(desk, patient)
  await desk.getByText('Close this referral').first().click()
  await desk.getByLabel('Why it is closed').fill('Went elsewhere.')
  await desk.getByRole('button', { name: 'Close this referral' }).click()
  await expect(desk.getByRole('status')).toContainText('The referral is closed.')

  await desk.goto('/desk')
  const find = desk.getByRole('search')
  await find.getByRole('button', { name: 'Find' }).click()
  await expect(find.getByRole('status')).toContainText('Type a name, a phone number or a date of birth')
  await checkPage(desk)
  await pasteMuch(desk)
  await expect(find.getByRole('status')).toContainText('This is too long for a name')
  await find.getByLabel('Find a patient').fill(`${patient.family.slice(0, 6)} ${patient.given}`)
  await find.getByRole('button', { name: 'Find' }).click()
  await expect(find.getByRole('status')).toContainText('One patient is known by')
  const found = find.getByRole('listitem').filter({ hasText: patient.name })
  await expect(found).toContainText(', closed')
  // A name is never part of an address.
  expect(new URL(desk.url()).search).toBe('')
  await checkPage(desk)

  const plain = await open({ as: 'coordinator', javaScript: false })
  await plain.goto('/desk')
  await pasteMuch(plain)
  await expect(plain.getByRole('search').getByRole('status')).toContainText('This is too long for a name')
  await plain.getByLabel('Find a patient').fill(patient.phone)
  await plain.getByRole('button', { name: 'Find' }).click()
  await plain.getByRole('search').getByRole('listitem').filter({ hasText: patient.name }).getByRole('link').click()
  await expect(plain).toHaveURL(new RegExp(`/referrals/${referralId}$`))
  await plain.getByLabel('Why it is opened again').fill('Came back.')
  await plain.getByRole('button', { name: 'Open this referral again' }).click()
  await expect(plain.getByRole('status')).toContainText('The referral is open again.')
  await expect(plain.getByRole('heading', { level: 1 })).toContainText('Next: triage.')
})

/** A text that got there by mistake, and is longer than any form is read. */
async function pasteMuch(page: Page): Promise<void> {
  await page.getByLabel('Find a patient').focus()
  await page.keyboard.insertText('Pasted by mistake. '.repeat(60_000))
  await page.getByRole('button', { name: 'Find' }).click()
}
