/**
 * A clinician runs visits from the sheet: the line breaks in the middle and nothing is lost, two windows disagree and a
 * person decides, one visit is stopped for safety, the record is signed and added to, and what is left is booked at the
 * clinic. Its app has a clock of its own, which is put forward to the visits.
 */
import { Temporal } from '#lib/base/time.ts'
import { test } from './own-app.ts'
import { checkPage } from './page-checks.ts'
import { signInAs } from './people.ts'
import { bookedVisitAhead, screenedReferral } from './referral-walk.ts'
import { expect, type Page } from './watched.ts'

const CONDITION = 'Flat foot (posterior tibial tendon), suspected'

// A browser complains of every request that it could not make, and of every answer that it takes for a fault.
test.use({ expectedComplaints: [/(ERR_FAILED|status of 409).*run\/entries/], actionTimeout: 20_000 })

test('a visit whose line breaks in the middle is written down once, signed, and followed up; another is stopped for safety', async ({
  clock,
  desk,
  open,
  newPatient,
}) => {
  test.setTimeout(240_000)
  const [one, other] = [newPatient(), newPatient()]
  const first = await bookedVisitAhead(desk, await screenedReferral(desk, one, { condition: CONDITION }))
  const second = await bookedVisitAhead(desk, await screenedReferral(desk, other, { condition: CONDITION }), {
    beside: first.start,
  })
  const latest = [first.at, second.at].sort(Temporal.Instant.compare)[1] as Temporal.Instant
  clock.putForward({ minutes: Temporal.Now.instant().until(latest).total('minutes') + 5 })

  const run = await open()
  await signInAs(run, 'lead')
  await run.goto(first.path)
  await run.getByRole('link', { name: 'Run the visit' }).click()
  await expect(run.getByRole('heading', { name: 'First' })).toBeVisible()
  await checkPage(run)
  await expectSidesInTheirPlace(run)
  for (const name of ['Who it is', 'Where they are now', 'Consent to a visit by video']) {
    await run.getByRole('group', { name }).getByRole('radio', { name: 'Confirmed' }).check()
    await expect(run.getByRole('group', { name })).toContainText('Written down')
  }
  // Skipped is an answer only with a reason.
  const contact = run.getByRole('group', { name: 'Whom to call for them' })
  await contact.getByRole('radio', { name: 'Skipped' }).check()
  await contact.getByRole('button', { name: 'Write it down' }).click()
  await expect(contact.getByRole('alert')).toBeVisible()
  await contact.getByLabel('Why skipped, or what differs').fill('They live alone and want nobody called.')
  await contact.getByRole('button', { name: 'Write it down' }).click()
  await expect(contact).toContainText('Written down')

  // The line breaks; what is written is kept here, also over a reload, and goes out once it is back.
  const turns = run.getByRole('group', { name: /^(Left|Right|Both)$/ })
  const [done, disputed] = [turns.nth(0), turns.nth(1)]
  await run.route('**/run/entries', (route) => route.abort())
  await done.getByRole('radio', { name: 'Done', exact: true }).check()
  await done.getByRole('radio', { name: 'Normal', exact: true }).check()
  await expect(done).toContainText('Kept here, not sent yet')
  await expect(run.getByText(/^No line: 1 entry waits here/)).toBeVisible()
  await run.reload()
  await expect(done).toContainText('Kept here, not sent yet')
  await expect(done.getByRole('radio', { name: 'Done', exact: true })).toBeChecked()
  // Where it is signed this is told too: a signed record would take the entry no more.
  await run.goto(`${first.path}/after`)
  await expect(
    run.getByRole('heading', { name: 'Not everything has reached the record: do not sign yet' }),
  ).toBeVisible()
  await run.getByRole('link', { name: 'Look at it on the run sheet' }).click()
  await run.unroute('**/run/entries')
  await expect(run.getByText('All written down')).toBeVisible()
  await expect(done).toContainText('Written down: Done')

  // Two windows write of the same side; neither is lost unseen.
  const beside = await run.context().newPage()
  await beside.goto(new URL(run.url()).pathname)
  const theirs = beside.getByRole('group', { name: /^(Left|Right|Both)$/ }).nth(1)
  await theirs.getByRole('radio', { name: 'Not possible' }).check()
  await theirs.getByLabel('Why, if not done or hard').selectOption('Pain')
  await expect(theirs).toContainText('Written down')
  await disputed.getByRole('radio', { name: 'Done', exact: true }).check()
  await expect(disputed.getByText('Two entries disagree').first()).toBeVisible()
  await expect(disputed).toContainText('Not possible')
  await checkPage(run)
  await disputed.getByRole('button', { name: /^Keep what / }).click()
  await expect(disputed).toContainText('Written down: Not possible')
  await beside.close()

  await run.getByRole('link', { name: 'End and sign' }).click()
  await expect(run.getByRole('heading', { name: 'What is written down' })).toBeVisible()
  await checkPage(run)
  await run.getByRole('radio', { name: 'Completed' }).check()
  await run.getByRole('checkbox', { name: 'There was no time for it' }).check()
  await run.getByRole('radio', { name: 'See the patient at the clinic' }).check()
  await run.getByRole('button', { name: 'Sign and lock' }).click()
  await expect(run.getByRole('heading', { name: 'Signed' })).toBeVisible()
  await run.getByLabel('Add to the record').fill('The patient called: the swelling has gone down.')
  await run.getByRole('button', { name: 'Add it' }).click()
  await expect(run.getByRole('list', { name: 'Addenda' })).toContainText('the swelling has gone down')
  await checkPage(run)
  for (const [form, type] of [
    ['text', 'text/plain'],
    ['pdf', 'application/pdf'],
    ['fhir', 'application/fhir+json'],
  ] as const) {
    const file = await run.request.get(`${first.path}/note/${form}`)
    expect(file.status(), form).toBe(200)
    expect(file.headers()['content-type'], form).toContain(type)
  }
  await run.getByRole('link', { name: 'Book the follow-up' }).click()
  await run.locator('input[name="start"]').first().check()
  await run.getByRole('button', { name: 'Book this start' }).click()
  await expect(run.getByRole('heading', { name: /^Booked\. The patient is told/ })).toBeVisible()

  // One click, and the steps are there; without a line too, and the desk hears of it as soon as there is one.
  await run.goto(`${second.path}/run`)
  await run.route('**/run/entries', (route) => route.abort())
  await run.getByRole('button', { name: 'Stop for safety' }).click()
  const panel = run.getByRole('alert').filter({ hasText: 'Stopped for safety' })
  await expect(panel).toContainText('Patient is at')
  await expect(panel).toContainText('The stop is kept here')
  await run.unroute('**/run/entries')
  await expect(panel).toContainText('The stop is recorded, and the desk has a task to call.')
  await checkPage(run)
  await run.goto('/desk')
  await expect(run.getByRole('listitem').filter({ hasText: other.name }).first()).toBeVisible()
})

/** The complaint is left, so the right is examined first: beside each other the left stays on the left all the same. */
async function expectSidesInTheirPlace(run: Page): Promise<void> {
  const left = run.getByRole('group', { name: 'Left', exact: true })
  const right = run.getByRole('group', { name: 'Right', exact: true })
  const station = run.locator('section[aria-labelledby^="title-"]')
  const compared = station.filter({ has: left }).filter({ has: right }).first()
  const [theLeft, theRight] = [
    compared.getByRole('group', { name: 'Left' }),
    compared.getByRole('group', { name: 'Right' }),
  ]
  await expect(theRight).toContainText('Examined first: the other side')
  await expect(theLeft).toContainText('Examined second: the side of the complaint')
  const size = run.viewportSize()
  for (const [width, isBeside] of [
    [1280, true],
    [640, false],
  ] as const) {
    await run.setViewportSize({ width, height: 800 })
    const [ofLeft, ofRight] = [await theLeft.boundingBox(), await theRight.boundingBox()]
    if (!ofLeft || !ofRight) throw new Error('the sides are not drawn')
    if (isBeside) {
      expect(ofLeft.y, `${width} px`).toBe(ofRight.y)
      expect(ofLeft.x + ofLeft.width, `${width} px`).toBeLessThanOrEqual(ofRight.x)
    } else expect(ofRight.y + ofRight.height, `${width} px`).toBeLessThanOrEqual(ofLeft.y)
  }
  if (size) await run.setViewportSize(size)
  // A number is asked for with its side, however far down the box it stands.
  await expect(theLeft.or(theRight).getByLabel(/^(?!Left|Right).*, (degrees|seconds|times|cm)$/)).toHaveCount(0)
}
