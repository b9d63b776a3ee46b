/** The steps that bring a referral to where a journey begins, taken on the coordinator's own pages. */
import { expect, type Page } from '@playwright/test'
import { Temporal } from '#lib/base/time.ts'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import { ADDED_CLINICIAN } from './clinic-walk.ts'
import { answerOf, type Home } from './home-answers.ts'
import { linkOf, openLink, type TestPatient } from './people.ts'

type Letter = { reason?: string; side?: string; icd10?: string; reads?: 'Spanish' }

/** Types the referral in and returns its id. */
export async function typeReferral(desk: Page, patient: TestPatient, letter: Letter = {}): Promise<string> {
  await desk.goto('/referrals/new')
  await fillLetter(desk, patient, letter)
  await desk.getByRole('button', { name: 'Add this referral' }).click()
  await expect(desk.getByRole('status')).toContainText('The referral is in.')
  return referralIdOf(desk)
}

/** Fills the form of a new referral, without sending it. */
export async function fillLetter(desk: Page, patient: TestPatient, letter: Letter = {}): Promise<void> {
  const [year = '', month = '', day = ''] = patient.born.split('-')
  await desk.getByLabel('First and middle names').fill(patient.given)
  await desk.getByLabel('Last name or names').fill(patient.family)
  const birth = desk.getByRole('group', { name: 'Date of birth' })
  await birth.getByLabel('Month').fill(month)
  await birth.getByLabel('Day').fill(day)
  await birth.getByLabel('Year').fill(year)
  await desk.getByLabel('Phone number (if known)').fill(patient.phone)
  await desk.getByLabel('E-mail address').fill(patient.email)
  await desk.getByLabel('Street and number').fill('7 Sample Lane')
  await desk.getByLabel('City').fill('Larkfield')
  await desk.getByLabel('State where they will be').selectOption('Oregon')
  await desk.getByLabel('Time zone').fill('America/Los_Angeles')
  if (letter.reads) await desk.getByLabel('What they read').selectOption(letter.reads)
  await desk.getByLabel('Reason, in the referrer’s words').fill(letter.reason ?? 'Sore foot for some months.')
  const side = desk.getByRole('group', { name: 'Side' })
  await side.getByRole('radio', { name: letter.side ?? 'Left' }).check()
  if (letter.icd10) await desk.getByLabel('ICD-10-CM codes').fill(letter.icd10)
}

export function referralIdOf(desk: Page): string {
  const [, , id = ''] = new URL(desk.url()).pathname.split('/')
  return id
}

export type Triage = {
  condition: string
  side?: string
  /** By fact id: the flags that are known to be so. */
  flags?: readonly string[]
  /** The letter says that no flag is there, so the patient need not be asked. */
  noOtherFlag?: boolean
}

/** Triages the referral, and stands on its page afterwards. */
export async function triage(desk: Page, referralId: string, wanted: Triage): Promise<void> {
  const { condition, side = 'Left', flags = [], noOtherFlag = false } = wanted
  await desk.goto(`/referrals/${referralId}/triage`)
  if (noOtherFlag) await choose(desk, Object.fromEntries((await openQuestions(desk)).map((name) => [name, 'no'])))
  for (const flag of flags) await flagGroup(desk, flag).getByRole('radio', { name: 'Yes' }).check()
  await desk.getByRole('radio', { name: condition, exact: true }).check()
  await desk.getByRole('group', { name: 'Side', exact: true }).getByRole('radio', { name: side }).check()
  await desk.getByRole('button', { name: 'Save this triage' }).click()
  await expect(desk.getByRole('status')).toContainText('The triage is saved.')
}

/** The triage question about this fact. */
export function flagGroup(desk: Page, factId: string) {
  const fact = footAndAnkle.facts.find(({ id }) => id === factId)
  if (!fact) throw new Error(`The protocol has no fact ${factId}`)
  const name = `${fact.label.charAt(0).toUpperCase()}${fact.label.slice(1)}`
  return desk.getByRole('group', { name, exact: true })
}

/** The home check, filled in by the coordinator with the patient on the phone, down to its end. */
export async function fillHomeCheckByPhone(desk: Page, referralId: string, home: Home = {}): Promise<void> {
  await desk.goto(`/referrals/${referralId}/check`)
  await choose(desk, {
    placeAddress: '7 Sample Lane, Larkfield',
    placeState: 'OR',
    timeZone: 'America/Los_Angeles',
    callbackPhone: '503-555-0142',
    contactName: 'Alex Sample',
    contactPhone: '503-555-0143',
    timesAsked: 'yes',
    agreed: 'yes',
    ...(home.helper !== false && { helperName: 'Sam' }),
  })
  // Answers open further questions, so it takes a round or two.
  for (;;) {
    const open = await openQuestions(desk)
    if (open.length === 0) break
    await choose(desk, Object.assign({}, ...open.map((name) => answersFor(name, home))))
    await desk.getByRole('button', { name: 'Save what is filled in' }).click()
    await expect(desk.getByRole('status')).toContainText('Saved.')
    await desk.goto(`/referrals/${referralId}/check`)
  }
  await desk.getByRole('button', { name: 'Save and finish' }).click()
  await expect(desk.getByRole('status')).toContainText('The home check is finished and screened.')
}

function answersFor(name: string, home: Home): Record<string, string> {
  const fact = footAndAnkle.facts.find(({ id }) => `fact-${id}` === name)
  if (!fact) throw new Error(`No fact is called ${name}`)
  const answer = answerOf(fact, home)
  if (answer === 'not_sure') return fact.kind === 'number' ? { [`unit-${fact.id}`]: answer } : { [name]: answer }
  if (typeof answer === 'number') return { [name]: String(answer), [`unit-${fact.id}`]: fact.unit ?? '' }
  return { [name]: answer ? 'yes' : 'no' }
}

/** Names of the questions of the form that nobody has answered. */
function openQuestions(desk: Page): Promise<string[]> {
  return desk.evaluate(() => {
    const fields = [...document.querySelectorAll<HTMLInputElement>('input[name^="fact-"]')]
    const names = [...new Set(fields.map(({ name }) => name))]
    return names.filter((name) => {
      const notSure = document.querySelector<HTMLInputElement>(
        `input[name="${name.replace('fact', 'unit')}"][value="not_sure"]`,
      )
      return (
        !notSure?.checked &&
        fields.every(
          (field) =>
            field.name !== name || (field.type === 'radio' ? !field.checked || field.value === '' : !field.value),
        )
      )
    })
  })
}

/** Fills many fields at once, as a person would one by one: journeys that are about something else save the time. */
async function choose(desk: Page, values: Record<string, string>): Promise<void> {
  await desk.evaluate((wanted) => {
    for (const [name, value] of Object.entries(wanted)) {
      const fields = [...document.querySelectorAll<HTMLInputElement | HTMLSelectElement>(`[name="${name}"]`)]
      for (const field of fields) {
        const isChoice = field.type === 'radio' || field.type === 'checkbox'
        if (isChoice && field.value === value) (field as HTMLInputElement).checked = true
        if (!isChoice) field.value = value
      }
    }
  }, values)
}

/** Sends the patient their link to the home check. */
export async function sendLink(desk: Page, referralId: string): Promise<void> {
  await desk.goto(`/referrals/${referralId}/check`)
  await desk.getByRole('button', { name: 'Send the link' }).click()
  await expect(desk.getByRole('status')).toContainText('The link is on its way to the patient.')
}

/** A referral that is typed, triaged and screened, with the home as told. */
export async function screenedReferral(
  desk: Page,
  patient: TestPatient,
  wanted: Pick<Triage, 'condition' | 'side'> & Pick<Letter, 'reads'> & { home?: Home; hasLink?: boolean },
): Promise<string> {
  const referralId = await typeReferral(desk, patient, wanted.reads && { reads: wanted.reads })
  await triage(desk, referralId, { ...wanted, noOtherFlag: true })
  if (wanted.hasLink) await sendLink(desk, referralId)
  await fillHomeCheckByPhone(desk, referralId, wanted.home)
  return referralId
}

/** The starts on offer, but for those with a clinician whom another journey has added and may take away again. */
export function lastingStarts(desk: Page) {
  return desk.locator('label').filter({ hasNotText: ADDED_CLINICIAN }).locator('input[name="start"]')
}

/** What a form would send of each start that the page offers. */
export function offeredStarts(page: Page): Promise<string[]> {
  return page
    .locator('input[name="start"]')
    .evaluateAll((inputs) => (inputs as HTMLInputElement[]).map(({ value }) => value))
}

/** Books one of the free starts, one of their own for each patient; stands on the booking page afterwards. */
export async function bookSomeStart(desk: Page, referralId: string, { nth }: TestPatient): Promise<void> {
  await desk.goto(`/referrals/${referralId}/book`)
  const starts = lastingStarts(desk)
  await starts.nth(nth % (await starts.count())).check()
  await desk.getByRole('button', { name: 'Book this start' }).click()
  await expect(desk.getByRole('heading', { name: /^Booked\. The patient is told/ })).toBeVisible()
}

/** Opens the patient's newest link on their phone, and stands on their own page. */
export async function comeByLink(phone: Page, patient: TestPatient): Promise<void> {
  await openLink(phone, await linkOf(patient), patient.born)
  await expect(phone).toHaveURL(/\/my$/)
}

/** The line of this patient on the desk, under this heading. */
export function deskLine(desk: Page, heading: string, patient: TestPatient) {
  return desk.getByRole('list', { name: heading, exact: true }).getByRole('listitem').filter({ hasText: patient.name })
}

/**
 * Books a start of the demo's daily session so many days ahead, or on the next day that has room for two visits more: in
 * time that no other journey books into. `beside`: in the same opening as that start. Returns the start.
 */
export async function bookStartAhead(
  desk: Page,
  referralId: string,
  { days = 0, beside }: { days?: number; beside?: string },
): Promise<string> {
  const near = beside === undefined ? Temporal.Now.instant() : instantOf(beside)
  const from = near.toZonedDateTimeISO(DAILY.timeZone).toPlainDate().add({ days })
  await desk.goto(`/referrals/${referralId}/book?clinician=${DAILY.clinicianId}&from=${from}`)
  const starts = await offeredStarts(desk)
  const ofDay = [...Map.groupBy(starts, dayOf).values()]
  const [start] = ofDay.find((day) => (beside === undefined ? hasRoom(day) : dayOf(day[0]) === dayOf(beside))) ?? []
  if (start === undefined) throw new Error(`nothing is free from ${from} on, of ${starts.join('; ') || 'nothing'}`)
  await desk.locator(`input[name="start"][value="${start}"]`).check()
  await desk.getByRole('button', { name: 'Book this start' }).click()
  await expect(desk.getByRole('heading', { name: /^Booked\. The patient is told/ })).toBeVisible()
  return start
}

/** Books a start so many days ahead, or beside another; where the visit is, and when. */
export async function bookedVisitAhead(
  desk: Page,
  referralId: string,
  { days = 1, beside }: { days?: number; beside?: string } = {},
) {
  const start = await bookStartAhead(desk, referralId, beside === undefined ? { days } : { beside })
  const path = await desk.getByRole('link', { name: 'Open the visit' }).getAttribute('href')
  return { start, path: path ?? '', at: instantOf(start) }
}

/** Opens once a day, also at weekends. */
const DAILY = { clinicianId: 'cli_pumice', timeZone: 'America/Chicago' }

function instantOf(start = ''): Temporal.Instant {
  return Temporal.Instant.from(start.split(',')[0] ?? '')
}

function dayOf(start?: string): string {
  return instantOf(start).toZonedDateTimeISO(DAILY.timeZone).toPlainDate().toString()
}

/** Whether two more visits fit into the day besides one at its first start. */
function hasRoom(day: readonly string[]): boolean {
  return (
    instantOf(day[0])
      .until(instantOf(day.at(-1)))
      .total('minutes') >= 200
  )
}
