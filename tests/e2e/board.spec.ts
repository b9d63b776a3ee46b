/** The readiness board: what each visit of the day still waits for, and how that changes when the patient says so. */
import { bookSomeStart, comeByLink, screenedReferral } from './referral-walk.ts'
import { expect, test, textOf } from './watched.ts'

test('the day’s visits show each readiness item, and the helper’s changes when the patient confirms', async ({
  desk,
  open,
  newPatient,
}) => {
  const patient = newPatient()
  const referralId = await screenedReferral(desk, patient, {
    condition: 'Flat foot (posterior tibial tendon), suspected',
  })
  await bookSomeStart(desk, referralId, patient)
  const startsAt = await desk.getByRole('heading', { level: 1 }).locator('time').getAttribute('datetime')
  await desk.getByRole('link', { name: 'Open the visit' }).click()
  await expect(desk).toHaveURL(/\/visits\//)
  const visit = new URL(desk.url()).pathname

  const board = await open({ as: 'lead' })
  await board.goto(`/board?day=${clinicDay(startsAt)}`)
  const card = board.getByRole('article').filter({ hasText: patient.name })
  await expect(card.getByRole('listitem').filter({ hasText: 'Helper' })).toBeVisible()
  await expect(card.getByRole('listitem').filter({ hasText: 'Packet opened' })).toContainText('patient acts')
  await expect(card).toContainText(/Helper from \d+:\d\d [AP]M to \d+:\d\d [AP]M/)
  await expect(card.getByText(/Home check.*Consent.*Licence/)).toBeVisible()

  const phone = await open({ device: 'phone' })
  await comeByLink(phone, patient)
  await phone.getByRole('link', { name: 'Your visit' }).click()
  await phone.getByRole('button', { name: 'My helper will be there' }).click()
  await expect(phone.getByText('You said that your helper will be there.')).toBeVisible()
  await phone.getByRole('button', { name: 'I have these things' }).click()
  await expect(phone.getByText('You said that you have these things.')).toBeVisible()
  await phone.getByRole('link', { name: 'See how to get ready' }).click()
  await expect(phone.getByRole('heading', { level: 1 })).toHaveText('How to get ready')

  await board.reload()
  await expect(card.getByRole('listitem').filter({ hasText: 'Helper' })).toHaveCount(0)
  await expect(card.getByText(/Things to fetch, Helper, Packet opened/)).toBeVisible()
  // Nothing is open: the visit counts among the ready ones.
  await board.getByRole('link', { name: /^\d+ ready$/ }).click()
  await expect(card).toBeVisible()
  await card.getByRole('link', { name: patient.name }).click()
  await expect(board).toHaveURL(new RegExp(visit))
})

test('the sentence above the day counts what lies below it', async ({ desk }) => {
  await desk.goto('/board')
  const all = await desk.getByRole('article').count()
  expect(all).toBeGreaterThan(3)
  await expect(desk.getByRole('heading', { level: 1 })).toContainText(`${all} visits`)
  for (const state of ['ready', 'waiting', 'late']) {
    await desk.goto('/board')
    const figure = desk.getByRole('link', { name: new RegExp(`^\\d+ ${state}$`) })
    const count = Number((await textOf(figure)).match(/\d+/)?.[0])
    await figure.click()
    await expect(figure).toBeVisible()
    await expect(desk).toHaveURL(new RegExp(`show=${state}`))
    await expect(desk.getByRole('article')).toHaveCount(count)
  }
})

test('on a narrow window the visits stand one below the other, none over another', async ({ desk }) => {
  await desk.setViewportSize({ width: 360, height: 740 })
  await desk.goto('/board')
  const boxes = await desk
    .getByRole('article')
    .evaluateAll((cards) =>
      cards.map((card) => card.getBoundingClientRect()).map(({ top, bottom }) => ({ top, bottom })),
    )
  expect(boxes.length).toBeGreaterThan(3)
  const over = boxes.filter(({ top }, index) => top < (boxes[index - 1]?.bottom ?? 0))
  expect(over).toEqual([])
})

test('what is confirmed by phone is written down with what was said', async ({ desk, newPatient }) => {
  const patient = newPatient()
  const referralId = await screenedReferral(desk, patient, {
    condition: 'Flat foot (posterior tibial tendon), suspected',
  })
  await bookSomeStart(desk, referralId, patient)
  await desk.getByRole('link', { name: 'Open the visit' }).click()
  const item = (name: string) =>
    desk.getByRole('list', { name: 'Readiness items' }).getByRole('listitem').filter({ hasText: name })
  await expect(item('Helper')).toContainText(/helper acts/)
  await desk.getByRole('button', { name: 'Write it down' }).click()
  await expect(desk.getByRole('alert').filter({ hasText: 'Choose what was confirmed' })).toBeVisible()
  await desk.getByRole('radio', { name: 'Helper' }).check()
  await desk.getByLabel('What was said').fill('Sam will be there all the time.')
  await desk.getByRole('button', { name: 'Write it down' }).click()
  await expect(item('Helper')).toContainText('Done')
})

/** The day on the clinic's calendar, as the board's address has it. */
function clinicDay(instant: string | null): string {
  return new Date(instant ?? '').toLocaleDateString('en-CA', { timeZone: 'America/Los_Angeles' })
}
