/** The home check: invited by mail, answered on a phone one question at a time, or filled in by phone with the coordinator. */
import { answerOf, factAsked, questionOf } from './home-answers.ts'
import { mailTo } from './mail-tray.ts'
import { linkOf, openLink, type TestPatient } from './people.ts'
import { comeByLink, deskLine, triage, typeReferral } from './referral-walk.ts'
import { expect, type Page, problems, test, textOf } from './watched.ts'

for (const javaScript of [true, false]) {
  test(`a patient opens the mailed link on a phone${javaScript ? '' : ' without JavaScript'}, answers, stops, comes back and finishes`, {
    tag: '@phone',
  }, async ({ desk, open, newPatient }) => {
    const patient = newPatient()
    const referralId = await invitedReferral(desk, patient)
    const { subject, text, html } = await mailTo(patient.email, /questions before your visit/)
    // A subject is read over a shoulder: nothing of the patient stands in it.
    expect(subject).not.toMatch(new RegExp(`${patient.given}|${patient.family}|heel|pain`, 'i'))
    expect(text).toContain('/go/larkfield/')
    expect(html).toContain('/go/larkfield/')

    const phone = await open({ device: 'phone', javaScript })
    const link = await linkOf(patient)
    await openLink(phone, link, '1931-01-31')
    await expect(problems(phone)).toContainText('That does not match what we have. You can try 4 more times.')
    await expect(phone).toHaveTitle(/^Error: /)
    await openLink(phone, link, patient.born)
    await expect(phone).toHaveURL(/\/my$/)
    await expect(phone.getByRole('heading', { level: 1 })).toHaveText(`Hello ${patient.given}`)

    await phone.getByRole('link', { name: 'Tell us about your home' }).click()
    await phone.getByRole('button', { name: 'Continue' }).click()
    await expect(problems(phone)).toContainText('Choose yes, no, or “I am not sure”')
    const first = await heading(phone)
    await phone.getByText('Why we ask').click()
    await expect(phone.getByText(factAsked(first).why.en)).toBeVisible()
    const asked = [...(await answerQuestions(phone, 1))]
    await phone.getByRole('link', { name: 'Back' }).click()
    await expect(phone.getByRole('heading', { level: 1 })).toHaveText(first)
    await expect(phone.getByRole('radio', { name: 'No', exact: true })).toBeChecked()
    await phone.getByRole('button', { name: 'Continue' }).click()
    await expect(phone.getByRole('heading', { level: 1 })).not.toHaveText(first)
    asked.push(...(await answerQuestions(phone, 5)), await heading(phone))

    // Another day, another tab: the link leads back to the question that was open.
    await phone.close()
    const later = await open({ device: 'phone', javaScript })
    await openLink(later, link, patient.born)
    await expect(later.getByText('Started. Go on where you stopped')).toBeVisible()
    await later.getByRole('link', { name: 'Tell us about your home' }).click()
    await expect(later.getByRole('heading', { level: 1 })).toHaveText(asked.at(-1) ?? '')
    asked.push(...(await answerQuestions(later)))
    // Nobody is asked twice.
    expect(asked.slice(0, 6)).not.toContain(asked[6])

    await giveDetails(later)
    await expect(later.getByRole('heading', { level: 1 })).toHaveText('Check your answers')
    await changeAnswer(later)
    await later.getByRole('button', { name: 'These are right. Send them' }).click()
    await expect(later.getByRole('heading', { level: 1 })).toHaveText('Thank you. We have your answers')
    await expect(later.getByText('You have what you need at home. We can see you by video.')).toBeVisible()

    await desk.goto('/desk')
    await expect(deskLine(desk, 'Book by video', patient)).toBeVisible()
    await desk.goto(`/referrals/${referralId}`)
    await expect(desk.getByRole('list', { name: 'History' })).toContainText(/The patient finished the home check/)
  })
}

test('a sign that cannot wait stops the patient with plain advice and tells the coordinator at once', {
  tag: '@phone',
}, async ({ desk, open, newPatient }) => {
  const patient = newPatient()
  await invitedReferral(desk, patient)
  const phone = await open({ device: 'phone' })
  await comeByLink(phone, patient)
  await phone.getByRole('link', { name: 'Tell us about your home' }).click()
  await expect(phone.getByRole('heading', { level: 1 })).toHaveText(questionOf('cold_foot'))
  await phone.getByRole('radio', { name: 'Yes' }).check()
  await phone.getByRole('button', { name: 'Continue' }).click()
  await expect(phone.getByRole('heading', { level: 1 })).toHaveText('Get help now')
  await expect(phone.getByRole('link', { name: 'Call 911 now', exact: true })).toHaveAttribute('href', 'tel:911')
  // There is no way on, whatever address is tried.
  await phone.goto('/my/check')
  await expect(phone).toHaveURL(/\/my\/stop/)
  await phone.goto('/my/check/fever')
  await expect(phone).toHaveURL(/\/my\/stop/)

  await desk.goto('/desk')
  await expect(deskLine(desk, 'Call now', patient)).toBeVisible()
  expect((await mailTo(patient.email, /Please read this now/)).text).toContain('911')
})

test('the coordinator fills the same home check in with the patient on the phone', async ({ desk, newPatient }) => {
  const patient = newPatient({ email: '' })
  const referralId = await typeReferral(desk, patient)
  await triage(desk, referralId, { condition: 'Big-toe arthritis (hallux rigidus), suspected', noOtherFlag: true })
  await desk.goto(`/referrals/${referralId}/check`)
  await expect(desk.getByText('No link can be sent: no e-mail is known.')).toBeVisible()

  // One question is left out at first, and the page says which.
  const left = questionOf('bright_light')
  const groups = await desk
    .getByRole('group')
    .filter({ has: desk.getByRole('radio', { name: 'Not sure' }) })
    .all()
  for (const group of groups) {
    const name = await textOf(group.locator('legend'))
    if (name === left || name === 'In' || (await group.getByRole('radio', { checked: true }).count()) > 0) continue
    const answer = answerOf(factAsked(name), {})
    await group.getByRole('radio', { name: answer === true ? 'Yes' : 'No', exact: true }).check()
  }
  await answerAmount(desk, 'lane_m', '15', 'feet')
  await answerAmount(desk, 'stature_cm', '5 ft 7 in', 'feet and inches')
  await answerAmount(desk, 'seat_cm', '18', 'inches')
  await desk.getByLabel('Street, number and town').fill('7 Sample Lane, Larkfield')
  await desk.getByLabel('State', { exact: true }).selectOption('Oregon')
  await desk.getByLabel('Time zone there').selectOption('Pacific (Los Angeles)')
  await desk.getByLabel('The patient’s number on the day').fill('503-555-0142')
  await desk.getByLabel('Somebody close to them').fill('Alex Sample')
  await desk.getByLabel('That person’s number').fill('503-555-0143')
  await desk.getByRole('checkbox', { name: 'Asked; where nothing is ticked below, any time suits' }).check()
  await desk.getByRole('checkbox', { name: 'Yes, they said so on the phone' }).check()
  await desk.getByRole('button', { name: 'Save and finish' }).click()

  await expect(problems(desk)).toContainText('Still open: “')
  for (const name of [questionOf('helper_strong'), left]) {
    const group = desk.getByRole('group', { name })
    if ((await group.count()) > 0) await group.getByRole('radio', { name: 'Yes', exact: true }).check()
  }
  await desk.getByRole('button', { name: 'Save and finish' }).click()
  await expect(desk.getByRole('status')).toContainText('The home check is finished and screened.')
  await desk.getByRole('link', { name: 'See what was decided' }).click()
  await expect(desk.getByRole('heading', { level: 1 })).toContainText(/: video( with gaps)?/)
})

async function answerAmount(desk: Page, factId: string, amount: string, unit: string): Promise<void> {
  const field = desk.getByLabel(questionOf(factId))
  if ((await field.count()) === 0) return
  await field.fill(amount)
  await desk
    .locator(`input[name="unit-${factId}"]`)
    .and(desk.getByRole('radio', { name: unit }))
    .check()
}

/** Typed, triaged and invited through the coordinator's page. */
async function invitedReferral(desk: Page, patient: TestPatient): Promise<string> {
  const referralId = await typeReferral(desk, patient)
  await triage(desk, referralId, { condition: 'Plantar heel pain' })
  await desk.getByRole('link', { name: 'Invite to the home check' }).click()
  await desk.getByRole('button', { name: 'Send the link' }).click()
  await expect(desk.getByRole('status')).toContainText('The link is on its way to the patient.')
  return referralId
}

const heading = (phone: Page) => textOf(phone.getByRole('heading', { level: 1 }))

/** Answers up to so many questions as in a home where everything is there, and returns what was asked. */
async function answerQuestions(phone: Page, most = Number.POSITIVE_INFINITY): Promise<string[]> {
  const asked: string[] = []
  const details = 'Where will you be for the visit?'
  for (let question = await heading(phone); asked.length < most && question !== details; ) {
    const fact = factAsked(question)
    const answer = answerOf(fact, {})
    if (fact.measures === 'stature') {
      // As people here know their own height; a decimal is asked again, because it could be meant in two ways.
      await phone.getByRole('radio', { name: 'feet and inches' }).check()
      await phone.getByRole('textbox').fill('5.7')
      await phone.getByRole('button', { name: 'Continue' }).click()
      await expect(problems(phone)).toContainText('Write feet and inches like this: 5 ft 7 in')
      await phone.getByRole('textbox').fill('5 ft 7 in')
    } else if (typeof answer === 'number') {
      if (fact.id === 'lane_m') await seeLine(phone)
      await phone.getByRole('textbox').fill(String(answer))
      await phone.getByRole('radio', { name: /meters$/ }).check()
    } else {
      await phone.getByRole('radio', { name: answer ? 'Yes' : 'No', exact: true }).check()
    }
    await phone.getByRole('button', { name: 'Continue' }).click()
    await expect(phone.getByRole('heading', { level: 1 })).not.toHaveText(question)
    asked.push(question)
    question = await heading(phone)
  }
  return asked
}

/** The line is drawn while it is typed; without a script, by a button that saves it and comes back. */
async function seeLine(phone: Page): Promise<void> {
  await phone.getByRole('textbox').fill('9')
  await phone.getByRole('radio', { name: /^steps/ }).check()
  const draw = phone.getByRole('button', { name: 'Save and draw my line' })
  if (await draw.isVisible()) await draw.click()
  await expect(phone.getByRole('img', { name: 'Your line' })).toBeVisible()
  await expect(phone.getByRole('main').getByRole('status')).toContainText(
    'Your line is 4.5 m (14.5 ft). 4 steps, the turn and the space to the phone take',
  )
}

/** Where, who, when and the agreement. What the referral says already is filled in. */
async function giveDetails(phone: Page): Promise<void> {
  await expect(phone.getByLabel('Street, number and town')).toHaveValue('7 Sample Lane, Larkfield')
  await expect(phone.getByLabel('State', { exact: true })).toHaveValue('OR')
  await phone.getByRole('radio', { name: 'Pacific (Los Angeles)' }).check()
  await phone.getByRole('button', { name: 'Continue' }).click()
  await expect(phone.getByLabel('Your phone number for that day')).toHaveValue(/555/)
  await phone.getByLabel('Someone close to you').fill('Alex Sample')
  await phone.getByLabel('Their phone number').fill('503-555-0143')
  await phone.getByRole('button', { name: 'Continue' }).click()
  await phone.getByLabel('Who will help you?').fill('Sam')
  await phone.getByRole('button', { name: 'Continue' }).click()
  await expect(phone.getByRole('heading', { level: 1 })).toHaveText(/visit by video/)
  await phone.getByRole('button', { name: 'Continue' }).click()
  await expect(problems(phone)).toContainText('Tick the box')
  await phone.getByRole('checkbox', { name: /^Yes, / }).check()
  await phone.getByRole('button', { name: 'Continue' }).click()
}

/** One answer is looked at again and left as it is; the list is where it leads back to. */
async function changeAnswer(phone: Page): Promise<void> {
  await phone.getByRole('link', { name: `Change ${questionOf('bright_light')}` }).click()
  await expect(phone.getByRole('radio', { name: 'Yes' })).toBeChecked()
  await phone.getByRole('button', { name: 'Continue' }).click()
  await expect(phone.getByRole('heading', { level: 1 })).toHaveText('Check your answers')
}
