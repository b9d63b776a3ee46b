/**
 * The run sheet and the page after it, once with nothing but the keyboard and once in a browser that runs no script. Its
 * app has a clock of its own, which is put forward to the visits and back again.
 */
import { Temporal } from '#lib/base/time.ts'
import { expectSaid, focus, press } from './keyboard.ts'
import { test } from './own-app.ts'
import { checkPage, expectFocusSeen } from './page-checks.ts'
import { signInAs } from './people.ts'
import { bookedVisitAhead, screenedReferral } from './referral-walk.ts'
import { expect, type Locator, type Page, problems } from './watched.ts'

const CONDITION = 'Flat foot (posterior tibial tendon), suspected'

// A browser complains of an answer that it takes for a fault.
test.use({ expectedComplaints: [/status of 409.*run\/entries/], actionTimeout: 20_000 })

test('a visit is run, stopped for safety, signed and added to with the keyboard alone', async ({
  clock,
  open,
  newPatient,
}) => {
  // Some three hundred stops of the Tab key, each looked at.
  test.setTimeout(360_000)
  const visit = await visitUnderWay(await open(), newPatient(), clock)
  const run = await open()
  await signInAs(run, 'lead')
  await run.goto(visit)
  await press(run, run.getByRole('link', { name: 'Run the visit' }), 'Enter')
  await expect(run.getByRole('heading', { name: 'First' })).toBeVisible()
  await expect(run.getByRole('heading', { level: 1 })).toBeFocused()

  // Bar: the stopwatch starts and stops on one stop of the Tab key.
  await press(run, run.getByRole('button', { name: 'Start: Stopwatch' }), 'Space')
  await expect(run.getByRole('button', { name: 'Stop: Stopwatch' })).toBeFocused()
  await run.keyboard.press('Space')
  await expect(run.getByRole('timer', { name: 'Stopwatch' })).toHaveText(/\d s/)

  for (const name of ['Who it is', 'Where they are now']) {
    const check = run.getByRole('group', { name })
    await press(run, check.getByRole('radio', { name: 'Confirmed' }), 'Space')
    await expect(check).toContainText('Written down: Confirmed')
    await expectFocusSeen(run, `after ${name}`)
  }
  // Skipped without a reason: the keyboard is led to what is missing.
  const contact = run.getByRole('group', { name: 'Whom to call for them' })
  await press(run, contact.getByRole('radio', { name: 'Confirmed' }), 'Space')
  await run.keyboard.press('ArrowRight')
  await expect(contact).toContainText('Not written down yet: say why it is skipped.')
  await press(run, contact.getByRole('button', { name: 'Write it down' }), 'Enter')
  const why = contact.getByLabel('Why skipped, or what differs')
  await expect(why).toBeFocused()
  await expect(why).toHaveAccessibleDescription('Say why it is skipped')
  await run.keyboard.type('They want nobody called.')
  await run.keyboard.press('Enter')
  await expect(contact).toContainText('Written down: Skipped: They want nobody called.')
  await expectFocusSeen(run, 'after a reason')
  const consent = run.getByRole('group', { name: 'Consent to a visit by video' })
  await press(run, consent.getByRole('radio', { name: 'Confirmed' }), 'Space')
  await expect(consent).toContainText('Written down: Confirmed')

  const turns = run.getByRole('group', { name: /^(Left|Right|Both)$/ })
  const [plain, undone, hard] = [turns.nth(0), turns.nth(1), turns.nth(2)]
  await press(run, plain.getByRole('radio', { name: 'Done', exact: true }), 'Space')
  await press(run, plain.getByRole('radio', { name: 'Normal', exact: true }), 'Space')
  await expect(plain).toContainText('Written down: Done. Normal.')

  // The arrows pass over answers on the way to the one that is meant; what is half said is told to be not written down.
  await press(run, undone.getByRole('radio', { name: 'Done', exact: true }), 'Space')
  for (const _ of ['hard', 'not possible']) await run.keyboard.press('ArrowRight')
  await expect(undone.getByRole('radio', { name: 'Not possible' })).toBeFocused()
  await expect(undone).toContainText('Not written down yet: say why.')
  await focus(run, undone.getByLabel('Why, if not done or hard'))
  await run.keyboard.type('Pain')
  await expect(undone).toContainText('Written down: Not possible: Pain.')

  await press(run, hard.getByRole('radio', { name: 'Done', exact: true }), 'Space')
  await run.keyboard.press('ArrowRight')
  await press(run, hard.getByRole('radio', { name: 'Normal', exact: true }), 'Space')
  await run.keyboard.press('ArrowRight')
  await focus(run, hard.getByLabel('Finding in words'))
  await run.keyboard.type('The heel stays out.')
  await expect(hard).toContainText('Written down: Done with difficulty. Abnormal: The heel stays out.')

  // A count and a time are taken where they are written.
  const counted = turns.filter({ has: run.getByRole('button', { name: /^Count/ }) }).first()
  await press(run, counted.getByRole('radio', { name: 'Done', exact: true }), 'Space')
  await press(run, counted.getByRole('button', { name: /^Count/ }), 'Enter')
  for (const _ of ['second', 'third']) await run.keyboard.press('Enter')
  await expect(counted).toContainText(/Written down: Done\. Heel rises: 3/)
  await expect(counted.getByRole('button', { name: /^Count/ })).toBeFocused()
  const timed = turns.filter({ has: run.getByRole('timer') }).first()
  await press(run, timed.getByRole('radio', { name: 'Done', exact: true }), 'Space')
  await press(run, timed.getByRole('button', { name: /^Start: / }), 'Space')
  await run.keyboard.press('Space')
  await expect(timed).toContainText(/Written down: Done\. .*: \d+(\.\d)? s/)

  // Back up the sheet, the bar at its top lies over nothing that the keyboard stands on.
  for (let step = 0; step < 25; step += 1) {
    await run.keyboard.press('Shift+Tab')
    await expectFocusSeen(run, `${step} steps back`)
  }

  // Two disagree: the one that is kept stands in the fields too, and the keyboard stays in the form.
  const beside = await run.context().newPage()
  await beside.goto(new URL(run.url()).pathname)
  const theirs = beside.getByRole('group', { name: /^(Left|Right|Both)$/ }).nth(0)
  await theirs.getByRole('radio', { name: 'Abnormal' }).check()
  await theirs.getByLabel('Finding in words').fill('Toes seen at the outer side.')
  await expect(theirs).toContainText('Written down: Done. Abnormal')
  await beside.close()
  await focus(run, plain.getByLabel('Finding in words'), 'Shift+Tab')
  await run.keyboard.type('As the other side.')
  await press(run, plain.getByRole('button', { name: /^Keep what / }), 'Enter')
  await expect(plain).toContainText('Written down: Done. Abnormal: Toes seen at the outer side.')
  await expect(plain.getByLabel('Finding in words')).toHaveValue('Toes seen at the outer side.')
  await expect(plain.getByRole('button', { name: 'Write it down' })).toBeFocused()

  await run.keyboard.press('Alt+Shift+S')
  const panel = run.getByRole('alert').filter({ hasText: 'Stopped for safety' })
  await expect(panel).toBeFocused()
  await expectFocusSeen(run, 'after the stop')
  await expect(panel).toContainText('The stop is recorded')
  await checkPage(run)
  // Under the steps that hang from the bar too, nothing is hidden.
  await focus(run, run.getByRole('group', { name: 'Who it is' }).getByRole('radio', { name: 'Confirmed' }))
  await focus(run, panel.getByRole('link', { name: 'write down what happened and sign' }), 'Shift+Tab')
  await run.keyboard.press('Enter')
  await expect(run.getByRole('heading', { name: 'What is written down' })).toBeVisible()
  await expect(run.getByRole('heading', { level: 1 })).toBeFocused()

  await press(run, run.getByRole('radio', { name: 'See the patient at the clinic' }), 'ArrowDown')
  await expect(run.getByRole('radio', { name: 'Call the patient and decide with them' })).toBeChecked()
  await press(run, run.getByRole('button', { name: 'Sign and lock' }), 'Enter')
  await expect(problems(run)).toBeVisible()
  await expectFocusSeen(run, 'after a refusal')
  await press(run, problems(run).getByRole('link').first(), 'Enter')
  await expect(run.getByLabel('Note', { exact: false }).first()).toBeFocused()
  await run.keyboard.type('Dizzy on standing up; sat down, better after five minutes.')
  await press(run, run.getByRole('button', { name: 'Sign and lock' }), 'Enter')
  await expect(run.getByRole('heading', { name: 'Signed' })).toBeVisible()
  await expectFocusSeen(run, 'after signing')
  await expect(run.locator('#signed')).toBeFocused()
  await focus(run, run.getByLabel('Add to the record'))
  await run.keyboard.type('Their doctor was told.')
  await press(run, run.getByRole('button', { name: 'Add it' }), 'Enter')
  await expect(run.getByRole('list', { name: 'Addenda' })).toContainText('Their doctor was told.')
  await expect(run.getByRole('button', { name: 'Add it' })).toBeFocused()

  // The call that follows is a task of the referral.
  await press(run, run.getByRole('link', { name: 'Open the referral' }), 'Enter', 'Shift+Tab')
  await expect(run.getByRole('heading', { level: 1 })).toBeFocused()
  const task = run.getByRole('region', { name: 'A visit to follow up' })
  await focus(run, task.getByLabel('What was done'))
  await run.keyboard.type('Called; comes to the clinic.')
  await press(run, task.getByRole('button', { name: 'Take it off the desk' }), 'Enter')
  await expectSaid(run, 'Noted. The task is off the desk.')
  clock.putForward({})
})

test('without a script everything can be written down, and nothing stands there that does nothing', async ({
  clock,
  open,
  newPatient,
}) => {
  const visit = await visitUnderWay(await open(), newPatient(), clock)
  const plain = await open({ javaScript: false })
  await signInAs(plain, 'lead')
  await plain.goto(`${visit}/run`)
  await expect(plain.getByRole('heading', { name: 'First' })).toBeVisible()
  await expectNothingDead(plain)
  await expect(plain.getByText('All written down')).toHaveCount(0)

  await plain.getByRole('group', { name: 'Who it is' }).getByRole('radio', { name: 'Confirmed' }).check()
  await write(plain.getByRole('group', { name: 'Who it is' }))
  await expect(plain.getByRole('group', { name: 'Who it is' })).toContainText(/Confirmed By /)
  await expect(plain).toHaveURL(/#check-identity$/)

  // What is missing is told at its form, where the page comes back, and nothing is lost.
  const contact = plain.getByRole('group', { name: 'Whom to call for them' })
  await contact.getByRole('radio', { name: 'Skipped' }).check()
  await write(contact)
  await expect(contact.getByRole('alert')).toHaveText('Say why it is skipped')
  await expect(contact.getByRole('alert')).toBeInViewport()
  await expect(contact.getByRole('radio', { name: 'Skipped' })).toBeChecked()
  await contact.getByLabel('Why skipped, or what differs').fill('They want nobody called.')
  await write(contact)
  await expect(contact).toContainText('Skipped: They want nobody called.')
  for (const name of ['Where they are now', 'Consent to a visit by video']) {
    await plain.getByRole('group', { name }).getByRole('radio', { name: 'Confirmed' }).check()
    await write(plain.getByRole('group', { name }))
    await expect(plain.getByRole('group', { name })).toContainText(/Confirmed By /)
  }

  const turns = plain.getByRole('group', { name: /^(Left|Right|Both)$/ })
  const counted = turns.filter({ hasText: 'Heel rises, times' }).first()
  await counted.getByRole('radio', { name: 'Done with difficulty' }).check()
  await counted.getByLabel('Why, if not done or hard').selectOption('Pain')
  await counted.getByRole('radio', { name: 'Abnormal' }).check()
  await counted.getByLabel('Finding in words').fill('Leans forward.')
  await counted.getByLabel('Heel rises, times').fill('500')
  await write(counted)
  await expect(counted.getByRole('alert')).toHaveText('Between 0 and 100: check the value and the unit')
  await expect(counted.getByRole('alert')).toBeInViewport()
  await expect(counted.getByLabel('Heel rises, times')).toHaveValue('500')
  await expect(counted.getByLabel('Finding in words')).toHaveValue('Leans forward.')
  await expect(counted.getByLabel('Why, if not done or hard')).toHaveValue('pain')
  await counted.getByLabel('Heel rises, times').fill('5')
  // Meanwhile somebody else writes of the same side; neither is lost unseen.
  const beside = await plain.context().newPage()
  await beside.goto(`${visit}/run`)
  const theirs = beside.getByRole('group', { name: /^(Left|Right|Both)$/ }).filter({ hasText: 'Heel rises, times' })
  await theirs.first().getByRole('radio', { name: 'Done', exact: true }).check()
  await write(theirs.first())
  await expect(theirs.first()).toContainText(/Done\. By /)
  await beside.close()
  await write(counted)
  await expect(counted.getByRole('alert')).toContainText('wrote meanwhile: Done.')
  await expect(counted.getByLabel('Heel rises, times')).toHaveValue('5')
  await write(counted)
  await expect(counted).toContainText('Done with difficulty: Pain. Abnormal: Leans forward. Heel rises: 5')

  await plain.getByRole('button', { name: 'Stop for safety' }).click()
  const panel = plain.getByRole('alert').filter({ hasText: 'Stopped for safety' })
  await expect(panel).toContainText('The stop is recorded')
  await expectNothingDead(plain)
  await panel.getByRole('link', { name: 'write down what happened and sign' }).click()
  await expectNothingDead(plain)
  await expect(plain.getByRole('row', { name: /Heel rises: 5/ })).toBeVisible()
  await plain.getByRole('radio', { name: 'Call the patient and decide with them' }).check()
  await plain.getByRole('button', { name: 'Sign and lock' }).click()
  await expect(problems(plain)).toBeVisible()
  await expect(plain.getByRole('radio', { name: 'Call the patient and decide with them' })).toBeChecked()
  await plain.getByLabel('Note', { exact: false }).first().fill('Dizzy on standing up.')
  await plain.getByRole('button', { name: 'Sign and lock' }).click()
  await expect(plain.getByRole('heading', { name: 'Signed' })).toBeVisible()
  await plain.getByLabel('Add to the record').fill('Their doctor was told.')
  await plain.getByRole('button', { name: 'Add it' }).click()
  await expect(plain.getByRole('list', { name: 'Addenda' })).toContainText('Their doctor was told.')
  await expectNothingDead(plain)
  clock.putForward({})
})

type Clock = { putForward(by: { minutes?: number }): void }

/** Books a visit and puts the clock into it; its address. */
async function visitUnderWay(
  desk: Page,
  patient: Parameters<typeof screenedReferral>[1],
  clock: Clock,
): Promise<string> {
  await signInAs(desk, 'coordinator')
  const { path, at } = await bookedVisitAhead(desk, await screenedReferral(desk, patient, { condition: CONDITION }), {
    days: 2,
  })
  clock.putForward({ minutes: Temporal.Now.instant().until(at).total('minutes') + 5 })
  return path
}

async function write(form: Locator): Promise<void> {
  await form.getByRole('button', { name: 'Write it down' }).click()
}

/** Every button that is seen sends its form; what only a script could do is not there. */
async function expectNothingDead(page: Page): Promise<void> {
  const main = page.getByRole('main')
  await expect(main.locator('button:visible').first()).toBeVisible()
  await expect(main.locator('button:not(form button):visible, button[type="button"]:visible')).toHaveCount(0)
  await expect(main.getByRole('timer')).toHaveCount(0)
}
