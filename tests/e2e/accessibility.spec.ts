/** Every page, staff's and patients', as it stands and with something wrong on it, for every eye, thumb and keyboard. */
import { writeFileSync } from 'node:fs'
import { questionOf } from './home-answers.ts'
import { mailTo } from './mail-tray.ts'
import { BOOKED_PATIENT_PAGES, checkPage, checkPatientPage, checkPrinted, expectNoViolations } from './page-checks.ts'
import { invitedPatients, linkOf, openLink } from './people.ts'
import {
  bookSomeStart,
  comeByLink,
  fillHomeCheckByPhone,
  lastingStarts,
  screenedReferral,
  sendLink,
  triage,
  typeReferral,
} from './referral-walk.ts'
import { expect, type Page, problems, test } from './watched.ts'

const FLAT_FOOT = 'Flat foot (posterior tibial tendon), suspected'

/** Sends the form with something wrong, and looks at how that is said. */
async function checkRefusal(page: Page, deed: string, check = checkPage): Promise<void> {
  await page.getByRole('button', { name: deed }).click()
  await expect(problems(page)).toBeVisible()
  await expect(page).toHaveTitle(/^Error: /)
  // Each message leads to its field, and the field says the message.
  for (const link of await problems(page).getByRole('link').all()) {
    const id = (await link.getAttribute('href'))?.slice(1) ?? ''
    await expect(page.locator(`[id="${id}"]`), `where ${id} leads`).toHaveCount(1)
  }
  await check(page)
}

test('signing in, and what nobody may see, holds for every reader', async ({ open }) => {
  const page = await open()
  await page.goto('/sign-in')
  await checkPage(page)
  await checkRefusal(page, 'Sign in')
  const admin = await open({ as: 'admin' })
  await admin.goto('/desk')
  await expect(admin).toHaveURL(/\/not-allowed$/)
  await checkPage(admin)
})

test('the desk, the board, the tray and what lies in it hold for every reader', async ({ desk }) => {
  for (const path of [
    '/desk',
    '/desk?show=late',
    '/board',
    '/board?show=late',
    '/board?sort=time',
    '/board?day=2031-01-01',
    '/tray',
    '/tray?show=failed',
    '/clinic/standby',
    '/clinic/calendar',
    '/clinic/waits',
    '/clinic/learning',
    '/clinic/learning/stations',
    '/clinic/learning/waits?clinician=cli_slate',
    '/clinic/learning/days?from=soon',
  ]) {
    await desk.goto(path)
    await checkPage(desk)
  }
  await desk.goto('/tray?show=sent')
  await desk.getByRole('table', { name: 'Messages' }).getByRole('rowheader').first().getByRole('link').click()
  await expect(desk.getByRole('heading', { name: 'Envelope' })).toBeVisible()
  // The mail in its frame is checked below, by itself: nothing can look into a frame that runs no script.
  await desk.locator('iframe').evaluate((frame) => frame.remove())
  await checkPage(desk)
  await desk.goto('/board')
  await desk.getByRole('article').first().getByRole('link').first().click()
  await checkPage(desk)
  await desk.getByRole('link', { name: 'Open the visit' }).click()
  await expect(desk.getByRole('heading', { name: 'Readiness', exact: true })).toBeVisible()
  await checkPage(desk)
})

test('the clinic, its sessions, people, places and holidays hold for every reader', async ({ desk }) => {
  // Its drafts are looked at where they are made (protocol-desk.spec.ts).
  const protocol = ['', '/foot_and_ankle/1', '/foot_and_ankle/1/stations', '/foot_and_ankle/1/stations/walk']
  const paths = ['', '/sessions', '/sessions?show=ended', '/sessions/ses_opal_video', '/people', '/places']
    .concat(['/people/clinicians/cli_opal?licence=lic_9', '/people/interpreters/int_agate'])
    .concat(['/places/sit_larkfield?room=roo_l1', '/holidays', '/holidays?year=2031'])
    .concat(protocol.map((path) => `/protocol${path}`))
  for (const path of paths) {
    await desk.goto(`/clinic${path}`)
    await checkPage(desk)
  }
  await desk.goto('/clinic/sessions/new')
  await checkPage(desk)
  await checkRefusal(desk, 'Show what this means')
  await desk.goto('/clinic/sessions/ses_slate_video/change')
  await checkPage(desk)
  // By video no longer: whoever is booked in it loses their place (somebody surely is in sessions.spec.ts).
  await desk.getByRole('radio', { name: 'In person' }).check()
  await desk.getByLabel('Site').selectOption('Larkfield')
  await desk.getByRole('button', { name: 'Show what this means' }).click()
  await expect(desk.getByRole('region', { name: 'What this means' })).toBeVisible()
  await checkPage(desk)
  await desk.getByLabel('Opens at').fill('25:99')
  await checkRefusal(desk, 'Save this session')
  await desk.goto('/clinic/sessions/ses_slate_video')
  await checkRefusal(desk, 'Change this date')
  await desk.goto('/clinic/people/clinicians/new')
  await checkPage(desk)
  await checkRefusal(desk, 'Add this clinician')
  await desk.goto('/clinic/people/clinicians/cli_slate')
  await checkRefusal(desk, 'Add this licence')
  await desk.goto('/clinic/places/new')
  await checkPage(desk)
  await checkRefusal(desk, 'Add this site')
  await desk.goto('/clinic/holidays')
  await checkRefusal(desk, 'Close the clinic on this day')
})

test('bringing referrals in holds for every reader, also with faults', async ({ desk, newPatient }, testInfo) => {
  const { family } = newPatient()
  await desk.goto('/referrals/new')
  await checkPage(desk)
  await checkRefusal(desk, 'Add this referral')
  await desk.goto('/referrals/import')
  await checkPage(desk)
  await desk.goto('/referrals/import?problem=no_file')
  await checkPage(desk)
  const path = testInfo.outputPath('faults.csv')
  writeFileSync(
    path,
    `given_name,family_name,birth_date,received_on,reason\nAva,${family},1960-13-40,2026-11-09,Sore heel.\n`,
  )
  await desk.goto('/referrals/import')
  await desk.getByLabel('File', { exact: true }).setInputFiles(path)
  await desk.getByRole('button', { name: 'Bring this file in' }).click()
  await expect(desk.getByRole('table', { name: 'Rows that could not come in' })).toBeVisible()
  await checkPage(desk)
})

test('a referral from triage to its decision holds for every reader', async ({ desk, newPatient }) => {
  const referralId = await typeReferral(desk, newPatient())
  await checkPage(desk)
  await desk.goto(`/referrals/${referralId}/screening`)
  await checkPage(desk)
  await desk.goto(`/referrals/${referralId}/book`)
  await checkPage(desk)
  await desk.goto(`/referrals/${referralId}/patient`)
  await checkPage(desk)
  await desk.getByLabel('Last name or names').fill('')
  await checkRefusal(desk, 'Save these details')
  await desk.goto(`/referrals/${referralId}/triage`)
  await checkPage(desk)
  await checkRefusal(desk, 'Save this triage')
  await triage(desk, referralId, { condition: FLAT_FOOT, noOtherFlag: true })
  await desk.goto(`/referrals/${referralId}/check`)
  await checkPage(desk)
  await checkRefusal(desk, 'Save and finish')
  await fillHomeCheckByPhone(desk, referralId)
  await desk.goto(`/referrals/${referralId}/screening`)
  await checkPage(desk)
  await checkRefusal(desk, 'Decide otherwise')
  await desk.goto(`/referrals/${referralId}`)
  await checkPage(desk)
})

test('an emergency and a doubtful match hold for every reader', async ({ desk, newPatient }) => {
  const patient = newPatient()
  const referralId = await typeReferral(desk, patient)
  await triage(desk, referralId, { condition: 'Plantar heel pain', flags: ['cold_foot'] })
  await checkPage(desk)
  await checkRefusal(desk, 'I have called; go on')
  await desk.goto(`/referrals/${referralId}/book`)
  await checkPage(desk)
  await typeReferral(desk, { ...patient, phone: '503-555-0179', email: '' }, { reason: 'Now the other foot.' })
  await checkPage(desk)
})

test('booking and a visit in which something changed hold for every reader', async ({ desk, newPatient }) => {
  const patient = newPatient()
  const referralId = await screenedReferral(desk, patient, { condition: FLAT_FOOT })
  await desk.goto(`/referrals/${referralId}/book`)
  await checkPage(desk)
  await checkRefusal(desk, 'Book this start')
  await bookSomeStart(desk, referralId, patient)
  await checkPage(desk)
  await desk.getByRole('link', { name: 'Open the visit' }).click()
  await desk.getByRole('button', { name: 'No helper for this visit' }).click()
  await expect(desk.getByRole('region', { name: 'Something changed' })).toBeVisible()
  await checkPage(desk)
  await checkRefusal(desk, 'Keep the visit as it is now')
  await desk.goto(`/referrals/${referralId}/read-out`)
  await checkPage(desk)
})

test('the way in by a link holds on a phone, for every eye, thumb and keyboard', { tag: '@phone' }, async ({
  open,
}) => {
  const phone = await open({ device: 'phone' })
  const patient = invitedPatients()[0]
  if (!patient) throw new Error('the demo has nobody with a link')
  await phone.goto('/link-needed')
  await checkPage(phone)
  await phone.goto('/go/larkfield/nobodys-link')
  await checkPatientPage(phone)
  await phone.goto('/too-long')
  await checkPatientPage(phone)
  await phone.goto(await linkOf(patient))
  await checkPatientPage(phone)
  await checkRefusal(phone, 'Open my page', checkPatientPage)
  await openLink(phone, await linkOf(patient), patient.born)
  await expect(phone).toHaveURL(/\/my$/)
})

test('the home check holds on a phone, for every eye, thumb and keyboard', { tag: '@phone' }, async ({
  desk,
  open,
  newPatient,
}) => {
  const patient = newPatient()
  const referralId = await typeReferral(desk, patient)
  await triage(desk, referralId, { condition: FLAT_FOOT, noOtherFlag: true })
  await sendLink(desk, referralId)
  const phone = await open({ device: 'phone' })
  await comeByLink(phone, patient)
  await checkPatientPage(phone)
  // A choice, an amount, and each group of details; as they are asked, and left empty.
  const steps = [
    ['fell', 'Continue'],
    ['lane_m', 'Continue'],
    ['place', null],
    ['contact', 'Continue'],
    ['times', null],
    ['consent', 'Continue'],
  ] as const
  for (const [step, deed] of steps) {
    await phone.goto(`/my/check/${step}`)
    await checkPatientPage(phone)
    if (deed !== null) await checkRefusal(phone, deed, checkPatientPage)
  }
  await phone.goto('/my/check/answers')
  await checkPatientPage(phone)

  await fillHomeCheckByPhone(desk, referralId, { helper: false })
  await phone.goto('/my/check/done')
  await checkPatientPage(phone)
  await phone.goto('/my/change/symptoms')
  await checkPatientPage(phone)
  await checkRefusal(phone, 'Send this', checkPatientPage)
  await phone.getByRole('checkbox', { name: questionOf('calf_swollen') }).check()
  await phone.getByRole('button', { name: 'Send this' }).click()
  await expect(phone).toHaveURL(/\/my\/stop/)
  await checkPatientPage(phone)
})

test('advice to get help at once holds on a phone, for every eye, thumb and keyboard', { tag: '@phone' }, async ({
  desk,
  open,
  newPatient,
}) => {
  const patient = newPatient()
  const referralId = await typeReferral(desk, patient)
  await triage(desk, referralId, { condition: FLAT_FOOT })
  await sendLink(desk, referralId)
  const phone = await open({ device: 'phone' })
  await comeByLink(phone, patient)
  await phone.goto('/my/check/cold_foot')
  await phone.getByRole('radio', { name: 'Yes' }).check()
  await phone.getByRole('button', { name: 'Continue' }).click()
  await expect(phone.getByRole('heading', { level: 1 })).toHaveText('Get help now')
  await checkPatientPage(phone)
})

test('a patient’s booking, visit and packet hold on a phone, for every eye, thumb and keyboard', {
  tag: '@phone',
}, async ({ desk, open, newPatient }) => {
  const patient = newPatient()
  await screenedReferral(desk, patient, { condition: FLAT_FOOT, hasLink: true })
  const phone = await open({ device: 'phone' })
  await comeByLink(phone, patient)
  await phone.goto('/my/packet')
  await checkPatientPage(phone)
  await phone.goto('/my/visit')
  await checkPatientPage(phone)
  await phone.goto('/my/book')
  await checkPatientPage(phone)
  await checkRefusal(phone, 'Keep this time for me', checkPatientPage)
  const starts = lastingStarts(phone)
  await expect(starts.first()).toBeVisible()
  await starts.nth(patient.nth % (await starts.count())).check()
  await phone.getByRole('button', { name: 'Keep this time for me' }).click()
  await expect(phone.getByRole('heading', { level: 1 })).toHaveText('Is this time right for you?')
  await checkPatientPage(phone)
  await phone.getByRole('button', { name: 'Yes, book this time' }).click()
  await expect(phone.getByRole('heading', { name: 'Your visit is booked' })).toBeVisible()
  for (const path of BOOKED_PATIENT_PAGES) {
    await phone.goto(path)
    await checkPatientPage(phone)
    if (path === '/my/packet') await checkPrinted(phone)
  }
  const reader = await open({ device: 'phone' })
  for (const subject of [/questions before your visit/, /video visit is booked/]) {
    await reader.setContent((await mailTo(patient.email, subject)).html)
    await expectNoViolations(reader, `the mail about ${subject}`)
  }
})
