/** Screening: station by station with the reason, the decision with its rule, and a person's say beside the engine's. */
import { questionOf, stationTitle } from './home-answers.ts'
import { screenedReferral } from './referral-walk.ts'
import { expect, type Page, problems, test } from './watched.ts'

const FLAT_FOOT = 'Flat foot (posterior tibial tendon), suspected'

test('each station says yes, no or not known with its reason, and what is not known asks again', async ({
  desk,
  newPatient,
}) => {
  // No helper closes the strength test; a wall that nobody is sure of leaves the heel raise open.
  const home = { helper: false, support: 'not_sure', lane_m: 2.8 } as const
  const referralId = await screenedReferral(desk, newPatient(), { condition: FLAT_FOOT, home })
  await desk.goto(`/referrals/${referralId}/screening`)
  await expect(desk.getByRole('heading', { level: 1 })).toContainText('ask again')
  await expect(station(desk, 'posture_behind')).toContainText(/Can be done.*Alone/)
  await expect(station(desk, 'walk')).toContainText(/Can be done.*misses: Fewer than four steps each way/)
  await expect(station(desk, 'strength_inner')).toContainText(/Cannot.*no helper/)
  await expect(station(desk, 'heel_raise_single')).toContainText(/Not known.*wall or counter to hold/)
  await expect(desk.getByText(/\d of 3 essential.* stations can be done at this home: \d+ % of the exam/)).toBeVisible()
  const answer = definition(desk, 'The engine’s answer')
  await expect(answer).toHaveText('Ask again')
  await expect(definition(desk, 'Said to the patient')).toContainText('We need a few more answers from you')

  const ask = desk
    .getByRole('region', { name: 'What to ask next' })
    .or(desk.locator('section', { hasText: 'What to ask next' }))
  await expect(ask.first().getByRole('listitem')).toHaveText([questionOf('support')])
  // The answer is found out on the phone, and decides it.
  await ask
    .first()
    .getByRole('link', { name: questionOf('support') })
    .click()
  await desk
    .getByRole('group', { name: questionOf('support') })
    .getByRole('radio', { name: 'Yes', exact: true })
    .check()
  await desk.getByRole('button', { name: 'Save what is filled in' }).click()
  await expect(desk.getByRole('status')).toContainText('Saved.')
  await desk.goto(`/referrals/${referralId}/screening`)
  await expect(answer).toHaveText('Video with gaps')
  await expect(station(desk, 'heel_raise_single')).toContainText('Can be done')
})

test('a home with everything is seen by video, with a plan in order and the minutes in which the helper is needed', async ({
  desk,
  newPatient,
}) => {
  const referralId = await screenedReferral(desk, newPatient(), { condition: FLAT_FOOT })
  await desk.goto(`/referrals/${referralId}/screening`)
  await expect(definition(desk, 'The engine’s answer')).toHaveText('Video')
  await expect(
    desk.getByText(/^A visit of \d+ minutes, \d+ of them exam\. The helper is needed from minute \d+/),
  ).toBeVisible()
  const minutes = await desk
    .getByRole('table', { name: 'Stations in order' })
    .locator('tbody tr td:first-child')
    .allTextContents()
  expect(minutes.length).toBeGreaterThan(5)
  expect(minutes.map(Number)).toEqual(minutes.map(Number).toSorted((a, b) => a - b))
})

test('a person decides otherwise only with a reason, and the engine’s answer stays beside it', async ({
  desk,
  newPatient,
}) => {
  const patient = newPatient()
  const referralId = await screenedReferral(desk, patient, { condition: FLAT_FOOT })
  await desk.goto(`/referrals/${referralId}/screening`)
  await desk.getByLabel('Decision', { exact: true }).selectOption('In person')
  await desk.getByRole('button', { name: 'Decide otherwise' }).click()
  await expect(problems(desk)).toBeVisible()
  await expect(desk).toHaveTitle(/^Error: /)
  await expect(desk.getByLabel('Decision', { exact: true })).toHaveValue('in_person')

  await desk.getByLabel('Reason', { exact: true }).fill('Hard of hearing; asks to be seen in person.')
  await desk.getByRole('button', { name: 'Decide otherwise' }).click()
  await expect(desk.getByRole('status')).toContainText('Your decision counts from now on.')
  await expect(definition(desk, 'Decided by Robin Marl')).toHaveText(
    'In person: “Hard of hearing; asks to be seen in person.”',
  )
  await expect(definition(desk, 'The engine’s answer')).toHaveText('Video, set aside')

  // The booking follows the person; a clinician reads both.
  await desk.goto(`/referrals/${referralId}/book`)
  await expect(desk.getByRole('heading', { name: 'Starts at the clinic' })).toBeVisible()
  await desk.goto(`/referrals/${referralId}`)
  await expect(desk.getByRole('list', { name: 'History' })).toContainText(
    'decided otherwise than the engine: in person',
  )
})

test('a decision made on an answer that has changed meanwhile is not saved unread', async ({
  desk,
  open,
  newPatient,
}) => {
  const referralId = await screenedReferral(desk, newPatient(), { condition: FLAT_FOOT })
  const other = await open({ as: 'lead' })
  await other.goto(`/referrals/${referralId}/screening`)
  await desk.goto(`/referrals/${referralId}/check`)
  await desk
    .getByRole('group', { name: questionOf('unsteady') })
    .getByRole('radio', { name: 'Yes', exact: true })
    .check()
  await desk.getByRole('button', { name: 'Save what is filled in' }).click()
  await expect(desk.getByRole('status')).toContainText('Saved.')

  await other.getByLabel('Decision', { exact: true }).selectOption('In person')
  await other.getByLabel('Reason', { exact: true }).fill('Asks to be seen in person.')
  await other.getByRole('button', { name: 'Decide otherwise' }).click()
  await expect(other.getByRole('status')).toContainText('it was screened again. Read it first')
  await expect(definition(other, 'Decided by')).toHaveCount(0)
})

/** The row of a station. */
function station(desk: Page, stationId: string) {
  return desk
    .getByRole('row')
    .filter({ has: desk.getByRole('rowheader', { name: stationTitle(stationId), exact: true }) })
    .filter({ hasText: /Can be done|Cannot|Not known/ })
}

function definition(desk: Page, name: string) {
  return desk.locator('dt', { hasText: name }).locator('xpath=following-sibling::dd[1]')
}
