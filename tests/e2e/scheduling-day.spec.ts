/**
 * A day of scheduling, from one end to the other: a new clinician with a session over the change of the clocks, three
 * visits in its first opening (by video, in person, and with an interpreter and a helper who is free at some times only),
 * the opening lost, all three placed again at once, and the entries in the patients' calendars moved.
 */
import { addClinician, clinicianNameOf, fillDate, nextChange, today } from './clinic-walk.ts'
import { mailTo } from './mail-tray.ts'
import type { TestPatient } from './people.ts'
import { screenedReferral } from './referral-walk.ts'
import { expect, type Page, test } from './watched.ts'

const FLAT_FOOT = 'Flat foot (posterior tibial tendon), suspected'

test('a clinician is added, three visits are booked, the session is lost, and every calendar entry moves', async ({
  desk,
  newPatient,
}) => {
  test.setTimeout(240_000)
  const [byVideo, inPerson, withHelp] = [newPatient(), newPatient(), newPatient()]
  const name = clinicianNameOf(byVideo.family)
  const date = today.add({ days: 15 - today.dayOfWeek + 1 })
  expect(date.dayOfWeek).toBe(2)

  await addClinician(desk, name)
  await desk.getByRole('link', { name: 'Add a session' }).click()
  await desk.getByRole('radio', { name: 'Either' }).check()
  await desk.getByLabel('Site').selectOption('Larkfield')
  await desk.getByLabel('Opens at').fill('09:00')
  await desk.getByLabel('Closes at').fill('14:00')
  await desk.getByRole('checkbox', { name: 'Tuesday' }).check()
  await fillDate(desk, 'First date', date)
  await fillDate(desk, 'Last date', nextChange().add({ days: 30 }))
  await desk.getByRole('button', { name: 'Show what this means' }).click()
  await desk.getByRole('button', { name: 'Save this session' }).click()
  await expect(desk.getByRole('heading', { level: 1 })).toContainText('Every Tuesday 09:00 to 14:00')
  const session = new URL(desk.url()).pathname

  const video = await screenedReferral(desk, byVideo, { condition: FLAT_FOOT })
  await bookOn(desk, video, name, date.toString())
  const declines = { accepts_video: false, helper: false }
  const clinic = await screenedReferral(desk, inPerson, { condition: FLAT_FOOT, home: declines })
  await bookOn(desk, clinic, name, date.toString())
  const helped = await referralWithHelp(desk, withHelp)
  await bookOn(desk, helped, name, date.toString())
  await expect(desk.getByRole('main')).toContainText(/Paloma Agate/)

  const before = await invitesOf([byVideo, inPerson, withHelp], /Your (video visit|visit at the clinic) is booked/)
  await desk.goto(`${session}/lost?on=${date}`)
  await expect(desk.getByRole('heading', { level: 1 })).toContainText('3 visits lose their time')
  await desk.screenshot({ path: test.info().outputPath('lost.png'), fullPage: true })
  await desk.getByLabel('Why the time is lost').fill('The clinician is ill.')
  await desk.getByRole('button', { name: 'Close this time and move 3 visits' }).click()
  await expect(desk.getByRole('heading', { level: 1 })).toContainText('3 visits moved, and the patients are told')
  await desk.screenshot({ path: test.info().outputPath('moved.png'), fullPage: true })

  const after = await invitesOf([byVideo, inPerson, withHelp], /Your visit has a new time/)
  for (const [index, entry] of after.entries()) {
    // RFC 5546: the same UID and a higher SEQUENCE move the entry that is there.
    expect(field(entry, 'UID')).toBe(field(before[index], 'UID'))
    expect(Number(field(entry, 'SEQUENCE'))).toBeGreaterThan(Number(field(before[index], 'SEQUENCE')))
    expect(field(entry, 'DTSTART')).not.toBe(field(before[index], 'DTSTART'))
  }
  for (const referralId of [video, clinic, helped]) {
    await desk.goto(`/referrals/${referralId}`)
    await expect(desk.getByRole('list', { name: 'History' })).toContainText('moved the visit')
  }
})

/** Needs Spanish interpreted, and somebody to help who is free on some mornings only. */
async function referralWithHelp(desk: Page, patient: TestPatient): Promise<string> {
  const referralId = await screenedReferral(desk, patient, { condition: FLAT_FOOT })
  await desk.goto(`/referrals/${referralId}/patient`)
  await desk.getByLabel(/^Language of the interpreter/).fill('es')
  await desk.getByRole('button', { name: /Save/ }).click()
  await desk.goto(`/referrals/${referralId}/check`)
  const days = desk.getByRole('group', { name: 'Days that suit the helper' })
  await days.getByRole('checkbox', { name: 'Tuesday' }).check()
  await days.getByRole('checkbox', { name: 'Thursday' }).check()
  await desk
    .getByRole('group', { name: 'Times of day for the helper' })
    .getByRole('checkbox', { name: /^Morning/ })
    .check()
  await desk.getByRole('button', { name: 'Save what is filled in' }).click()
  await expect(desk.getByRole('status')).toContainText('Saved.')
  return referralId
}

/** Books the first free start of this clinician on this date. */
async function bookOn(desk: Page, referralId: string, clinician: string, date: string): Promise<void> {
  await desk.goto(`/referrals/${referralId}/book`)
  await desk.getByLabel('Clinician').selectOption({ label: clinician })
  await desk.getByRole('button', { name: 'Show these starts' }).click()
  await desk.locator(`input[name="start"][value^="${date}"]`).first().check()
  await desk.getByRole('button', { name: 'Book this start' }).click()
  await expect(desk.getByRole('heading', { name: /^Booked\. The patient is told/ })).toBeVisible()
}

async function invitesOf(patients: readonly TestPatient[], subject: RegExp): Promise<string[]> {
  const invites: string[] = []
  for (const { email } of patients) invites.push((await mailTo(email, subject)).invite ?? '')
  return invites
}

/** One line of the entry itself; a time zone beside it has a DTSTART of its own. */
function field(invite: string | undefined, name: string): string {
  const entry = invite?.slice(invite.indexOf('BEGIN:VEVENT')) ?? ''
  return new RegExp(`^${name}[^:]*:(.*)$`, 'm').exec(entry)?.[1]?.trim() ?? ''
}
