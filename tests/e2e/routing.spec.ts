/** Routing: who can't be examined safely at home comes to the clinic in time, and knows why. */
import { plainTitle, stationTitle } from './home-answers.ts'
import { mailTo } from './mail-tray.ts'
import { bookSomeStart, comeByLink, deskLine, screenedReferral, triage, typeReferral } from './referral-walk.ts'
import { expect, test } from './watched.ts'

/** Whoever may fall and is alone stands up for nobody: the standing stations are closed. */
const ALONE_AND_UNSTEADY = { unsteady: true, helper: false } as const
const STANDING = ['posture_behind', 'heel_raise_single', 'walk']

test('an unsafe home leads to a start at the clinic before the see-by time, with the reason on file and in the mail', async ({
  desk,
  open,
  newPatient,
}) => {
  const patient = newPatient()
  const condition = 'Flat foot (posterior tibial tendon), suspected'
  const referralId = await screenedReferral(desk, patient, { condition, home: ALONE_AND_UNSTEADY })
  await expect(async () => {
    await desk.goto('/desk')
    await expect(deskLine(desk, 'Book in person', patient)).toBeVisible()
  }).toPass()
  await desk.goto(`/referrals/${referralId}`)
  const reason = 'In person: essential stations can’t be done at this home'.replace('’', "'")
  await expect(desk.getByText(reason)).toContainText(stationTitle('heel_raise_single'))
  const seeBy = await desk.getByRole('heading', { level: 1 }).locator('time').getAttribute('datetime')

  await desk.getByRole('link', { name: 'Find a start at the clinic' }).click()
  await expect(desk.getByRole('heading', { name: 'Starts at the clinic' })).toBeVisible()
  const offered = await desk
    .locator('label time')
    .evaluateAll((times) => times.map((time) => time.getAttribute('datetime')))
  expect(offered.length).toBeGreaterThan(3)
  for (const start of offered) expect(Date.parse(start ?? '')).toBeLessThanOrEqual(Date.parse(seeBy ?? ''))
  await bookSomeStart(desk, referralId, patient)
  await expect(desk.getByRole('heading', { level: 1 })).toContainText(`${patient.name} is booked at the clinic for`)

  const mail = await mailTo(patient.email, /Your visit at the clinic is booked/)
  expect(mail.text).toContain('Some of the tests you need cannot be done at home.')
  expect(mail.text).toMatch(/Demonstration Avenue|Example Road/)
  expect(mail.invite).toMatch(/LOCATION:.*(Demonstration Avenue|Example Road)/)
  // Nothing to do at home is asked of somebody for whom it is unsafe.
  for (const stationId of STANDING) expect(mail.text).not.toContain(plainTitle(stationId))
  expect(mail.text).not.toContain('How to get ready')

  const phone = await open({ device: 'phone' })
  await comeByLink(phone, patient)
  await expect(phone.getByText(/^At the clinic: /)).toBeVisible()
  await expect(phone.getByRole('link', { name: 'How to get ready' })).toHaveCount(0)
  await phone.goto('/my/packet')
  await expect(phone.getByRole('heading', { level: 1 })).toHaveText('You have no video visit to get ready for')
})

test('an urgent condition is seen by hand in time, and an early look by video only goes beside it', async ({
  desk,
  newPatient,
}) => {
  const patient = newPatient()
  const referralId = await typeReferral(desk, patient)
  await triage(desk, referralId, { condition: 'Achilles tendon rupture, suspected' })
  await expect(desk.getByRole('heading', { name: 'Disposition: urgent in person' })).toBeVisible()
  await desk.goto(`/referrals/${referralId}/book`)
  await expect(desk.getByRole('heading', { name: 'Starts at the clinic' })).toBeVisible()
  const start = desk.getByRole('button', { name: 'Book this start' })
  const relaxed = desk.getByRole('link', { name: /^Show starts|^Look / })
  // Between two working days no start may lie within a day; then the page says what would give the earliest.
  await expect(start.or(relaxed).first()).toBeVisible()
  if ((await start.count()) === 0) await expect(desk.getByText(/^The earliest would be/)).toBeVisible()
})
