/** A clinician makes the address of their calendar, reads it with a calendar program, and takes it back. */
import ICAL from 'ical.js'
import { checkPage } from './page-checks.ts'
import { expect, test } from './watched.ts'

test('a clinician subscribes to their own visits, and nobody can any more once the address is taken back', async ({
  open,
  request,
}) => {
  const page = await open({ as: 'clinician' })
  await page.goto('/clinic/calendar')
  await expect(page.getByRole('heading', { level: 1 })).toHaveText(/^Your visits in your own calendar program/)
  await page.getByRole('button', { name: /^Make (an|a new) address$/ }).click()
  const shown = page.getByLabel('Copy it now: it is not shown again.')
  const address = await shown.inputValue()
  await checkPage(page)
  await page.reload()
  await expect(shown).toHaveCount(0)

  const first = await request.get(address)
  expect(first.headers()['content-type']).toBe('text/calendar; charset=utf-8')
  expect(first.headers()['cache-control']).toBe('private, no-cache')
  expect(first.headers()['set-cookie']).toBeUndefined()
  const events = new ICAL.Component(ICAL.parse(await first.text())).getAllSubcomponents('vevent')
  expect(events.length).toBeGreaterThan(0)
  for (const event of events)
    expect(event.getFirstPropertyValue('summary')).toMatch(/^(Video visit|Visit at the clinic)/)
  const { etag = '' } = first.headers()
  expect((await request.get(address, { headers: { 'if-none-match': etag } })).status()).toBe(304)
  expect((await request.head(address)).status()).toBe(200)

  await page.getByRole('button', { name: 'Take the address back' }).click()
  await expect(page.getByRole('heading', { name: /^Taken back\./ })).toBeVisible()
  const unknown = await request.get(`${new URL(address).origin}/feeds/larkfield/never-made.ics`)
  const ended = await request.get(address)
  expect([ended.status(), await ended.text()]).toEqual([404, await unknown.text()])
})
