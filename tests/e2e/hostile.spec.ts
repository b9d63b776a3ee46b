/**
 * What a patient's pages do with what nobody means well: refused with a page that says so, or shown as the text it is. What
 * was answered before stays. The laws behind it stand in tests/usecases/hostile-answers.test.ts; this is the way by the browser.
 */
import { comeByLink, screenedReferral, sendLink, triage, typeReferral } from './referral-walk.ts'
import { expect, type Page, problems, test } from './watched.ts'

const HEEL_PAIN = 'Plantar heel pain'
const MARKUP = '<script>window.isBroken = true</script><img src="x" onerror="window.isBroken = true">'
const TEN_MEGABYTES = 10_000_000

test('names in any script, with emoji or markup, are shown as they were typed and do nothing', {
  tag: '@phone',
}, async ({ desk, open, newPatient }) => {
  const patient = newPatient({ family: `שרה 👵🏿 ${MARKUP}` })
  const referralId = await screenedReferral(desk, patient, { condition: HEEL_PAIN, hasLink: true })
  const phone = await open({ device: 'phone' })
  for (const page of [desk, phone]) page.on('dialog', () => expect(page.url(), 'a page that opened a dialog').toBe(''))
  await comeByLink(phone, patient)
  const names = { contact: `فاطمة 👩‍🦽 ${MARKUP}`, times: `Zoë 🦶 ${MARKUP}` }
  for (const [step, field] of [
    ['contact', 'contactName'],
    ['times', 'helperName'],
  ] as const) {
    await phone.goto(`/my/check/${step}?from=answers`)
    await phone.locator(`[name="${field}"]`).fill(names[step])
    await phone.getByRole('button', { name: 'Continue' }).click()
    await expect(phone).toHaveURL(/\/answers$/)
    await expect(phone.getByRole('main')).toContainText(names[step])
    await expectHarmless(phone)
    await phone.goto(`/my/check/${step}`)
    await expect(phone.locator(`[name="${field}"]`)).toHaveValue(names[step])
    await expectHarmless(phone)
  }
  for (const path of ['/my', '/my/visit', '/my/packet', '/my/change']) {
    await phone.goto(path)
    await expectHarmless(phone)
  }
  await desk.goto(`/referrals/${referralId}`)
  await expect(desk.getByRole('main')).toContainText(patient.family)
  await expectHarmless(desk)
  await desk.goto(`/referrals/${referralId}/check`)
  await expect(desk.locator('[name="contactName"]')).toHaveValue(names.contact)
  await expect(desk.locator('[name="helperName"]')).toHaveValue(names.times)
  await expectHarmless(desk)
})

test.describe('answers made by hand', () => {
  test('are refused on a page that says so, and what was answered before stays', { tag: '@phone' }, async ({
    desk,
    open,
    newPatient,
  }) => {
    const patient = newPatient()
    const referralId = await typeReferral(desk, patient)
    await triage(desk, referralId, { condition: HEEL_PAIN, noOtherFlag: true })
    await sendLink(desk, referralId)
    // Without a script the forms go as they stand, whatever somebody has made of them.
    const phone = await open({ device: 'phone', javaScript: false })
    await comeByLink(phone, patient)
    await phone.goto('/my/check/fell')
    await phone.getByRole('radio', { name: 'No', exact: true }).check()
    await phone.getByRole('button', { name: 'Continue' }).click()
    await expect(phone).not.toHaveURL(/\/fell$/)

    const answer = phone.locator('input[name="answer"]').first()
    const forged: [string, () => Promise<unknown>][] = [
      ['markup', () => setValue(phone, 'answer', MARKUP)],
      ['a fact in place of an answer', () => setValue(phone, 'answer', '{"$ne":null}')],
      ['two answers', () => addValue(phone, 'answer', 'no')],
      ['a file', () => makeFile(phone, 'answer')],
    ]
    for (const [what, forge] of forged) {
      await phone.goto('/my/check/dizzy')
      await answer.check()
      await forge()
      await phone.getByRole('button', { name: 'Continue' }).click()
      await expect(problems(phone), what).toBeVisible()
      await expect(phone, what).toHaveURL(/\/dizzy$/)
      await expectHarmless(phone)
    }

    // A question that is none, in the address and in what the form was made for.
    await phone.goto('/my/check/__proto__')
    await expect(phone).toHaveURL(/\/my\/check\/(?!__proto__)\w+$/)
    await phone.goto('/my/check/dizzy')
    await answer.check()
    await phone.locator('input[type="hidden"]').evaluateAll((fields) => {
      for (const field of fields as HTMLInputElement[]) field.value = field.value.replace('"dizzy"', '"age_years"')
    })
    await phone.getByRole('button', { name: 'Continue' }).click()
    await expect(phone).toHaveURL(/\/my\/check\/(?!dizzy)\w+$/)
    await phone.goto('/go/nobodys-clinic/nobodys-link')
    await expect(phone.getByRole('heading', { level: 1 })).toHaveText('This page is not here')

    for (const sign of ['__proto__', 'age_years', 'lane_m', MARKUP]) {
      await phone.goto('/my/change/symptoms')
      await phone.getByRole('checkbox').first().check()
      await setValue(phone, 'symptom', sign)
      await phone.getByRole('button', { name: 'Send this' }).click()
      await expect(problems(phone), sign).toContainText('Tick what is true now.')
      await expectHarmless(phone)
    }

    await sendTooMuch(phone)
    await expect(phone.getByRole('heading', { level: 1 })).toHaveText('That was too long')
    await expect(phone.getByRole('contentinfo').locator('a[href^="tel:"]').first()).toBeVisible()
    const withScript = await open({ device: 'phone' })
    await comeByLink(withScript, patient)
    await sendTooMuch(withScript)
    // Nothing was sent, so what was typed is still there, and the form says what to do with it.
    const name = withScript.locator('[name="contactName"]')
    await expect(problems(withScript)).toContainText('This is too long to send. Make it shorter.')
    await expect(problems(withScript).locator('..')).toBeFocused()
    await expect(name).toHaveAccessibleDescription(/too long to send/)
    await expect(name).toHaveValue('x'.repeat(TEN_MEGABYTES))
    // The same in the reader's language, and taken back once it is short enough to be sent.
    await withScript.locator('html').evaluate((html) => html.setAttribute('lang', 'es'))
    await withScript.getByRole('button', { name: 'Continue' }).click()
    await expect(problems(withScript)).toContainText('Es demasiado largo para enviarlo. Escriba menos.')
    for (const page of [withScript, phone]) {
      await page.goto('/my/check/contact')
      await setValue(page, 'contactName', 'x'.repeat(200_000))
      await page.getByRole('button', { name: 'Continue' }).click()
      await expect(problems(page)).toContainText('This is too long: it can have 100 letters at most.')
      await expect(page.locator('[name="contactName"]')).toHaveAccessibleDescription(/100 letters at most/)
      await expect(page.locator('[name="contactName"]')).toHaveValue('x'.repeat(200_000))
    }

    // Nothing of it is kept, and nothing is lost.
    await withScript.goto('/my/check/fell')
    await expect(withScript.getByRole('radio', { name: 'No', exact: true })).toBeChecked()
    await withScript.goto('/my/check/contact')
    await expect(withScript.locator('[name="contactName"]')).toHaveValue('')
    await desk.goto(`/referrals/${referralId}/check`)
    await expect(desk.locator('[name="fact-fell"][value="no"]')).toBeChecked()
    await expect(desk.locator('[name="fact-dizzy"]:checked:not([value=""])')).toHaveCount(0)
    await expect(desk.locator('[name="fact-cold_foot"][value="yes"]')).not.toBeChecked()
    await expect(desk.locator('[name="contactName"]')).toHaveValue('')
  })
})

/** Nothing of what was typed became part of the page or ran in it. */
async function expectHarmless(page: Page): Promise<void> {
  const found = await page.evaluate(() => ({
    ran: 'isBroken' in window,
    images: document.querySelectorAll('img[src="x"], [onerror]').length,
  }))
  expect(found, page.url()).toEqual({ ran: false, images: 0 })
}

async function setValue(page: Page, name: string, value: string): Promise<void> {
  await page
    .locator(`[name="${name}"]`)
    .first()
    .evaluate((field: HTMLInputElement, made) => {
      field.value = made
    }, value)
}

async function addValue(page: Page, name: string, value: string): Promise<void> {
  await page
    .locator(`[name="${name}"]`)
    .first()
    .evaluate(
      (field, [wanted, made]) => {
        const added = Object.assign(document.createElement('input'), { type: 'hidden', name: wanted, value: made })
        field.after(added)
      },
      [name, value] as const,
    )
}

async function makeFile(page: Page, name: string): Promise<void> {
  const field = page.locator(`[name="${name}"]`).first()
  await field.evaluate((input: HTMLInputElement) => {
    input.type = 'file'
  })
  await field.setInputFiles({ name: 'yes', mimeType: 'text/plain', buffer: Buffer.from('yes') })
}

/** A name of ten megabytes. */
async function sendTooMuch(page: Page): Promise<void> {
  await page.goto('/my/check/contact')
  await setValue(page, 'contactName', 'x'.repeat(TEN_MEGABYTES))
  await page.getByRole('button', { name: 'Continue' }).click()
}
