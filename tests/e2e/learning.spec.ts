/** What the clinic learns: from a figure to its table and file, narrowed by the address, and the lead's word on a weak way. */
import { readFileSync } from 'node:fs'
import { parse } from 'csv-parse/sync'
import { expectSaid } from './keyboard.ts'
import { checkPage } from './page-checks.ts'
import { expect, test } from './watched.ts'

test('the coordinator narrows a table down by keyboard, and takes with them what it shows', async ({ desk }) => {
  await desk.goto('/clinic')
  await desk.getByRole('link', { name: 'What the clinic learns' }).click()
  await expect(desk.getByRole('heading', { level: 1 })).toContainText(/\d+ visits took place/)
  await expect(desk.getByRole('button', { name: 'Note as reviewed' })).toHaveCount(0)
  await desk.getByRole('link', { name: /were missed/ }).click()
  const table = desk.getByRole('table', { name: 'Missed, by how long ahead the visit was booked' })
  await expect(table.getByRole('rowheader')).toHaveText([
    'Less than 1 day',
    '1 to 6 days',
    '7 to 13 days',
    '14 to 27 days',
    '28 days or more',
  ])
  const due = async () =>
    Number(/of (\d+) visits/.exec((await desk.getByRole('heading', { level: 1 }).textContent()) ?? '')?.[1])
  const everybody = await due()

  await desk.getByLabel('Clinician').focus()
  await desk.keyboard.type('Imogen')
  await desk.keyboard.press('Tab')
  await desk.keyboard.press('Tab')
  await expect(desk.getByRole('button', { name: 'Show these' })).toBeFocused()
  await desk.keyboard.press('Enter')
  await expect(desk).toHaveURL(/clinician=cli_slate/)
  await expect(desk.getByRole('heading', { level: 1 })).toContainText('were missed')
  const own = await due()
  expect(own).toBeGreaterThan(0)
  expect(own).toBeLessThan(everybody)
  await checkPage(desk)

  const download = desk.waitForEvent('download')
  await desk.getByRole('link', { name: /^As a CSV file.*Missed, all together$/ }).click()
  const file = await download
  expect(file.suggestedFilename()).toMatch(/^missed-all-\d{4}-\d\d-\d\d-to-\d{4}-\d\d-\d\d\.csv$/)
  const [row] = parse(readFileSync(await file.path()), { columns: true }) as Record<string, string>[]
  expect(row?.due).toBe(String(own))

  // Every other question is asked of the same clinician.
  await desk.getByRole('link', { name: 'Readiness' }).click()
  await expect(desk).toHaveURL(/\/readiness\?.*clinician=cli_slate/)
  await expect(desk.getByLabel('Clinician')).toHaveValue('cli_slate')
})

test('dates that can’t be are told at their field, and days without a visit are told to be empty', async ({ desk }) => {
  await desk.goto('/clinic/learning/stations?from=2026-02-30&to=2026-03-01')
  await expect(desk.getByText('Give both days as year-month-day')).toBeVisible()
  await expect(desk.getByLabel('From')).toHaveValue('2026-02-30')
  await checkPage(desk)
  await desk.goto('/clinic/learning/stations?from=2020-01-01&to=2020-01-02')
  await expect(desk.getByRole('heading', { level: 1 })).toContainText('no station was tried')
  await expect(desk.getByText('Nothing of this in these days.')).toHaveCount(2)
  await checkPage(desk)
})

test('every question is answered for every reader', async ({ desk }) => {
  for (const topic of ['stations', 'visits', 'readiness', 'missed', 'days', 'waits', 'reminders']) {
    await desk.goto(`/clinic/learning/${topic}`)
    await expect(desk.getByRole('table').first()).toBeVisible()
    await checkPage(desk)
  }
  await desk.goto('/clinic/learning/waits')
  await expect(desk.getByRole('img', { name: /Third next available start, week by week, in days/ })).toBeVisible()
})

test('beside a video window, on a tablet and at a desk no figure lies past the edge', async ({ desk }) => {
  for (const topic of ['stations', 'visits', 'readiness', 'missed', 'days', 'waits', 'reminders'])
    for (const width of [640, 820, 1280]) {
      await desk.setViewportSize({ width, height: 800 })
      await desk.goto(`/clinic/learning/${topic}`)
      await expect(desk.getByRole('table').first()).toBeVisible()
      const cut = await desk
        .locator('html, main section')
        .evaluateAll((parts) =>
          parts
            .filter((part) => part.scrollWidth > part.clientWidth)
            .map((part) => `${part.getAttribute('aria-label') ?? part.tagName}: ${part.scrollWidth} px`),
        )
      expect(cut, `${topic} at ${width} px`).toEqual([])
      // Where its head is out of sight, every figure has its name beside it.
      if (topic === 'days') await expect(desk.locator('td[data-name="Median"]').first()).toContainText(/\d+ days/)
    }
})

test('the lead notes what became of a weak way, and it rests with the numbers of that day', async ({ open }) => {
  const lead = await open({ as: 'lead' })
  await lead.goto('/clinic/learning')
  const weak = lead.getByRole('list', { name: 'Ways to be reviewed' }).getByRole('listitem').first()
  const said = (await weak.getByRole('paragraph').first().textContent()) ?? ''
  expect(said).toMatch(/Calf pull with a strap, strap: done in \d+ of \d+ tries/)
  await weak.getByRole('button', { name: 'Note as reviewed' }).click()
  await expect(weak.getByRole('link', { name: 'Calf pull with a strap' })).toHaveAttribute(
    'href',
    /^\/clinic\/protocol\/foot_and_ankle\/\d+\/stations\/\w+$/,
  )
  await expect(weak.getByText('Write what you found').first()).toBeVisible()
  await weak.getByRole('textbox').fill('People look for a strap; "belt" goes into the next version.')
  await weak.getByRole('button', { name: 'Note as reviewed' }).press('Enter')
  await expectSaid(lead, 'Noted as reviewed.')
  const rested = lead.getByRole('list', { name: 'Ways that were reviewed' })
  await expect(rested).toContainText(said)
  await expect(rested).toContainText('Tobias Chalk')
  await expect(rested).toContainText('“People look for a strap; "belt" goes into the next version.”')
  await checkPage(lead)
})
