/** A patient's page closes on a shared device, and opens again by the same link. */
import AxeBuilder from '@axe-core/playwright'
import { expect, test } from '@playwright/test'
import { invitedPatients, linkOf, openLink } from './people.ts'

for (const javaScriptEnabled of [true, false]) {
  test.describe(javaScriptEnabled ? 'with JavaScript' : 'without JavaScript', () => {
    test.use({ javaScriptEnabled })

    test('closing the page ends it for every copy of its cookie, and the link opens it again', async ({
      page,
      browser,
      baseURL,
    }) => {
      const patient = invitedPatients().at(-2)
      if (!patient) throw new Error('the demo needs patients with links')
      const link = await linkOf(patient)
      await openLink(page, link, patient.born)
      await expect(page).toHaveURL(/\/my$/)
      const copy = await browser.newContext({
        baseURL: baseURL ?? '',
        storageState: await page.context().storageState(),
      })
      const other = await copy.newPage()
      await page.getByRole('button', { name: 'Close my page on this device' }).click()
      await expect(page.getByRole('heading', { level: 1 })).toHaveText('Open your link again')
      await other.goto('/my')
      await expect(other).toHaveURL(/\/link-needed$/)
      await copy.close()
      await openLink(page, link, patient.born)
      await expect(page).toHaveURL(/\/my$/)
    })
  })
}

test('on the smallest phone nothing has to be moved sideways, and the numbers to call are on every page', async ({
  page,
}) => {
  const patient = invitedPatients().at(-2)
  if (!patient) throw new Error('the demo needs patients with links')
  await page.setViewportSize({ width: 320, height: 640 })
  const link = await linkOf(patient)
  await page.goto(link)
  await check()
  await openLink(page, link, patient.born)
  await expect(page).toHaveURL(/\/my$/)
  await check()
  await page.goto('/link-needed')
  await check()

  async function check() {
    // WCAG 2.2 SC 1.4.10: no second direction of scrolling at 320 CSS px.
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(320)
    const foot = page.getByRole('contentinfo')
    await expect(foot.getByRole('link').first()).toHaveAttribute('href', /^tel:\+?\d+$/)
    await expect(foot.getByRole('link', { name: /emergency/ })).toHaveAttribute('href', 'tel:911')
    const { violations } = await new AxeBuilder({ page })
      .withTags(['wcag2a', 'wcag2aa', 'wcag21aa', 'wcag22aa'])
      .analyze()
    expect(violations).toEqual([])
  }
})

// WCAG 2.2 SC 2.2.1: a limit of time is told before it ends, and one touch puts it off.
test('a page that is left alone says so before it closes, and stays open when it is asked to', async ({ page }) => {
  const patient = invitedPatients().at(-2)
  if (!patient) throw new Error('the demo needs patients with links')
  await openLink(page, await linkOf(patient), patient.born)
  await expect(page).toHaveURL(/\/my$/)
  await expect(page.getByRole('contentinfo')).toContainText('Left alone for 30 minutes, this page closes.')
  await page.clock.install()
  await page.reload()
  await expect(page.getByRole('heading', { name: 'Are you still there?' })).toHaveCount(0)
  await page.clock.fastForward('25:01')
  await expect(page.getByRole('alert').filter({ hasText: 'close in 5 minutes' })).toBeVisible()
  await page.getByRole('button', { name: 'Keep it open' }).click()
  await expect(page.getByRole('heading', { name: 'Are you still there?' })).toHaveCount(0)
  await page.clock.fastForward('24:00')
  await expect(page.getByRole('heading', { name: 'Are you still there?' })).toHaveCount(0)
})
