/** Coming in and going out, with and without JavaScript, and the warning before idle time runs out. */
import AxeBuilder from '@axe-core/playwright'
import { expect, test } from '@playwright/test'
import { DEMO_SIGN_INS } from '#seed/sign-ins.ts'
import { signInAs } from './people.ts'

const WCAG = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa']
const coordinator = DEMO_SIGN_INS[0]!

for (const javaScriptEnabled of [true, false]) {
  test.describe(javaScriptEnabled ? 'with JavaScript' : 'without JavaScript', () => {
    test.use({ javaScriptEnabled })

    test('an empty form says in title, summary and beside each field what is missing', async ({ page }) => {
      await page.goto('/sign-in')
      await page.getByRole('button', { name: 'Sign in' }).click()
      await expect(page).toHaveTitle('Error: Sign in – Farstep')
      const summary = page.getByRole('alert').filter({ hasText: 'There is a problem' })
      await expect(summary.getByRole('link')).toHaveText(['Enter your e-mail', 'Enter your passphrase'])
      await expect(summary.getByRole('link').first()).toHaveAttribute('href', '#email')
      await expect(page.getByLabel('E-mail')).toHaveAccessibleDescription('Enter your e-mail')
      await expect(page.getByLabel('E-mail')).toHaveAttribute('aria-invalid', 'true')
    })

    test('a wrong passphrase keeps the e-mail that was typed and never the passphrase', async ({ page }) => {
      await page.goto('/sign-in')
      await page.getByLabel('E-mail').fill('someone@larkfield.example.org')
      await page.getByLabel('Passphrase').fill('not the right words at all')
      await page.getByRole('button', { name: 'Sign in' }).click()
      await expect(page.getByLabel('E-mail')).toHaveAccessibleDescription('The e-mail or the passphrase is not right')
      await expect(page.getByLabel('E-mail')).toHaveValue('someone@larkfield.example.org')
      await expect(page.getByLabel('Passphrase')).toHaveValue('')
      expect(await page.content()).not.toContain('not the right words')
    })

    test('signing out ends the session for every copy of its cookie', async ({ page, browser, baseURL }) => {
      await signInAs(page, 'coordinator')
      const copy = await browser.newContext({
        baseURL: baseURL ?? '',
        storageState: await page.context().storageState(),
      })
      const other = await copy.newPage()
      await other.goto('/desk')
      await expect(other).toHaveURL(/\/desk$/)
      await page.getByRole('button', { name: 'Sign out' }).click()
      await expect(page.getByText('You are signed out.')).toBeVisible()
      await other.goto('/desk')
      await expect(other).toHaveURL(/\/sign-in$/)
      await copy.close()
    })
  })
}

test('the cookie is out of reach of scripts and of other sites, and says nothing of the person', async ({
  page,
  context,
}) => {
  await signInAs(page, 'coordinator')
  const cookies = await context.cookies()
  // ASVS 5.0 3.3.2, 3.3.4, 3.3.5
  for (const cookie of cookies) {
    expect(cookie).toMatchObject({ httpOnly: true, sameSite: 'Lax', path: '/' })
    expect(cookie.name.length + cookie.value.length).toBeLessThan(4096)
    expect(cookie.value).not.toContain(encodeURIComponent(coordinator.email))
  }
  expect(cookies.map(({ name }) => name)).toContain('farstep_staff')
})

test('the sign-in page passes the accessibility rules, also with its errors, light and dark', async ({ page }) => {
  for (const colorScheme of ['light', 'dark'] as const) {
    await page.emulateMedia({ colorScheme })
    await page.goto('/sign-in')
    expect((await new AxeBuilder({ page }).withTags(WCAG).analyze()).violations).toEqual([])
    await page.getByRole('button', { name: 'Sign in' }).click()
    await expect(page).toHaveTitle(/^Error/)
    expect((await new AxeBuilder({ page }).withTags(WCAG).analyze()).violations).toEqual([])
  }
})

test('with the keyboard alone one skips to the page, and sees where one is', async ({ page, isMobile }) => {
  test.skip(isMobile, 'phones have no keyboard')
  await signInAs(page, 'lead')
  await page.goto('/not-allowed')
  await page.keyboard.press('Tab')
  const skip = page.getByRole('link', { name: 'Skip to the page' })
  await expect(skip).toBeFocused()
  await expect(skip).toBeInViewport()
  expect(await skip.evaluate((link) => getComputedStyle(link).outlineStyle)).toBe('solid')
  await page.keyboard.press('Enter')
  await expect(page.getByRole('main')).toBeFocused()
})

// WCAG 2.2 SC 2.2.1: warned in time, able to go on, nothing typed lost. The clock is the browser's; the server's answer is
// what it gives a minute and a half before the end, and after it.
test('before idle time runs out one is warned, goes on, and keeps what was typed', async ({ page }) => {
  let answer: { status: number; json?: { leftMs: number } } = { status: 200, json: { leftMs: 90_000 } }
  await page.clock.install()
  await signInAs(page, 'coordinator')
  await page.goto('/referrals/new')
  const field = page.getByRole('textbox').first()
  await field.fill('typed before the pause')
  await page.route('/api/keep-alive', (route) => route.fulfill(answer))

  await page.clock.fastForward('13:30')
  const dialog = page.getByRole('dialog')
  await expect(dialog).toContainText('Are you still there?')
  answer = { status: 200, json: { leftMs: 15 * 60_000 } }
  await dialog.getByRole('button', { name: 'Stay signed in' }).click()
  await expect(dialog).toBeHidden()

  answer = { status: 401 }
  await page.clock.fastForward('16:00')
  await expect(dialog).toContainText('You were signed out')
  await expect(dialog.getByRole('link', { name: 'Sign in in a new tab' })).toHaveAttribute('target', '_blank')
  answer = { status: 200, json: { leftMs: 15 * 60_000 } }
  await dialog.getByRole('button', { name: 'I have signed in, go on' }).click()
  await expect(dialog).toBeHidden()
  await expect(field).toHaveValue('typed before the pause')
})

test('a page that is not there says so in words, whoever asks', async ({ page }) => {
  const response = await page.goto('/no-such-page')
  expect(response?.status()).toBe(404)
  await expect(page.getByRole('heading', { level: 1 })).toHaveText('There is no page at this address')
})
