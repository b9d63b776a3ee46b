/** The clinic keeps itself: who works, when and where, and what that does to visits that are booked. */
import { addClinician, clinicianNameOf, dayWords, fillDate, nextChange, today } from './clinic-walk.ts'
import { checkPage } from './page-checks.ts'
import { deskLine, lastingStarts, screenedReferral } from './referral-walk.ts'
import { expect, problems, test } from './watched.ts'

const CONDITION = 'Flat foot (posterior tibial tendon), suspected'

test.describe.configure({ timeout: 150_000 })

test('a session keeps its nine o’clock over the change of the clocks, and its dates are seen before it is saved', async ({
  desk,
  newPatient,
}) => {
  const name = clinicianNameOf(newPatient().family)
  await addClinician(desk, name)
  await desk.getByRole('link', { name: 'Add a session' }).click()
  await expect(desk.getByRole('heading', { level: 1 })).toContainText(`When does ${name} work?`)

  const change = nextChange()
  const first = change.subtract({ days: 12 })
  expect(first.dayOfWeek).toBe(2)
  await desk.getByRole('radio', { name: 'By video' }).check()
  await desk.getByLabel('Opens at').fill('09:00')
  await desk.getByLabel('Closes at').fill('08:00')
  await fillDate(desk, 'First date', first)
  await desk.getByRole('checkbox', { name: 'Tuesday' }).check()
  await desk.getByRole('button', { name: 'Show what this means' }).click()
  await expect(problems(desk)).toContainText('It closes before it opens')
  await desk.getByLabel('Closes at').fill('12:00')
  await fillDate(desk, 'Last date', first.add({ days: 200 }))
  await desk.getByRole('button', { name: 'Show what this means' }).click()

  const look = desk.getByRole('region', { name: 'What this means' })
  await expect(look.getByRole('heading')).toHaveText(
    `Every Tuesday 09:00 to 12:00 Los Angeles time, video, from ${dayWords(first)}, until ${dayWords(first.add({ days: 200 }))}.`,
  )
  const dates = look.getByRole('list', { name: 'Its next dates' }).getByRole('listitem')
  await expect(dates).toHaveCount(8)
  for (const date of await dates.all()) await expect(date).toContainText('09:00 to 12:00')
  const afterChange = dates.filter({ hasText: dayWords(change.add({ days: 2 })) })
  await expect(afterChange).toContainText(
    `The clocks go ${change.month < 6 ? 'forward' : 'back'} on ${dayWords(change, { weekday: 'long' })}; it opens at 09:00 all the same.`,
  )

  // What was not looked at is not saved.
  await desk.getByLabel('Opens at').fill('10:00')
  await desk.getByRole('button', { name: 'Save this session' }).click()
  await expect(problems(desk)).toContainText('Something has changed since you looked.')
  await expect(look.getByRole('heading')).toContainText('Every Tuesday 10:00 to 12:00')
  await desk.getByRole('button', { name: 'Save this session' }).click()
  await expect(desk.getByRole('heading', { name: 'Saved. New visits are booked by it from now on.' })).toBeVisible()

  // A second one at the same time is refused, with the date on which the two would meet.
  await desk.goto('/clinic/sessions/new')
  await desk.getByLabel('Whose session').selectOption({ label: name })
  await desk.getByRole('radio', { name: 'By video' }).check()
  await desk.getByLabel('Opens at').fill('11:00')
  await desk.getByLabel('Closes at').fill('13:00')
  await fillDate(desk, 'First date', first)
  await desk.getByRole('radio', { name: 'Once, on the first date' }).check()
  await desk.getByRole('button', { name: 'Show what this means' }).click()
  await expect(problems(desk)).toContainText(
    `On ${dayWords(first, { weekday: 'long' })} it would be open together with another session of the same person: every Tuesday`,
  )

  await desk.goto('/clinic/sessions')
  await desk.getByLabel('Person').selectOption({ label: name })
  await desk.getByRole('button', { name: 'Show' }).click()
  const line = desk.getByRole('list', { name: `Sessions of ${name}` }).getByRole('listitem')
  await expect(line).toHaveCount(1)
  await expect(line).toContainText(`Next ${dayWords(first, { weekday: 'long' })}, 10:00`)
})

test('a change that would strand a visit names it, is saved only when that was seen, and puts a task on the desk', async ({
  desk,
  newPatient,
}) => {
  const patient = newPatient()
  const name = clinicianNameOf(patient.family)
  await addClinician(desk, name)
  await desk.getByRole('link', { name: 'Add a session' }).click()
  await desk.getByRole('radio', { name: 'By video' }).check()
  await desk.getByLabel('Opens at').fill('1:00 pm')
  await desk.getByLabel('Closes at').fill('17:00')
  await fillDate(desk, 'First date', today.add({ days: 1 }))
  for (const day of ['Monday', 'Tuesday', 'Wednesday', 'Thursday', 'Friday', 'Saturday', 'Sunday'])
    await desk.getByRole('checkbox', { name: day }).check()
  await desk.getByRole('button', { name: 'Show what this means' }).click()
  await desk.getByRole('button', { name: 'Save this session' }).click()
  await expect(desk.getByRole('heading', { level: 1 })).toContainText('Every day 13:00 to 17:00')
  const session = new URL(desk.url()).pathname

  const referralId = await screenedReferral(desk, patient, { condition: CONDITION })
  await desk.goto(`/referrals/${referralId}/book`)
  await desk.getByLabel('Clinician').selectOption({ label: name })
  await desk.getByRole('button', { name: 'Show these starts' }).click()
  await desk.locator('input[name="start"]').nth(3).check()
  await desk.getByRole('button', { name: 'Book this start' }).click()
  await expect(desk.getByRole('heading', { name: /^Booked\. The patient is told/ })).toBeVisible()

  await desk.goto(`${session}/change`)
  await desk.getByRole('radio', { name: 'In person' }).check()
  await desk.getByLabel('Site').selectOption('Larkfield')
  await desk.getByRole('button', { name: 'Show what this means' }).click()
  const look = desk.getByRole('region', { name: 'What this means' })
  await expect(look.getByRole('heading', { name: 'One booked visit loses its place' })).toBeVisible()
  await expect(look).toContainText(`${patient.name}, by video with ${name}`)
  await expect(look).toContainText('Because the session no longer takes visits of this kind.')
  await desk.getByRole('button', { name: 'Save this session' }).click()
  await expect(problems(desk)).toContainText('One booked visit would lose its place.')
  await checkPage(desk)
  await desk.getByRole('checkbox', { name: 'I have seen this visit' }).check()
  await desk.getByRole('button', { name: 'Save this session' }).click()
  await expect(desk.getByRole('heading', { level: 1 })).toContainText('in person at Larkfield')

  await desk.goto('/desk')
  await expect(deskLine(desk, 'Book again', patient)).toBeVisible()
  await desk.goto(`/referrals/${referralId}`)
  await expect(desk.getByRole('region', { name: 'The visit lost its place' })).toBeVisible()
  await desk.getByRole('link', { name: 'Open the visit' }).click()
  await expect(desk.getByRole('region', { name: 'The visit lost its place' })).toContainText(
    'the session no longer takes visits of this kind',
  )
  await desk.getByRole('link', { name: 'Find another start' }).click()
  const others = lastingStarts(desk)
  await expect(others.first()).toBeVisible()
  await others.nth(patient.nth % (await others.count())).check()
  await desk.getByRole('button', { name: 'Move the visit to this start' }).click()
  await expect(desk.getByRole('heading', { name: /^Moved\./ })).toBeVisible()
  await desk.goto('/desk')
  await expect(deskLine(desk, 'Booked', patient)).toBeVisible()
})

test('one date closes and opens again, and a session is paused, goes on and ends, without JavaScript too', async ({
  open,
  desk,
  newPatient,
}) => {
  const name = clinicianNameOf(newPatient().family)
  await addClinician(desk, name)
  const plain = await open({ as: 'coordinator', javaScript: false })
  await plain.goto(desk.url())
  await plain.getByRole('link', { name: 'Add a session' }).click()
  await plain.getByRole('radio', { name: 'By video' }).check()
  await plain.getByLabel('Opens at').fill('09:00')
  await plain.getByLabel('Closes at').fill('12:00')
  await fillDate(plain, 'First date', today.add({ days: 7 }))
  await plain.getByRole('radio', { name: 'On one day of the month, like the 15th' }).check()
  await plain.getByLabel('Day of the month', { exact: true }).fill(String(today.add({ days: 7 }).day))
  await plain.getByRole('button', { name: 'Show what this means' }).click()
  await expect(plain.getByRole('region', { name: 'What this means' })).toContainText('of every month 09:00 to 12:00')
  await plain.getByRole('button', { name: 'Save this session' }).click()

  const dates = plain.getByRole('list', { name: 'Next dates' }).getByRole('listitem')
  await plain.getByLabel('Date', { exact: true }).selectOption({ index: 1 })
  await plain.getByRole('radio', { name: 'It is closed' }).check()
  await plain.getByRole('button', { name: 'Change this date' }).click()
  await expect(dates.first()).toContainText('Closed on this date.')
  await plain.getByRole('button', { name: 'Open by the rule again' }).click()
  await expect(dates.first()).not.toContainText('Closed')

  await plain.getByRole('button', { name: 'Pause this session' }).click()
  await expect(plain.getByRole('heading', { name: 'Paused: nothing new is booked in it' })).toBeVisible()
  await plain.getByRole('button', { name: 'Let it go on' }).click()
  await expect(plain.getByRole('heading', { name: 'It goes on.' })).toBeVisible()
  await plain.getByRole('button', { name: 'End this session' }).click()
  await expect(plain.getByRole('heading', { name: 'This session has ended' })).toBeVisible()
})

test('places and holidays are kept by the coordinator; a clinician keeps their own sessions alone', async ({
  desk,
  open,
  newPatient,
}) => {
  const site = `Site ${newPatient().family}`
  await desk.goto('/clinic/places/new')
  await desk.getByLabel('Name', { exact: true }).fill(site)
  await desk.getByLabel('Address').fill('7 Example Square, Larkfield, OR')
  await desk.getByLabel('State').selectOption('Oregon')
  await desk.getByRole('button', { name: 'Add this site' }).click()
  await expect(desk.getByRole('heading', { name: 'Added. Give it its rooms.' })).toBeVisible()
  await desk.getByLabel('Name of another room').fill('Room 1')
  await desk.getByRole('button', { name: 'Add this room' }).click()
  await expect(desk.getByRole('heading', { level: 1 })).toHaveText(`${site}, 1 room.`)
  await desk.getByRole('button', { name: `Stop using ${site}` }).click()
  await expect(desk.getByRole('heading', { name: 'Noted: no longer used.' })).toBeVisible()

  const year = today.year + 5
  await desk.goto(`/clinic/holidays?year=${year}`)
  await desk.getByRole('button', { name: 'Put these on the list' }).click()
  await expect(desk.getByText(`Every federal holiday of ${year} is on the list.`)).toBeVisible()
  const days = desk.getByRole('list', { name: `Closed in ${year}` }).getByRole('listitem')
  const many = await days.count()
  await days.first().getByRole('link').click()
  await desk.getByRole('button', { name: 'Take it off the list' }).click()
  await expect(days).toHaveCount(many - 1)

  const clinician = await open({ as: 'clinician' })
  await clinician.goto('/clinic')
  await expect(clinician.getByRole('list', { name: 'Ways' }).getByRole('link', { name: 'People' })).toHaveCount(0)
  await clinician.getByRole('list', { name: 'Ways' }).getByRole('link', { name: 'Sessions' }).click()
  await expect(clinician.getByRole('list', { name: /^Sessions of / })).toHaveCount(1)
})
