/**
 * A coordinator's way with one referral and nothing but the keyboard. After each deed the keyboard stands on what says how
 * it went, and goes on from there. The visit itself and its signature: `run-sheet-keyboard.spec.ts`.
 */
import { expectArrived, expectSaid, focus, press } from './keyboard.ts'
import { fillHomeCheckByPhone, lastingStarts, typeReferral } from './referral-walk.ts'
import { expect, type Locator, type Page, test } from './watched.ts'

test('a referral is triaged, asked by phone, booked, moved, prepared and closed with the keyboard alone', async ({
  desk,
  newPatient,
}) => {
  test.setTimeout(360_000)
  const patient = newPatient()
  const sentence = desk.getByRole('heading', { level: 1 })
  const referralId = await typeReferral(desk, patient)

  await press(desk, desk.getByRole('link', { name: 'Triage this referral' }), 'Enter')
  await expectArrived(desk, sentence)
  await choose(
    desk,
    desk.getByRole('group', { name: 'Suspected condition' }),
    'Flat foot (posterior tibial tendon), suspected',
  )
  await press(desk, desk.getByRole('button', { name: 'Save this triage' }), 'Enter')
  await expectSaid(desk, 'The triage is saved.')

  await press(desk, desk.getByRole('link', { name: 'Invite to the home check' }), 'Enter')
  await expectArrived(desk, sentence)
  await press(desk, desk.getByRole('button', { name: 'Send the link' }), 'Enter')
  await expectSaid(desk, 'The link is on its way to the patient.')
  // What is left to ask: the part of the form that is open.
  await press(desk, desk.getByRole('button', { name: 'Save what is filled in' }), 'Enter')
  await expectArrived(desk, desk.locator('#open'))
  // The many answers are put in by hand, and so is the last button: a ring that only the keyboard needs is not drawn.
  await fillHomeCheckByPhone(desk, referralId)
  await expect(desk.getByRole('status')).toBeFocused()

  await press(desk, desk.getByRole('link', { name: 'See what was decided' }), 'Enter')
  await expectArrived(desk, sentence)
  await press(desk, desk.getByRole('link', { name: 'Find a start' }), 'Enter')
  await expectArrived(desk, sentence)
  const starts = lastingStarts(desk)
  const chooseStart = () => focus(desk, starts.first()).then(() => desk.keyboard.press('Space'))
  for (const _ of ['held', 'held again']) {
    await chooseStart()
    await press(desk, desk.getByRole('button', { name: /^Hold it for/ }), 'Enter')
    await expectArrived(desk, desk.locator('#held'))
    await press(desk, desk.getByRole('button', { name: 'Let it go' }), 'Enter')
    await expectSaid(desk, 'Let go.')
  }
  await chooseStart()
  await press(desk, desk.getByRole('button', { name: 'Book this start' }), 'Enter')
  await expectSaid(desk, 'Booked. The patient is told')
  await chooseStart()
  await press(desk, desk.getByRole('button', { name: 'Move the visit to this start' }), 'Enter')
  await expectSaid(desk, 'Moved. The patient is told')

  await press(desk, desk.getByRole('link', { name: 'Open the visit' }), 'Enter')
  await expectArrived(desk, sentence)
  // Twice in a row, the page's address stays what it was.
  for (const _ of ['one item', 'another']) {
    await press(desk, desk.getByRole('group', { name: 'What did they confirm?' }).getByRole('radio').first(), 'Space')
    await press(desk, desk.getByRole('button', { name: 'Write it down' }), 'Enter')
    await expectSaid(desk, 'Written down as confirmed by phone.')
  }
  await press(desk, desk.getByRole('button', { name: 'No helper for this visit' }), 'Enter')
  await expectSaid(desk, 'Noted: no helper.')
  await focus(desk, desk.getByLabel('What was decided'))
  await desk.keyboard.type('We keep it with fewer stations.')
  await press(desk, desk.getByRole('button', { name: 'Keep the visit as it is now' }), 'Enter')
  await expectSaid(desk, 'Noted. The task is off the desk.')

  await press(desk, desk.getByRole('link', { name: 'Move or cancel this visit' }), 'Enter')
  await expectArrived(desk, sentence)
  await focus(desk, desk.getByLabel('Why it is cancelled'))
  await desk.keyboard.type('They are well again.')
  await press(desk, desk.getByRole('button', { name: 'Cancel this visit' }), 'Enter')
  await expectSaid(desk, 'Cancelled. The patient is told')
  await press(desk, desk.getByRole('link', { name: 'Referral', exact: true }), 'Enter', 'Shift+Tab')
  await expectArrived(desk, sentence)
  await press(desk, desk.locator('summary', { hasText: 'Close this referral' }), 'Enter')
  await focus(desk, desk.getByLabel('Why it is closed'))
  await desk.keyboard.type('They want no other visit.')
  await press(desk, desk.getByRole('button', { name: 'Close this referral' }), 'Enter')
  await expectSaid(desk, 'The referral is closed.')
  await focus(desk, desk.getByLabel('Why it is opened again'))
  await desk.keyboard.type('They called again.')
  await press(desk, desk.getByRole('button', { name: 'Open this referral again' }), 'Enter')
  await expectSaid(desk, 'The referral is open again.')
})

/** One of a group of choices, by the arrow keys. */
async function choose(page: Page, group: Locator, name: string): Promise<void> {
  const wanted = group.getByRole('radio', { name, exact: true })
  await press(page, group.getByRole('radio').first(), 'Space')
  while (!(await wanted.isChecked())) await page.keyboard.press('ArrowDown')
  await expect(wanted).toBeFocused()
}
