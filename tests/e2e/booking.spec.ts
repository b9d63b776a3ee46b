/** Booking: by the coordinator, by the patient on a phone, and by two people who want the same start. */
import { Temporal } from '#lib/base/time.ts'
import { mailTo } from './mail-tray.ts'
import { checkPage } from './page-checks.ts'
import { bookSomeStart, comeByLink, deskLine, offeredStarts, screenedReferral } from './referral-walk.ts'
import { expect, type Page, problems, test, textOf } from './watched.ts'

const CONDITION = 'Big-toe arthritis (hallux rigidus), suspected'

test('the coordinator books a start that is as long as the exam plan, and the patient is told', async ({
  desk,
  newPatient,
}) => {
  const patient = newPatient()
  const referralId = await screenedReferral(desk, patient, { condition: CONDITION })
  await desk.goto(`/referrals/${referralId}/screening`)
  const planned = (await textOf(desk.getByText(/^A visit of \d+ minutes/))).match(/\d+/)?.[0]
  await desk.getByRole('link', { name: 'Find a start' }).click()
  await expect(desk.getByRole('heading', { level: 1 })).toContainText(`${planned} minutes by video`)
  await expect(desk.getByText('the soonest', { exact: false }).first()).toBeVisible()

  await desk.getByRole('button', { name: 'Book this start' }).click()
  await expect(problems(desk)).toContainText('Choose a start')

  // The patient is away until then.
  const back = Temporal.Now.plainDateISO().add({ days: 12 }).toString()
  await desk.getByLabel('Not before').fill(back)
  await desk.getByRole('button', { name: 'Show these starts' }).click()
  await expect(desk.getByLabel('Not before')).toHaveValue(back)
  const [first = ''] = await offeredStarts(desk)
  expect(first >= back).toBe(true)
  await checkPage(desk)
  await bookSomeStart(desk, referralId, patient)
  await expect(desk.getByRole('heading', { level: 1 })).toContainText(`${patient.name} is booked by video for`)

  const { invite, text } = await mailTo(patient.email, /Your video visit is booked/)
  expect(invite).toContain('METHOD:REQUEST')
  expect(text).toContain('/go/larkfield/')
  await desk.goto('/desk')
  await expect(deskLine(desk, 'Booked', patient)).toContainText('Visit ')
})

test('a held start is booked later, and a booked visit is moved and cancelled with a reason', async ({
  desk,
  newPatient,
}) => {
  const patient = newPatient()
  const referralId = await screenedReferral(desk, patient, { condition: CONDITION })
  await desk.goto(`/referrals/${referralId}/book`)
  await chooseOwn(desk, patient.nth)
  await desk.getByRole('button', { name: /^Hold it for \d+ minutes$/ }).click()
  await expect(desk.getByText('Nobody else can take it until')).toBeVisible()
  await desk.locator('#held').getByRole('button', { name: 'Book this start' }).click()
  await expect(desk.getByRole('heading', { name: /^Booked\. The patient is told/ })).toBeVisible()
  const first = await desk.getByRole('heading', { level: 1 }).locator('time').getAttribute('datetime')
  const booked = await mailTo(patient.email, /Your video visit is booked/)

  await chooseOwn(desk, patient.nth + 7)
  await desk.getByRole('button', { name: 'Move the visit to this start' }).click()
  await expect(desk.getByRole('heading', { name: /^Moved\./ })).toBeVisible()
  expect(await desk.getByRole('heading', { level: 1 }).locator('time').getAttribute('datetime')).not.toBe(first)
  // RFC 5546: the entry in the patient's calendar moves, so the UID stays and the SEQUENCE rises.
  const moved = await mailTo(patient.email, /Your visit has a new time/)
  expect(field(moved.invite, 'UID')).toBe(field(booked.invite, 'UID'))
  expect(Number(field(moved.invite, 'SEQUENCE'))).toBeGreaterThan(Number(field(booked.invite, 'SEQUENCE')))

  await desk.getByRole('button', { name: 'Cancel this visit' }).click()
  await expect(problems(desk)).toContainText('Write down why it is cancelled')
  await desk.getByLabel('Why it is cancelled').fill('The patient is away until spring.')
  await desk.getByRole('button', { name: 'Cancel this visit' }).click()
  await expect(desk.getByRole('heading', { name: /^Cancelled\./ })).toBeVisible()
  const cancelled = await mailTo(patient.email, /Your visit is cancelled/)
  expect(cancelled.invite).toContain('METHOD:CANCEL')
  expect(field(cancelled.invite, 'UID')).toBe(field(booked.invite, 'UID'))
})

test('a patient keeps a time on the phone, thinks, and books it', { tag: '@phone' }, async ({
  desk,
  open,
  newPatient,
}) => {
  const patient = newPatient()
  await screenedReferral(desk, patient, { condition: CONDITION, hasLink: true })
  const phone = await open({ device: 'phone' })
  await comeByLink(phone, patient)
  await phone.getByRole('link', { name: 'Choose a time' }).click()
  await expect(phone.getByRole('heading', { level: 1 })).toHaveText('Choose a time for your video visit')
  await expect(phone.getByText('All times are Pacific Time.')).toBeVisible()
  await phone.getByRole('button', { name: 'Keep this time for me' }).click()
  await expect(problems(phone)).toContainText('Choose a time')
  await chooseOwn(phone, patient.nth)
  await phone.getByRole('button', { name: 'Keep this time for me' }).click()
  await expect(phone.getByRole('heading', { level: 1 })).toHaveText('Is this time right for you?')
  await expect(phone.getByText('We keep this time for you until')).toBeVisible()
  await phone.getByRole('button', { name: 'Yes, book this time' }).click()
  await expect(phone.getByRole('heading', { name: 'Your visit is booked' })).toBeVisible()
  await expect(phone.getByRole('heading', { level: 1 })).toHaveText(/^Your visit is on \w+day, .* Pacific Time$/)
  await mailTo(patient.email, /Your video visit is booked/)
  await desk.goto('/desk')
  await expect(deskLine(desk, 'Booked', patient)).toBeVisible()
})

test('of two patients after the same start one has it, and the other is told and offered the next best', {
  tag: '@phone',
}, async ({ desk, open, newPatient }) => {
  const [one, other] = [newPatient(), newPatient()]
  const phones: Page[] = []
  for (const patient of [one, other]) {
    await screenedReferral(desk, patient, { condition: CONDITION, hasLink: true })
    const phone = await open({ device: 'phone' })
    await comeByLink(phone, patient)
    await phone.goto('/my/book')
    phones.push(phone)
  }
  const lists = await Promise.all(phones.map(offeredStarts))
  const shared = (lists[0] ?? []).filter((start) => lists[1]?.includes(start))
  const start = shared[one.nth % shared.length] ?? ''
  for (const phone of phones) await phone.locator(`input[name="start"][value='${start}']`).check()
  await Promise.all(phones.map((phone) => phone.getByRole('button', { name: 'Keep this time for me' }).click()))

  const told = 'Someone else just took that time. Nothing is booked yet. These times are free:'
  const outcomes = await Promise.all(
    phones.map(async (phone) => {
      const kept = phone.getByRole('heading', { name: 'Is this time right for you?' })
      const lost = problems(phone)
      await expect(kept.or(lost)).toBeVisible()
      return (await lost.count()) > 0 ? 'lost' : 'kept'
    }),
  )
  expect(outcomes.toSorted()).toEqual(['kept', 'lost'])
  const loser = phones[outcomes.indexOf('lost')]
  const winner = phones[outcomes.indexOf('kept')]
  if (!loser || !winner) throw new Error('one of two has lost')
  await expect(problems(loser)).toContainText(told)
  // What is gone is offered no more; the next best is taken instead.
  await expect(loser.locator(`input[name="start"][value='${start}']`)).toHaveCount(0)
  await chooseOwn(loser, other.nth)
  for (const phone of [loser, winner]) {
    if (phone === loser) await phone.getByRole('button', { name: 'Keep this time for me' }).click()
    await phone.getByRole('button', { name: 'Yes, book this time' }).click()
    await expect(phone.getByRole('heading', { name: 'Your visit is booked' })).toBeVisible()
  }
})

test('two coordinators after the same start: one books it, the other reads that it was just taken', async ({
  desk,
  open,
  newPatient,
}) => {
  const [one, other] = [newPatient(), newPatient()]
  const first = await screenedReferral(desk, one, { condition: CONDITION })
  const second = await screenedReferral(desk, other, { condition: CONDITION })
  const colleague = await open({ as: 'lead' })
  await desk.goto(`/referrals/${first}/book`)
  await colleague.goto(`/referrals/${second}/book`)
  const value = await starts(desk)
    .nth((one.nth % 20) + 5)
    .getAttribute('value')
  for (const page of [desk, colleague]) await page.locator(`input[name="start"][value='${value}']`).check()
  await desk.getByRole('button', { name: 'Book this start' }).click()
  await expect(desk.getByRole('heading', { name: /^Booked\./ })).toBeVisible()
  await colleague.getByRole('button', { name: 'Book this start' }).click()
  await expect(problems(colleague)).toContainText('That start was just taken. Next best: ')
  await expect(colleague.locator(`input[name="start"][value='${value}']`)).toHaveCount(0)
  await bookSomeStart(colleague, second, other)
})

function starts(page: Page) {
  return page.locator('input[name="start"]')
}

/** One of the free starts, by the patient's own number: journeys beside this one choose others. */
async function chooseOwn(page: Page, nth: number): Promise<void> {
  await starts(page)
    .nth(nth % (await starts(page).count()))
    .check()
}

/** One property of the calendar entry, its folded lines joined (RFC 5545 3.1). */
function field(invite: string | null, name: string): string | undefined {
  return invite
    ?.replace(/\r?\n[ \t]/g, '')
    .match(new RegExp(`^${name}[^:\\n]*:(.*)$`, 'm'))?.[1]
    ?.trim()
}
