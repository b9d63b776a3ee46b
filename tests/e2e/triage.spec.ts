/** Triage: what is suspected, on which side, by when; and a red flag that stops everything until somebody has called. */
import { deskLine, flagGroup, triage, typeReferral } from './referral-walk.ts'
import { expect, problems, test, textOf } from './watched.ts'

test('condition, side and urgency give the time by which the patient is to be seen', async ({ desk, newPatient }) => {
  const patient = newPatient()
  const referralId = await typeReferral(desk, patient, { icd10: 'M72.2' })
  await desk.getByRole('link', { name: 'Triage this referral' }).click()
  // The code of the letter is only a suggestion, and says so.
  await expect(desk.getByRole('radio', { name: 'Plantar heel pain' })).toBeChecked()
  await expect(desk.getByText('Plantar heel pain (M72.2)')).toBeVisible()

  const urgent = desk.getByRole('radio', { name: 'Urgent', exact: true })
  const limit = await textOf(
    desk.getByRole('group', { name: 'Urgency' }).locator('label', { has: urgent }).locator('time'),
  )
  await urgent.check()
  await desk.getByRole('button', { name: 'Save this triage' }).click()
  await expect(desk.getByRole('status')).toContainText('The triage is saved.')
  await expect(desk.getByRole('heading', { level: 1 })).toContainText(
    new RegExp(`Left: Plantar heel pain.*to be seen by ${limit}`, 'i'),
  )
  await expect(desk.getByRole('list', { name: 'History' })).toContainText('triaged the referral')

  await desk.goto('/desk')
  await expect(deskLine(desk, 'Invite to the home check', patient)).toContainText('Left: Plantar heel pain')
  await expect(desk.locator(`a[href="/referrals/${referralId}"]`)).toHaveCount(1)
})

test('a triage without condition says so at the field and keeps what was chosen', async ({ desk, newPatient }) => {
  const referralId = await typeReferral(desk, newPatient())
  await desk.goto(`/referrals/${referralId}/triage`)
  await flagGroup(desk, 'diabetes').getByRole('radio', { name: 'Yes' }).check()
  await desk.getByRole('button', { name: 'Save this triage' }).click()
  await expect(desk).toHaveTitle('Error: Triage – Farstep')
  await expect(problems(desk).getByRole('link', { name: 'Choose the suspected condition' })).toBeVisible()
  await expect(flagGroup(desk, 'diabetes').getByRole('radio', { name: 'Yes' })).toBeChecked()
})

test('a flag of the same day brings the see-by time forward and leads to the clinic', async ({ desk, newPatient }) => {
  const patient = newPatient()
  const referralId = await typeReferral(desk, patient)
  await triage(desk, referralId, { condition: 'Achilles tendon rupture, suspected', flags: ['heel_snap'] })
  await expect(desk.getByRole('heading', { name: 'Disposition: urgent in person' })).toBeVisible()
  await expect(desk.getByRole('list', { name: 'Red flags raised' })).toContainText('(same day)')
  await expect(desk.getByRole('heading', { level: 1 })).toContainText(/\(in (\d+ hours?|1 day)\)/)
  await expect(desk.getByRole('heading', { level: 1 })).toContainText(/Next: (call now|book in person)/)
})

test('an emergency flag opens the advice and a call, and nothing else goes on until somebody has called', async ({
  desk,
  newPatient,
}) => {
  const patient = newPatient()
  const referralId = await typeReferral(desk, patient)
  await triage(desk, referralId, { condition: 'Plantar heel pain', flags: ['cold_foot'] })

  const call = desk.getByRole('region', { name: /^Call the patient now: Foot or leg suddenly cold/ })
  await expect(call).toContainText('Call 911 or your local emergency number now.')
  await expect(call.getByRole('link', { name: /503|208|541|971/ }).first()).toHaveAttribute('href', /^tel:\+1/)
  await expect(desk.getByRole('link', { name: 'Triage again' })).toHaveCount(0)

  await desk.goto('/desk')
  await expect(deskLine(desk, 'Call now', patient)).toBeVisible()
  await desk.goto(`/referrals/${referralId}/triage`)
  await expect(desk.getByRole('region', { name: 'Call the patient first' })).toBeVisible()
  await expect(desk.getByRole('button', { name: 'Save this triage' })).toHaveCount(0)
  await desk.goto(`/referrals/${referralId}/check`)
  await expect(desk.getByText('No link can be sent while an emergency call is open.')).toBeVisible()
  await desk.goto(`/referrals/${referralId}/book`)
  await expect(desk.getByRole('heading', { level: 1 })).toHaveText('Stopped: an emergency flag is open.')
  await expect(desk.getByRole('button', { name: 'Book this start' })).toHaveCount(0)

  await desk.goto(`/referrals/${referralId}#call`)
  await desk.getByRole('button', { name: 'I have called; go on' }).click()
  await expect(problems(desk)).toContainText('Write down what was said or done')
  await desk.getByLabel('What was said').fill('Spoke with the patient; an ambulance is on its way.')
  await desk.getByRole('button', { name: 'I have called; go on' }).click()
  await expect(desk.getByRole('status')).toContainText('Noted. The task is off the desk.')
  await expect(call).toHaveCount(0)
  await expect(desk.getByRole('list', { name: 'History' })).toContainText('an ambulance is on its way')
  // Answered, not forgotten: the flag stands, and coming to the clinic is the way on.
  await expect(desk.getByRole('list', { name: 'Red flags raised' })).toContainText('(emergency)')
  await desk.goto(`/referrals/${referralId}/book`)
  await expect(desk.getByRole('heading', { name: 'Starts at the clinic' })).toBeVisible()
})

test('two people triaging the same referral both see what the other chose', async ({ desk, open, newPatient }) => {
  const referralId = await typeReferral(desk, newPatient())
  const other = await open({ as: 'lead' })
  await other.goto(`/referrals/${referralId}/triage`)
  await triage(desk, referralId, { condition: 'Ankle sprain or instability' })

  await other.getByRole('radio', { name: 'Plantar heel pain' }).check()
  await other.getByRole('button', { name: 'Save this triage' }).click()
  await expect(problems(other)).toContainText('Saved by somebody else meanwhile: Ankle sprain')
  await expect(other.getByRole('radio', { name: 'Plantar heel pain' })).toBeChecked()
  await other.getByRole('button', { name: 'Save this triage' }).click()
  await expect(other.getByRole('status')).toContainText('The triage is saved.')
  await expect(other.getByRole('heading', { level: 1 })).toContainText('Plantar heel pain')
})
