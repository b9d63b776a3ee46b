/**
 * A patient books by themselves, on a phone, while time goes by: the app of this journey has a clock of its own, which
 * the journey puts forward. The hold lasts ten minutes and the cut-off is a day, by the demo clinic's policy.
 */
import { Temporal } from '#lib/base/time.ts'
import { expectArrived, expectSaid } from './keyboard.ts'
import { mailTo } from './mail-tray.ts'
import { test } from './own-app.ts'
import { checkPage, checkPatientPage } from './page-checks.ts'
import { signInAs } from './people.ts'
import { comeByLink, offeredStarts, screenedReferral } from './referral-walk.ts'
import { expect, type Page, problems } from './watched.ts'

const CONDITION = 'Big-toe arthritis (hallux rigidus), suspected'
const starts = (page: Page) => page.locator('input[name="start"]')
const keep = (page: Page) => page.getByRole('button', { name: 'Keep this time for me' })
const held = (page: Page) => page.getByRole('heading', { level: 1, name: 'Is this time right for you?' })

test('a time that is kept is let go, taken by another, and a new one is booked, moved and cancelled', {
  tag: '@phone',
}, async ({ clock, desk, open, newPatient }) => {
  test.setTimeout(240_000)
  const [one, other] = [newPatient(), newPatient()]
  const phones: Page[] = []
  for (const patient of [one, other]) {
    await screenedReferral(desk, patient, { condition: CONDITION, hasLink: true })
    const phone = await open({ device: 'phone' })
    await comeByLink(phone, patient)
    await phone.goto('/my/book')
    phones.push(phone)
  }
  const [phone, rival] = phones as [Page, Page]

  // Kept, with the end of it, zone and all.
  const value = (await starts(phone).nth(12).getAttribute('value')) ?? ''
  await phone.locator(`input[value='${value}']`).check()
  await keep(phone).dblclick()
  await expect(held(phone)).toBeVisible()
  await expect(phone.getByText(/^We keep this time for you until \d+:\d\d\s[AP]M Pacific Time\./)).toBeVisible()
  await checkPatientPage(phone)
  // Nobody else is offered it now.
  await rival.reload()
  await expect(rival.locator(`input[value='${value}']`)).toHaveCount(0)

  // Ten minutes later it is anybody's; the page says so, and what is free.
  clock.putForward({ minutes: 11 })
  await rival.reload()
  await rival.locator(`input[value='${value}']`).check()
  await keep(rival).click()
  await expect(held(rival)).toBeVisible()
  await phone.getByRole('button', { name: 'Yes, book this time' }).press('Enter')
  await expectSaid(phone, 'Your time was let go')
  await expect(phone.getByText('Nothing is booked. These times are free now.')).toBeVisible()
  await expect(phone.locator(`input[value='${value}']`)).toHaveCount(0)
  await checkPatientPage(phone)

  // Another one, three days ahead, so that there is time to change it.
  await chooseAfter(phone, Temporal.Now.instant().add({ hours: 72 }))
  await keep(phone).click()
  await phone.getByRole('button', { name: 'Yes, book this time' }).click()
  await expect(phone.getByRole('heading', { name: 'Your visit is booked' })).toBeVisible()
  const booked = await phone.getByRole('heading', { level: 1 }).textContent()
  expect(booked).toMatch(/^Your visit is on \w+day, .* Pacific Time$/)
  // Back, to the page that asked: the visit is booked once, and the page says so.
  await phone.goBack()
  await phone.reload()
  await expect(phone.getByRole('heading', { level: 1 })).toHaveText(booked ?? '')

  await phone.getByRole('link', { name: 'Choose a new time' }).press('Enter')
  await expectArrived(phone, phone.getByRole('heading', { level: 1, name: 'Choose a new time' }))
  await chooseAfter(phone, Temporal.Now.instant().add({ hours: 96 }))
  await phone.getByRole('button', { name: 'Move my visit to this time' }).press('Enter')
  await expectSaid(phone, 'Your visit has a new time')
  await expect(phone.getByRole('heading', { level: 1 })).not.toHaveText(booked ?? '')
  await checkPatientPage(phone)
  const moved = await mailTo(one.email, /Your visit has a new time/)
  expect(moved.text).toContain('Pacific Time')

  await phone.getByRole('link', { name: 'Cancel the visit' }).click()
  await expect(phone.getByRole('heading', { level: 1 })).toHaveText('Cancel your visit?')
  await phone.getByRole('button', { name: 'Cancel my visit' }).press('Enter')
  await expectSaid(phone, 'Your visit is cancelled')

  // After the cut-off there is a telephone number in place of the buttons.
  const soon = await chooseAfter(phone, Temporal.Now.instant().add({ hours: 72 }))
  await keep(phone).click()
  await phone.getByRole('button', { name: 'Yes, book this time' }).click()
  await expect(phone.getByRole('heading', { name: 'Your visit is booked' })).toBeVisible()
  const stale = phone.url().replace(/\?.*/, '?show=cancel')
  clock.putForward({ hours: Temporal.Now.instant().until(soon).total('hours') - 20 })
  await comeByLink(phone, one)
  await phone.goto(stale)
  await expect(phone.getByText(/To change or cancel it, please call us: \(503\) 555-0100\./)).toBeVisible()
  await expect(phone.getByRole('link', { name: 'Cancel the visit' })).toHaveCount(0)
  await checkPatientPage(phone)
})

test('a start made up by hand changes nothing and is answered in words', { tag: '@phone' }, async ({
  clock,
  desk,
  open,
  newPatient,
}) => {
  clock.putForward({})
  const patient = newPatient()
  await screenedReferral(desk, patient, { condition: CONDITION, hasLink: true })
  const phone = await open({ device: 'phone' })
  await comeByLink(phone, patient)
  const value = async () => (await starts(phone).nth(8).getAttribute('value')) ?? ''
  const send = async (startsAt: Temporal.Instant) => {
    // As a script of somebody else's would: after the choice, because the page puts its own values back when one is made.
    await starts(phone).nth(8).check()
    const [, ...rest] = (await value()).split(',')
    await starts(phone)
      .nth(8)
      .evaluate((input, made) => input.setAttribute('value', made), [startsAt.toString(), ...rest].join(','))
    await keep(phone).click()
    await expect(problems(phone)).toBeVisible()
  }
  await phone.goto('/my/book')
  const real = Temporal.Instant.from((await value()).split(',')[0] ?? '')
  await send(real.add({ minutes: 1 }))
  await expect(problems(phone)).toContainText('We have no visit that begins at that time. These times are free:')
  await phone.goto('/my/book')
  await send(real.subtract({ hours: 24 * 14 }))
  await expect(problems(phone)).toContainText('That time is over. These times are free:')
  await phone.goto('/my')
  await expect(phone.getByRole('link', { name: 'Choose a time' })).toBeVisible()
})

// At a desk, but in this file, because its app has the clock.
test('a patient who can no longer be seen in time stands out, and is booked late only with a reason', {
  tag: '@phone',
}, async ({ clock, open }) => {
  // The demo's most urgent patient has a day; two and a half days later there is nothing left in time.
  clock.putForward({ hours: 59 })
  const desk = await open()
  await signInAs(desk, 'coordinator')
  await desk.goto('/desk')
  await desk.getByRole('link', { name: 'Oona Rhyolite' }).click()
  await desk.getByRole('link', { name: 'Find a start at the clinic' }).click()
  // Whether it has passed already depends on the hour and the weekday on which the demo was made.
  const breach =
    /^(No room at any site before \w+day, .* Pacific Time; the first is|The see-by time, \w+day, .* Pacific Time, passed .* ago; the first room at any site is) \w+day, .* Pacific Time, \d+ (hours|days) late\.$/
  await expect(desk.getByText(breach)).toBeVisible()
  await checkPage(desk)
  const page = desk.url()
  await desk.goto('/desk')
  const line = desk.getByRole('listitem').filter({ hasText: 'Oona Rhyolite' })
  await expect(line).toContainText(/No room at any site before|The see-by time, .*, passed/)
  await checkPage(desk)
  await desk.goto(page.replace('/book', ''))
  await expect(desk.getByRole('heading', { name: 'No start in time' })).toBeVisible()
  await desk.getByRole('link', { name: 'Show starts after the see-by time' }).click()
  // How late is said of each start, or once of a day whose starts have it in common.
  await expect(desk.getByText(/(hours|days) after the see-by time/i).first()).toBeVisible()
  await expect(desk.getByText(/the soonest$/i)).toBeVisible()
  await starts(desk).first().check()
  await desk.getByRole('button', { name: 'Book this start' }).click()
  await expect(problems(desk)).toContainText('never set aside without a reason')
  await checkPage(desk)
  await desk.getByLabel('Why the see-by time is set aside').fill('The patient was in hospital until today.')
  await desk.getByRole('button', { name: 'Book this start' }).click()
  await expect(desk.getByRole('heading', { name: /^Booked\. The patient is told/ })).toBeVisible()
  await desk.goto(page.replace('/book', ''))
  await expect(
    desk.getByText('setting aside the see-by time, because: The patient was in hospital until today.'),
  ).toBeVisible()
  await expect(desk.getByRole('heading', { name: 'No start in time' })).toHaveCount(0)
})

/** Chooses the first start after this moment, and tells when it is. */
async function chooseAfter(page: Page, after: Temporal.Instant): Promise<Temporal.Instant> {
  const values = await offeredStarts(page)
  const chosen = values.find((value) => Date.parse(value.split(',')[0] ?? '') > after.epochMilliseconds) ?? ''
  await page.locator(`input[value='${chosen}']`).check()
  return Temporal.Instant.from(chosen.split(',')[0] ?? '')
}
