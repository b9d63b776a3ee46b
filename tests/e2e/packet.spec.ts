/** The packet: exactly the stations of this visit, by mail and as a page that prints. */
import { readFileSync } from 'node:fs'
import ICAL from 'ical.js'
import { plainTitle } from './home-answers.ts'
import { mailTo } from './mail-tray.ts'
import { bookSomeStart, comeByLink, screenedReferral } from './referral-walk.ts'
import { expect, type Page, test } from './watched.ts'

const FLAT_FOOT = 'Flat foot (posterior tibial tendon), suspected'

test('the packet page holds the stations of the plan in their order, what to fetch and who must be there', {
  tag: '@phone',
}, async ({ desk, open, newPatient }) => {
  const patient = newPatient()
  const referralId = await screenedReferral(desk, patient, { condition: FLAT_FOOT, side: 'Right' })
  await bookSomeStart(desk, referralId, patient)
  await desk.getByRole('link', { name: 'Open the visit' }).click()
  const plan = desk.getByRole('table', { name: 'The exam in its order' }).getByRole('rowheader')
  await expect(plan.first()).toBeVisible()
  const planned = await plan.count()

  const phone = await open({ device: 'phone' })
  await comeByLink(phone, patient)
  await phone.getByRole('link', { name: 'How to get ready' }).click()
  await expect(phone.getByRole('heading', { level: 1 })).toHaveText('How to get ready')
  const stations = await phone.locator('#setUps').getByRole('heading', { level: 4 }).allTextContents()
  expect(stations).toHaveLength(planned)
  expect(stations).toContain(plainTitle('strength_inner'))
  await expect(phone.locator('#fetch')).toContainText('Your phone, fully charged')
  await expect(phone.locator('#helper')).toContainText(
    /Your helper must be with you from \d+:\d\d\s[AP]M to \d+:\d\d\s[AP]M/,
  )
  await expect(phone.locator('#setUps')).toContainText('right foot')
  await expect(phone.locator('#safety')).toContainText('Stop at once if something hurts a lot')
  await expect(phone.locator('#dontWait')).toContainText('Call 911 now')
  await expect(phone.getByText('This is a demo plan.')).toBeVisible()

  // The clinician sees the same order, and that the packet was read.
  await desk.reload()
  await expect(readiness(desk, 'Packet opened')).toContainText('Done')
})

test('a patient without a helper is asked for none, and reads what is left out', { tag: '@phone' }, async ({
  desk,
  open,
  newPatient,
}) => {
  const patient = newPatient()
  const referralId = await screenedReferral(desk, patient, {
    condition: FLAT_FOOT,
    home: { helper: false, strap: false, towel: true },
  })
  await bookSomeStart(desk, referralId, patient)
  const phone = await open({ device: 'phone' })
  await comeByLink(phone, patient)
  await phone.goto('/my/packet')
  await expect(phone.locator('#helper')).toContainText('You do not need a helper.')
  await expect(phone.locator('#setUps')).not.toContainText('Your helper')
  await expect(phone.locator('#setUps').getByRole('heading', { name: plainTitle('strength_inner') })).toHaveCount(0)
  await expect(phone.locator('#cannot')).toContainText(plainTitle('strength_inner'))
})

test('the mail comes as HTML, as text and with a calendar entry at the patient’s own time', async ({
  desk,
  newPatient,
}) => {
  const patient = newPatient()
  const referralId = await screenedReferral(desk, patient, { condition: FLAT_FOOT })
  await bookSomeStart(desk, referralId, patient)
  const startsAt = await desk.getByRole('heading', { level: 1 }).locator('time').getAttribute('datetime')
  const { subject, text, html, invite, links } = await mailTo(patient.email, /Your video visit is booked/)

  expect(subject).not.toMatch(new RegExp(`${patient.given}|${patient.family}|foot`, 'i'))
  expect(text).toContain(`Hello ${patient.given},`)
  expect(html).toContain('See how to get ready')
  expect(text).toMatch(/\w+day, \w+ \d+, \d+:\d\d\s[AP]M to \d+:\d\d\s[AP]M, Pacific Time/)
  // Without the patient's word that mail is fine for it, what will be examined stays behind the link.
  for (const stationId of ['strength_inner', 'heel_raise_single']) expect(text).not.toContain(plainTitle(stationId))
  const elsewhere = links.filter((link) => !link.startsWith('tel:') && new URL(link).hostname !== 'localhost')
  expect(elsewhere).toEqual([])

  // Read by another library than the one that wrote it (ical.js): RFC 5545 and the METHOD of RFC 5546.
  const calendar = new ICAL.Component(ICAL.parse(invite ?? ''))
  expect(calendar.getFirstPropertyValue('method')).toBe('REQUEST')
  const event = calendar.getFirstSubcomponent('vevent')
  const begins = new ICAL.Event(event as ICAL.Component).startDate
  for (const zone of calendar.getAllSubcomponents('vtimezone')) ICAL.TimezoneService.register(zone)
  expect(begins.toJSDate().toISOString()).toBe(new Date(startsAt ?? '').toISOString())
  expect(String(event?.getFirstPropertyValue('summary'))).toMatch(/^Video visit/)
})

test('the mail holds the whole preparation where the patient agreed to get it so', async ({ desk, newPatient }) => {
  const patient = newPatient()
  const referralId = await screenedReferral(desk, patient, { condition: FLAT_FOOT })
  await desk.goto(`/referrals/${referralId}/patient`)
  await desk.getByRole('checkbox', { name: /agreed to get the whole preparation by e-mail/ }).check()
  await desk.getByRole('button', { name: 'Save these details' }).click()
  await expect(desk.getByRole('status')).toContainText('The details are saved.')
  await bookSomeStart(desk, referralId, patient)
  const { text, html } = await mailTo(patient.email, /Your video visit is booked/)
  for (const body of [text, html]) {
    // The text writes headings in capitals.
    expect(body.toLowerCase()).toContain(plainTitle('strength_inner').toLowerCase())
    expect(body).toContain('Your helper must be with you')
  }
})

test('the packet prints on paper: black on white, whole, without what can only be pressed', async ({
  desk,
  open,
  newPatient,
}, testInfo) => {
  const patient = newPatient()
  const referralId = await screenedReferral(desk, patient, { condition: FLAT_FOOT })
  await bookSomeStart(desk, referralId, patient)
  const page = await open()
  await comeByLink(page, patient)
  await page.goto('/my/packet')
  await page.emulateMedia({ media: 'print', colorScheme: 'dark' })
  const paper = await page.evaluate(() => getComputedStyle(document.documentElement).backgroundColor)
  expect(paper).toBe('rgb(255, 255, 255)')
  await expect(page.getByRole('link', { name: 'Back', exact: true })).toBeHidden()
  await expect(page.locator('#dontWait')).toBeVisible()

  const path = testInfo.outputPath('packet.pdf')
  await page.pdf({ path, format: 'Letter' })
  const pages = readFileSync(path, 'latin1').match(/\/Type\s*\/Page\b/g) ?? []
  expect(pages.length).toBeGreaterThanOrEqual(2)
  // Eleven set-ups, each place drawn once and beside its words.
  expect(pages.length).toBeLessThanOrEqual(7)
})

function readiness(desk: Page, item: string) {
  return desk.getByRole('list', { name: 'Readiness items' }).getByRole('listitem').filter({ hasText: item })
}
