/** Something changes: the helper can't come. Plan and decision are worked out again, and the coordinator settles it. */
import { plainTitle, questionOf, stationTitle } from './home-answers.ts'
import { mailTo } from './mail-tray.ts'
import { bookSomeStart, comeByLink, deskLine, lastingStarts, screenedReferral } from './referral-walk.ts'
import { expect, problems, test } from './watched.ts'

test('when the helper cannot come, the plan shrinks, the packet says so and the coordinator settles it', {
  tag: '@phone',
}, async ({ desk, open, newPatient }) => {
  const patient = newPatient()
  const condition = 'Flat foot (posterior tibial tendon), suspected'
  const referralId = await screenedReferral(desk, patient, { condition })
  await bookSomeStart(desk, referralId, patient)
  await desk.getByRole('link', { name: 'Open the visit' }).click()
  await expect(desk).toHaveURL(/\/visits\//)
  const visit = new URL(desk.url()).pathname
  const plan = desk.getByRole('table', { name: 'The exam in its order' }).getByRole('rowheader')
  await expect(plan.first()).toBeVisible()
  const before = await plan.count()
  await expect(plan.filter({ hasText: stationTitle('strength_inner') })).toHaveCount(1)

  const phone = await open({ device: 'phone' })
  await comeByLink(phone, patient)
  await phone.getByRole('link', { name: 'Tell us what changed' }).click()
  await phone.getByRole('button', { name: 'My helper cannot come' }).click()
  await expect(phone.getByText('Thank you for telling us. We have changed your plan.')).toBeVisible()
  await expect(phone.getByRole('button', { name: 'My helper cannot come' })).toHaveCount(0)
  await phone.goto('/my/packet')
  await expect(phone.locator('#changes')).toContainText('You do not need a helper now.')
  await expect(phone.locator('#changes')).toContainText(`We leave this out: ${plainTitle('strength_inner')}.`)
  await expect(phone.locator('#setUps').getByRole('heading', { name: plainTitle('strength_inner') })).toHaveCount(0)
  expect((await mailTo(patient.email, /Your visit plan has changed/)).html).toContain('See what is new')

  await desk.goto('/desk')
  await expect(deskLine(desk, 'Book again', patient)).toBeVisible()
  await desk.goto(visit)
  const task = desk.getByRole('region', { name: 'Something changed' })
  await expect(task).toContainText('The helper cannot come. Keep this visit with fewer stations')
  await expect(task).toContainText('video with gaps')
  expect(await plan.count()).toBeLessThan(before)
  await expect(plan.filter({ hasText: stationTitle('strength_inner') })).toHaveCount(0)
  await desk.goto(`/referrals/${referralId}/screening`)
  await expect(desk.getByRole('heading', { level: 1 })).toContainText('video with gaps')

  await desk.goto(visit)
  await task.getByRole('button', { name: 'Keep the visit as it is now' }).click()
  await expect(problems(desk)).toContainText('Write down what was said or decided')
  await task.getByLabel('What was decided').fill('Kept: the strength test waits for the next visit.')
  await task.getByRole('button', { name: 'Keep the visit as it is now' }).click()
  await expect(task).toHaveCount(0)
  await desk.goto('/desk')
  await expect(deskLine(desk, 'Booked', patient)).toBeVisible()
})

test('when nobody can hold a patient who may fall, the visit by video no longer fits and the way to the clinic is shown', async ({
  desk,
  newPatient,
}) => {
  const patient = newPatient()
  const condition = 'Flat foot (posterior tibial tendon), suspected'
  // Safe only because somebody stands beside.
  const referralId = await screenedReferral(desk, patient, { condition, home: { unsteady: true } })
  await bookSomeStart(desk, referralId, patient)
  await expect(desk.getByRole('heading', { level: 1 })).toContainText('is booked by video')
  await desk.getByRole('link', { name: 'Open the visit' }).click()
  await desk.getByRole('button', { name: 'No helper for this visit' }).click()
  const task = desk.getByRole('region', { name: 'Something changed' }).filter({ hasText: 'no longer be done by video' })
  await expect(task).toContainText('See this patient in person by the see-by time')
  await task.getByRole('link', { name: 'Find another start' }).click()
  await expect(desk.getByRole('heading', { name: 'Other starts at the clinic' })).toBeVisible()
  const starts = lastingStarts(desk)
  await starts.nth(patient.nth % (await starts.count())).check()
  await desk.getByRole('button', { name: 'Move the visit to this start' }).click()
  await expect(desk.getByRole('heading', { level: 1 })).toContainText('is booked at the clinic for')
  await desk.goto('/desk')
  await expect(deskLine(desk, 'Booked', patient)).toBeVisible()
})

test('a new sign told from the visit page stops everything and calls the coordinator', { tag: '@phone' }, async ({
  desk,
  open,
  newPatient,
}) => {
  const patient = newPatient()
  const referralId = await screenedReferral(desk, patient, { condition: 'Plantar heel pain' })
  await bookSomeStart(desk, referralId, patient)
  const phone = await open({ device: 'phone' })
  await comeByLink(phone, patient)
  await phone.getByRole('link', { name: 'Tell us what changed' }).click()
  await phone.getByRole('link', { name: 'Tell us what is new' }).click()
  await phone.getByRole('button', { name: 'Send this' }).click()
  await expect(problems(phone)).toContainText('Tick what is true now.')
  await phone.getByRole('checkbox', { name: 'Do you have new chest pain, or is it hard to breathe?' }).check()
  await phone.getByRole('button', { name: 'Send this' }).click()
  await expect(phone.getByRole('heading', { level: 1 })).toHaveText('Get help now')
  await desk.goto('/desk')
  await expect(deskLine(desk, 'Call now', patient)).toBeVisible()
})

test('what only matters beside a sign is asked under it once that is ticked, also without a script', {
  tag: '@phone',
}, async ({ desk, open, newPatient }) => {
  const patient = newPatient()
  await screenedReferral(desk, patient, { condition: 'Plantar heel pain', hasLink: true })
  const phone = await open({ device: 'phone', javaScript: false })
  await comeByLink(phone, patient)
  await phone.goto('/my/change/symptoms')
  const surgery = phone.getByRole('checkbox', { name: questionOf('surgery_recent') })
  const wound = phone.getByRole('checkbox', { name: questionOf('wound_open') })
  await expect(wound).toHaveCount(0)
  await surgery.check()
  await wound.check()
  // What is ticked never goes out of sight.
  await surgery.uncheck()
  await expect(wound).toBeChecked()
  await phone.getByRole('button', { name: 'Send this' }).click()
  await expect(phone.getByRole('heading', { level: 1 })).toHaveText('Call the clinic today')
})
