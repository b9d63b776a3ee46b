/** The readiness board: what each visit of the day still waits for, and how that changes when the patient says so. */
import { expectFocusSeen, expectNoViolations } from './page-checks.ts'
import type { TestPatient } from './people.ts'
import { bookSomeStart, comeByLink, screenedReferral } from './referral-walk.ts'
import { expect, type Page, problems, test, textOf, type Visitor } from './watched.ts'

const FLAT_FOOT = 'Flat foot (posterior tibial tendon), suspected'

/** A visit of a new patient, and the board of its day on a desk of somebody else. */
async function bookedOnBoard(
  desk: Page,
  open: (visitor?: Visitor) => Promise<Page>,
  patient: TestPatient,
  hasLink = false,
) {
  const referralId = await screenedReferral(desk, patient, { condition: FLAT_FOOT, hasLink })
  await bookSomeStart(desk, referralId, patient)
  const startsAt = await desk.getByRole('heading', { level: 1 }).locator('time').getAttribute('datetime')
  const board = await open({ as: 'lead' })
  await board.goto(`/board?day=${clinicDay(startsAt)}`)
  const row = board.getByRole('article', { name: patient.name })
  await expect(row).toBeVisible()
  await expect(board.getByText('kept up to date')).toBeVisible()
  return { board, row }
}

test('what a patient says is on a board that somebody else has open, within two seconds and without a reload', async ({
  desk,
  open,
  newPatient,
}) => {
  const patient = newPatient()
  const { board, row } = await bookedOnBoard(desk, open, patient)
  await expect(row.getByRole('listitem').filter({ hasText: 'Helper' })).toBeVisible()
  await expect(row.getByRole('listitem').filter({ hasText: 'Packet opened' })).toContainText('patient acts')
  await expect(row).toContainText(/Helper \d+:\d\d\s[AP]M to \d+:\d\d\s[AP]M/)
  await expect(row.getByText(/Home check.*Consent.*Licence/)).toBeVisible()

  // The row is open with something half written: neither may be lost by what comes in.
  await row.getByRole('link', { name: patient.name }).click()
  await row.getByRole('link', { name: 'Mark as confirmed by phone' }).click()
  await row.getByLabel('What was said').fill('Half a sent')

  const phone = await open({ device: 'phone' })
  await comeByLink(phone, patient)
  await phone.getByRole('link', { name: 'Your visit' }).click()
  await phone.getByRole('button', { name: 'My helper will be there' }).click()
  await expect(phone.getByText('You said that your helper will be there.')).toBeVisible()
  await expect(row.getByRole('row', { name: /Helper/ })).toContainText('Done', { timeout: 2000 })
  await expect(row).toHaveAttribute('data-changed')
  await expect(row.getByLabel('What was said')).toHaveValue('Half a sent')
  await expect(row.getByLabel('What was said')).toBeFocused()
  await expect(board.getByRole('status').filter({ hasText: `Changed: ${patient.name}` })).toBeAttached()
})

test.describe('with a line that breaks', () => {
  // A browser complains of every request that it could not make, and of every answer that it takes for a fault.
  test.use({
    expectedComplaints: [/(ERR_FAILED|status of 409).*api\/board/],
  })

  test('a broken line says so, and the board catches up by itself', async ({ desk, open, newPatient }) => {
    const patient = newPatient()
    const { board, row } = await bookedOnBoard(desk, open, patient)
    await board.route('**/api/board-changes*', (route) => route.abort())
    await board.reload()
    await expect(board.getByText('The line is broken')).toBeVisible()
    const phone = await open({ device: 'phone' })
    await comeByLink(phone, patient)
    await phone.getByRole('link', { name: 'Your visit' }).click()
    await phone.getByRole('button', { name: 'My helper will be there' }).click()
    await expect(phone.getByText('You said that your helper will be there.')).toBeVisible()
    await expect(row.getByRole('listitem').filter({ hasText: 'Helper' })).toBeVisible()
    await board.unroute('**/api/board-changes*')
    await expect(row.getByRole('listitem').filter({ hasText: 'Helper' })).toHaveCount(0)
    await expect(board.getByText('kept up to date')).toBeVisible()

    // It is told, and cannot read: an old board does not say that it is kept up to date.
    await board.route('**/api/board?*', (route) => route.abort())
    await phone.getByRole('link', { name: 'See how to get ready' }).click()
    await expect(board.getByText('The line is broken')).toBeVisible()
    await expect(row.getByRole('listitem').filter({ hasText: 'Packet opened' })).toBeVisible()
    // Drawn by another build of the app, it reads itself as a whole.
    await board.unroute('**/api/board?*')
    await board.route('**/api/board?*', (route) => route.fulfill({ status: 409 }))
    await expect(row.getByRole('listitem').filter({ hasText: 'Packet opened' })).toHaveCount(0)
    await expect(board.getByText('kept up to date')).toBeVisible()
  })
})

test('all of it by the keyboard alone: find the visit, open it, write down a call, and turn the letters off', async ({
  desk,
  open,
  newPatient,
}) => {
  const patient = newPatient()
  const { board, row } = await bookedOnBoard(desk, open, patient)
  const name = row.getByRole('link', { name: patient.name })
  await board.locator('main').focus()
  const rows = await board.getByRole('article').count()
  for (let n = 0; n < rows && !(await name.evaluate((link) => link === document.activeElement)); n += 1)
    await board.keyboard.press(n % 2 === 0 ? 'j' : 'ArrowDown')
  await expect(name).toBeFocused()
  await board.keyboard.press('o')
  await expect(name).toHaveAttribute('aria-expanded', 'true')
  await board.keyboard.press('m')
  await expect(row.getByRole('radio', { name: 'Helper', exact: true })).toBeVisible()
  await expectNoViolations(board, 'the board with a visit open')

  await row.getByRole('radio', { name: 'Helper', exact: true }).focus()
  await board.keyboard.press('Space')
  await row.getByRole('radio', { name: 'The patient', exact: true }).focus()
  await board.keyboard.press('Space')
  await board.keyboard.press('Tab')
  // Letters are letters in a field.
  await board.keyboard.type('jokes, mops')
  await expect(row.getByLabel('What was said')).toHaveValue('jokes, mops')
  await board.keyboard.press('Tab')
  await board.keyboard.press('Enter')
  await expect(row.getByRole('status')).toContainText('Written down as confirmed by phone.')
  await expect(row.getByRole('row', { name: /Helper/ })).toContainText('Done')
  await expectFocusSeen(board, 'after a call is written down')

  await board.getByText('Keys', { exact: true }).focus()
  await board.keyboard.press('Enter')
  await board.getByRole('checkbox', { name: 'Use letter keys on this page' }).focus()
  await board.keyboard.press('Space')
  await name.focus()
  await board.keyboard.press('o')
  await expect(name).toHaveAttribute('aria-expanded', 'true')
  await board.keyboard.press('Enter')
  await expect(name).toHaveAttribute('aria-expanded', 'false')
})

test('from a row: what to say, asking again, another exam, and a visit at the clinic', async ({
  desk,
  open,
  newPatient,
}) => {
  const patient = newPatient()
  const { board, row } = await bookedOnBoard(desk, open, patient)
  await row.getByRole('link', { name: patient.name }).click()
  await row.getByRole('link', { name: 'What to say on the phone' }).click()
  await expect(row.getByRole('listitem').filter({ hasText: 'when were you born' })).toBeVisible()
  await expectNoViolations(board, 'what to say')

  await row.getByRole('link', { name: 'Send what is missing again' }).click()
  await row.getByRole('button', { name: 'Send what is missing' }).click()
  await expect(row.getByRole('status')).toContainText('The patient is being asked again by mail.')

  await row.getByRole('link', { name: 'Change the exam' }).click()
  const how = row.getByRole('combobox').first()
  const station = (await how.getAttribute('aria-label'))?.replace('How: ', '') ?? ''
  await how.selectOption('Left out')
  await row.getByRole('button', { name: 'Show what this means' }).click()
  const means = row.getByRole('region', { name: 'What this means' })
  await expect(means).toContainText(`Left out: ${station}`)
  await expect(means).toContainText('The patient gets revision 2 of the packet')
  await expectNoViolations(board, 'what a change would mean')
  await row.getByRole('button', { name: 'Save this exam' }).click()
  await expect(problems(board)).toContainText('Write down why')
  await row.getByLabel('Why?').fill('Seen last month')
  await row.getByRole('button', { name: 'Save this exam' }).click()
  await expect(row.getByRole('status')).toContainText('The exam is changed.')
  await expect(row).toBeFocused()

  await row.getByRole('link', { name: 'Move to in person' }).click()
  await row.getByRole('radio', { name: /No start yet/ }).check()
  await row.getByLabel('Why not by video?').fill('The patient asked to come in')
  await expectNoViolations(board, 'moving to in person')
  await row.getByRole('button', { name: 'Move to in person' }).click()
  await expect(row.getByRole('status')).toContainText('A task asks the desk to find a start.')
  await expect(row).toContainText('Something changed')
})

test('the sentence above the day counts what lies below it, and the filters stand in the address', async ({ desk }) => {
  await desk.goto('/board')
  const all = await desk.getByRole('article').count()
  expect(all).toBeGreaterThan(3)
  await expect(desk.getByRole('heading', { level: 1 })).toContainText(`${all} visits`)
  for (const state of ['ready', 'waiting', 'late']) {
    await desk.goto('/board')
    const figure = desk.getByRole('link', { name: new RegExp(`^\\d+ ${state}$`) })
    const count = Number((await textOf(figure)).match(/\d+/)?.[0])
    await figure.click()
    await expect(desk).toHaveURL(new RegExp(`show=${state}`))
    await expect(desk.getByRole('article')).toHaveCount(count)
  }
  await desk.goto('/board')
  await desk.getByLabel('Order').selectOption('Time')
  await desk.getByRole('button', { name: 'Show these' }).click()
  await expect(desk).toHaveURL(/sort=time/)
  const times = await desk
    .getByRole('article')
    .locator('time')
    .evaluateAll((list) => list.map((each) => each.getAttribute('datetime') ?? ''))
  expect(times.length).toBeGreaterThan(all)
  await desk.reload()
  await expect(desk.getByLabel('Order')).toHaveValue('time')
})

test('a day without visits says so, and a filter that leaves none says that instead', async ({ desk }) => {
  await desk.goto('/board?day=2031-01-01')
  await expect(desk.getByText('No visits on this day.')).toBeVisible()
  await desk.goto('/board?clinician=nobody')
  await expect(desk.getByText(/None of this day’s \d+ visits is/)).toBeVisible()
  await desk.getByRole('link', { name: 'Show all visits of this day' }).click()
  await expect(desk.getByRole('article').first()).toBeVisible()
})

test('on a narrow window the visits stand one below the other, and nothing has to be scrolled sideways', async ({
  desk,
}) => {
  await desk.setViewportSize({ width: 360, height: 740 })
  await desk.goto('/board')
  await desk.getByRole('article').first().getByRole('link').first().click()
  await expect(desk.getByRole('article').first().getByRole('link').first()).toHaveAttribute('aria-expanded', 'true')
  const boxes = await desk
    .getByRole('article')
    .evaluateAll((cards) =>
      cards.map((card) => card.getBoundingClientRect()).map(({ top, bottom }) => ({ top, bottom })),
    )
  expect(boxes.length).toBeGreaterThan(3)
  const over = boxes.filter(({ top }, index) => top < (boxes[index - 1]?.bottom ?? 0))
  expect(over).toEqual([])
})

test('without a script the board can be filtered, opened and acted on', async ({ open }) => {
  const plain = await open({ as: 'lead', javaScript: false })
  await plain.goto('/board')
  await plain.getByLabel('Order').selectOption('Time')
  await plain.getByRole('button', { name: 'Show these' }).click()
  await expect(plain).toHaveURL(/sort=time/)
  const row = plain.getByRole('article').filter({ hasText: 'Video' }).first()
  await row.getByRole('link').first().click()
  const opened = plain.getByRole('article').filter({ has: plain.locator('[aria-expanded="true"]') })
  await opened.getByRole('link', { name: 'What to say on the phone' }).click()
  await expect(opened.getByText('when were you born')).toBeVisible()
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
