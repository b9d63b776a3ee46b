/** The standby list: a patient asks for a sooner time on the phone, one comes free, and they take it. */
import { mailTo } from './mail-tray.ts'
import { checkPage, checkPatientPage } from './page-checks.ts'
import { bookStartAhead, comeByLink, screenedReferral } from './referral-walk.ts'
import { expect, type Page, problems, test } from './watched.ts'

// One after the other: what one of them frees would fit the other's patient too. Both wait for what is at least a week away,
// because other journeys free sooner times meanwhile.
test.describe.configure({ mode: 'serial' })

const CONDITION = 'Big-toe arthritis (hallux rigidus), suspected'

test('a time that comes free is offered to who waits for one, and they say yes on the phone', async ({
  desk,
  open,
  newPatient,
}) => {
  const [leaver, waiter] = [newPatient(), newPatient()]
  // Time that nobody else of the list could use: they would be asked first if they were more urgent.
  const leaving = await screenedReferral(desk, leaver, { condition: CONDITION })
  await bookStartAhead(desk, leaving, { days: 14 })
  const freed = await startOf(desk)
  const waiting = await screenedReferral(desk, waiter, { condition: CONDITION, hasLink: true })
  await bookStartAhead(desk, waiting, { days: 35 })
  const had = await startOf(desk)

  const phone = await open({ device: 'phone' })
  await comeByLink(phone, waiter)
  await phone.getByRole('link', { name: 'Your visit' }).click()
  await phone.getByRole('button', { name: 'Tell me about sooner times' }).click()
  await expect(problems(phone)).toContainText('Choose how soon you could come')
  await phone.getByRole('radio', { name: '7 days after you hear from us' }).check()
  await checkPatientPage(phone)
  await phone.getByRole('button', { name: 'Tell me about sooner times' }).click()
  await expect(phone.getByRole('heading', { name: 'We will tell you when a sooner time is free' })).toBeVisible()
  await phone.goto('/my/offer')
  await expect(phone.getByRole('heading', { level: 1 })).toHaveText('There is no offer for you now')

  await desk.goto(`/referrals/${leaving}/book`)
  await desk.getByLabel('Why it is cancelled').fill('They found help nearer by.')
  await desk.getByRole('button', { name: 'Cancel this visit' }).click()
  await expect(desk.getByRole('heading', { name: /^Cancelled\./ })).toBeVisible()

  await desk.goto('/clinic/standby')
  await expect(async () => {
    await desk.reload()
    const asked = desk.getByRole('list', { name: 'Offers that wait for an answer' })
    await expect(asked.getByRole('listitem').filter({ hasText: waiter.name })).toBeVisible({ timeout: 500 })
  }).toPass({ timeout: 30_000 })
  await checkPage(desk)

  await phone.goto('/my')
  await phone.getByRole('link', { name: 'A sooner visit' }).click()
  await expect(phone.getByRole('heading', { level: 1 })).toHaveText('Do you want to be seen sooner?')
  await expect(phone.getByText(/We keep this time for you until .* Pacific Time/)).toBeVisible()
  await checkPatientPage(phone)
  await phone.getByRole('button', { name: 'Yes, I want this time' }).click()
  await expect(phone.getByRole('heading', { level: 1 })).toHaveText('This time is yours')
  await checkPatientPage(phone)
  await mailTo(waiter.email, /Your visit has a new time/)

  await desk.goto(`/referrals/${waiting}/book`)
  expect(await startOf(desk)).toBe(freed)
  expect(freed).not.toBe(had)
  await desk.goto('/clinic/standby')
  const earlier = desk.getByRole('table', { name: 'Earlier offers' }).getByRole('row').filter({ hasText: waiter.name })
  await expect(earlier).toContainText('Accepted')
  const list = desk.getByRole('table', { name: 'Who would come sooner' })
  await expect(list.getByRole('row').filter({ hasText: waiter.name })).toHaveCount(0)
})

test('the coordinator puts a patient on the list, says no for them on the phone, and takes them off', async ({
  desk,
  newPatient,
}) => {
  const [leaver, waiter] = [newPatient(), newPatient()]
  const leaving = await screenedReferral(desk, leaver, { condition: CONDITION })
  await bookStartAhead(desk, leaving, { days: 14 })
  const waiting = await screenedReferral(desk, waiter, { condition: CONDITION })
  await bookStartAhead(desk, waiting, { days: 35 })
  await desk.goto(`/referrals/${waiting}`)
  await desk.getByRole('link', { name: 'Standby list' }).click()
  await desk.getByRole('button', { name: 'Put on the list' }).click()
  await expect(problems(desk)).toContainText('Choose the notice they need')
  await desk.getByLabel('The shortest notice at which they can come').selectOption('7 days')
  await desk.getByRole('button', { name: 'Put on the list' }).click()
  await expect(desk.getByRole('heading', { name: /^On the list\./ })).toBeVisible()

  await desk.goto(`/referrals/${leaving}/book`)
  await desk.getByLabel('Why it is cancelled').fill('They found help nearer by.')
  await desk.getByRole('button', { name: 'Cancel this visit' }).click()
  await expect(desk.getByRole('heading', { name: /^Cancelled\./ })).toBeVisible()
  await desk.goto('/clinic/standby')
  const asked = desk.getByRole('list', { name: 'Offers that wait for an answer' })
  const mine = asked.getByRole('listitem').filter({ hasText: waiter.name })
  await expect(async () => {
    await desk.reload()
    await expect(mine).toBeVisible({ timeout: 500 })
  }).toPass({ timeout: 30_000 })
  await mine.getByRole('button', { name: 'They said no' }).click()
  await expect(desk.getByRole('heading', { name: /^Declined\./ })).toBeVisible()
  await desk.getByRole('button', { name: `Take off ${waiter.name}` }).click()
  await expect(desk.getByRole('heading', { name: /^Taken off the list\./ })).toBeVisible()
})

/** The start of the booked visit, from the sentence of the booking page. */
async function startOf(page: Page): Promise<string | null> {
  return page.getByRole('heading', { level: 1 }).locator('time').getAttribute('datetime')
}
