/** Before any journey: the door opens, and the browser finds nothing to block or complain about. */
import { expect, test } from '@playwright/test'
import { DEMO_SIGN_INS } from '#seed/sign-ins.ts'

for (const { role, email, password } of DEMO_SIGN_INS) {
  test(`the demo's ${role} signs in, and no script or style is refused on the way`, async ({ page }) => {
    const complaints: string[] = []
    page.on('console', (message) => {
      if (message.type() === 'error') complaints.push(message.text())
    })
    await page.goto('/sign-in')
    await page.getByLabel('E-mail').fill(email)
    await page.getByLabel('Passphrase').fill(password)
    await page.getByRole('button', { name: 'Sign in' }).click()
    await expect(page).not.toHaveURL(/sign-in/)
    await expect(page.getByRole('heading', { level: 1 })).toBeVisible()
    expect(complaints).toEqual([])
  })
}

test('nothing is asked of any other host', async ({ page, baseURL }) => {
  const elsewhere: string[] = []
  page.on('request', (request) => {
    if (baseURL && !request.url().startsWith(baseURL)) elsewhere.push(request.url())
  })
  await page.goto('/sign-in')
  await page.waitForLoadState('networkidle')
  expect(elsewhere).toEqual([])
})

test('the icon is found under the address by which browsers ask for it unasked', async ({ request }) => {
  const answer = await request.get('/favicon.ico')
  expect(answer.status()).toBe(200)
  expect(answer.headers()['content-type']).toBe('image/svg+xml')
})
