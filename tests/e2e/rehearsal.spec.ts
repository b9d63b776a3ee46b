/** The camera rehearsal, with films in place of a camera: each fault is told in words, and none stands in the way. */
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { Browser, LaunchOptions } from '@playwright/test'
import { FILMS, type Film, writeFilm } from './fake-camera.ts'
import { linkOf, openLink, type TestPatient } from './people.ts'
import { comeByLink, screenedReferral } from './referral-walk.ts'
import { expect, type Page, test } from './watched.ts'

const HEEL_PAIN = 'Plantar heel pain'

const TOLD: Record<Film, { verdict: string; advice: RegExp | null }> = {
  good: { verdict: 'The picture is good.', advice: null },
  dark: { verdict: 'This could be better:', advice: /It is too dark\. Turn on a light in front of you\./ },
  blurred: { verdict: 'This could be better:', advice: /The picture is not sharp\. Wipe the lens/ },
  shaking: { verdict: 'This could be better:', advice: /The picture shakes\. Prop the phone on something firm\./ },
}

test('each fault of the picture is told in words, and the numbers reach the clinic', { tag: '@phone' }, async ({
  desk,
  newPatient,
  playwright,
  launchOptions,
  baseURL,
}) => {
  test.setTimeout(240_000)
  const patient = newPatient()
  const referralId = await screenedReferral(desk, patient, { condition: HEEL_PAIN, hasLink: true })
  const folder = mkdtempSync(join(tmpdir(), 'farstep-film-'))
  try {
    for (const film of FILMS) {
      const path = join(folder, `${film}.y4m`)
      writeFilm(path, film)
      const browser = await playwright.chromium.launch(withCamera(launchOptions, path))
      try {
        const phone = await atOwnPage(browser, baseURL ?? '', patient)
        await phone.getByRole('link', { name: 'Try your camera' }).click()
        await expect(phone.getByText('It does not leave your phone.', { exact: false })).toBeVisible()
        await phone.getByRole('button', { name: 'Turn on my camera' }).click()
        await phone.getByRole('button', { name: 'Check my picture' }).click()
        const status = phone.getByRole('main').getByRole('status')
        await expect(status).toContainText(TOLD[film].verdict, { timeout: 30_000 })
        const { advice } = TOLD[film]
        if (advice) await expect(status.getByRole('listitem')).toHaveText([advice])
        await expect(status).toContainText('We noted that you tried it.')
        await phone.screenshot({ path: test.info().outputPath(`rehearsal-${film}.png`), fullPage: true })
      } finally {
        await browser.close()
      }
    }
  } finally {
    rmSync(folder, { recursive: true })
  }
  await desk.goto(`/referrals/${referralId}`)
  await expect(desk.getByRole('list', { name: 'History' })).toContainText('The patient tried the camera')
})

test('without a camera, or without a script, the way on is plain', { tag: '@phone' }, async ({
  desk,
  open,
  newPatient,
}) => {
  const patient = newPatient()
  await screenedReferral(desk, patient, { condition: HEEL_PAIN, hasLink: true })
  const phone = await open({ device: 'phone' })
  await comeByLink(phone, patient)
  await phone.goto('/my/rehearsal')
  await phone.getByRole('button', { name: 'Turn on my camera' }).click()
  await expect(phone.getByRole('main').getByRole('status')).toContainText(/skip this/)
  await phone.getByRole('link', { name: 'Go back to your page' }).click()
  await expect(phone).toHaveURL(/\/my$/)

  const plain = await open({ device: 'phone', javaScript: false })
  await openLink(plain, await linkOf(patient), patient.born)
  await plain.goto('/my/rehearsal')
  await expect(plain.getByRole('main')).toContainText('It is fine to skip this.', { useInnerText: true })
  await expect(plain.getByRole('button', { name: 'Turn on my camera' })).toHaveCount(0)
})

/** The browser's own fake camera plays the film, and says yes to its use. */
function withCamera(options: LaunchOptions, film: string): LaunchOptions {
  const camera = [
    'use-fake-device-for-media-stream',
    'use-fake-ui-for-media-stream',
    `use-file-for-fake-video-capture=${film}`,
  ]
  return { ...options, args: [...(options.args ?? []), ...camera.map((name) => `--${name}`)] }
}

async function atOwnPage(browser: Browser, baseURL: string, patient: TestPatient): Promise<Page> {
  const context = await browser.newContext({ baseURL, viewport: { width: 360, height: 740 }, permissions: ['camera'] })
  const phone = await context.newPage()
  await comeByLink(phone, patient)
  return phone
}
