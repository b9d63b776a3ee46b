/** A session is lost: the coordinator sees where its visits would go, decides about one by hand, and moves all of them. */
import { mailTo } from './mail-tray.ts'
import { checkPage } from './page-checks.ts'
import type { TestPatient } from './people.ts'
import { bookStartAhead, deskLine, screenedReferral } from './referral-walk.ts'
import { expect, type Page, problems, test } from './watched.ts'

const CONDITION = 'Big-toe arthritis (hallux rigidus), suspected'
/** An opening that no other journey books into. */
const DAYS_AHEAD = 28

test('every visit of a lost session moves at once, one of them where it was decided by hand', async ({
  desk,
  newPatient,
}) => {
  const [one, two, three] = [newPatient(), newPatient(), newPatient()]
  const visits = []
  let beside: string | undefined
  for (const patient of [one, two, three]) {
    const referralId = await screenedReferral(desk, patient, { condition: CONDITION })
    const start = await bookStartAhead(desk, referralId, beside ? { beside } : { days: DAYS_AHEAD })
    beside ??= start
    visits.push({ patient, booked: await mailTo(patient.email, /Your video visit is booked/) })
  }
  await desk.getByRole('link', { name: 'Open the visit' }).click()
  await desk.getByRole('link', { name: /can't come: move every visit of this session$/ }).click()
  await expect(desk.getByRole('heading', { level: 1 })).toContainText('3 visits lose their time')
  await checkPage(desk)

  // Before and after of each, in words; the second is kept at its third choice, the first is left to the phone.
  for (const patient of [one, two, three]) await expect(line(desk, patient)).toContainText(/Before.*After.*Cost/s)
  await expect(line(desk, two)).toContainText(/at the same time of day|off its time of day/)
  const choice = desk.getByLabel(`For ${two.name}`)
  const kept = (await choice.locator('option').nth(3).getAttribute('value')) ?? ''
  await choice.selectOption(kept)
  await desk.getByLabel(`For ${one.name}`).selectOption({ label: 'Leave it where it is: I call the patient' })
  await desk.getByRole('button', { name: 'Work it out again' }).click()
  await expect(line(desk, one)).toContainText('Stays where it is: you call the patient.')
  await expect(desk.getByLabel(`For ${two.name}`)).toHaveValue(kept)
  await expect(line(desk, two).locator('time').nth(1)).toHaveAttribute('datetime', kept.split(',')[0] ?? '')

  await desk.getByRole('button', { name: 'Close this time and move 2 visits' }).click()
  await expect(problems(desk)).toContainText('Write down why the time is lost')
  await desk.getByLabel('Why the time is lost').fill('The clinician is ill.')
  await desk.getByRole('button', { name: 'Close this time and move 2 visits' }).click()
  await expect(desk.getByRole('heading', { level: 1 })).toContainText('2 visits moved, and the patients are told')
  await expect(desk.getByRole('heading', { name: '1 patient to call' })).toBeVisible()
  await checkPage(desk)

  // RFC 5546: the entry in each patient's calendar moves, so the UID stays and the SEQUENCE rises.
  for (const { patient, booked } of visits.slice(1)) {
    const moved = await mailTo(patient.email, /Your visit has a new time/)
    expect(field(moved.invite, 'UID')).toBe(field(booked.invite, 'UID'))
    expect(Number(field(moved.invite, 'SEQUENCE'))).toBeGreaterThan(Number(field(booked.invite, 'SEQUENCE')))
    // With its zone: a VTIMEZONE has starts of its own.
    expect(field(moved.invite, 'DTSTART;TZID=')).not.toBe(field(booked.invite, 'DTSTART;TZID='))
  }
  await desk.goto('/desk')
  await expect(deskLine(desk, 'Something changed', one).or(desk.getByText(one.name)).first()).toBeVisible()
})

test('without JavaScript it goes the same way, and what changed meanwhile undoes all of it', async ({
  desk,
  open,
  newPatient,
}) => {
  const patient = newPatient()
  const referralId = await screenedReferral(desk, patient, { condition: CONDITION })
  await bookStartAhead(desk, referralId, { days: DAYS_AHEAD - 7 })
  const lost = await desk.getByRole('link', { name: 'Open the visit' }).getAttribute('href')
  const plain = await open({ as: 'lead', javaScript: false })
  await plain.goto(lost ?? '')
  await plain.getByRole('link', { name: /can't come: move every visit of this session$/ }).click()
  await expect(line(plain, patient)).toContainText('Before')

  // Meanwhile a colleague cancels the visit.
  await desk.goto(`/referrals/${referralId}/book`)
  await desk.getByLabel('Why it is cancelled').fill('They called.')
  await desk.getByRole('button', { name: 'Cancel this visit' }).click()
  await expect(desk.getByRole('heading', { name: /^Cancelled\./ })).toBeVisible()
  await plain.getByLabel('Why the time is lost').fill('The clinician is ill.')
  await plain.getByRole('button', { name: /^Close this time and move/ }).click()
  await expect(problems(plain)).toContainText('Nothing was moved.')
  await expect(line(plain, patient)).toHaveCount(0)
})

function line(page: Page, { name }: TestPatient) {
  return page.getByRole('list', { name: 'Visits that lose their time' }).getByRole('listitem').filter({ hasText: name })
}

function field(invite: string | null, name: string): string {
  return new RegExp(`^${name}[^:]*:(.*)$`, 'm').exec(invite ?? '')?.[1]?.trim() ?? ''
}
