/**
 * A patient who reads Spanish, from the mail to a sign that can't wait: every page of theirs for every eye and thumb, with
 * no English left on it nor in any mail, and the home check by the keyboard alone.
 */
import { globSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import { wordsFor } from '#lib/words/words.ts'
import { answerOf, factAsked } from './home-answers.ts'
import { expectArrived, expectSaid } from './keyboard.ts'
import { mailTo } from './mail-tray.ts'
import { BOOKED_PATIENT_PAGES, checkPatientPage, checkPrinted } from './page-checks.ts'
import { linkOf } from './people.ts'
import {
  comeByLink,
  deskLine,
  lastingStarts,
  screenedReferral,
  sendLink,
  triage,
  typeReferral,
} from './referral-walk.ts'
import { expect, type Locator, type Page, test, textOf } from './watched.ts'

const t = wordsFor('es')
const HEEL_PAIN = 'Plantar heel pain'

test('a patient who reads Spanish answers the whole home check in Spanish, by keyboard alone', {
  tag: '@phone',
}, async ({ desk, open, newPatient }) => {
  test.setTimeout(300_000)
  const patient = newPatient()
  const referralId = await typeReferral(desk, patient, { reads: 'Spanish' })
  await triage(desk, referralId, { condition: HEEL_PAIN, noOtherFlag: true })
  await sendLink(desk, referralId)
  expectNoEnglish((await mailTo(patient.email, new RegExp(t('mail.home_check_invitation.subject')))).text, 'the mail')

  const phone = await open({ device: 'phone' })
  await phone.goto(await linkOf(patient))
  await look(phone)
  await comeByLink(phone, patient)
  await look(phone)
  await tabTo(phone, phone.getByRole('link', { name: t('home.my.check') }))
  await phone.keyboard.press('Enter')
  await expect(phone).toHaveURL(/\/my\/check\/\w/)
  await answerByKeyboard(phone)
  await expect(heading(phone)).toHaveText(t('home.answers.heading'))
  await look(phone)
  await press(phone, t('home.answers.send'))
  await expect(heading(phone)).toHaveText(t('home.done.heading'))
  await expectArrived(phone, heading(phone))
  await look(phone)
})

test('booking, the packet, a helper who drops out and a sign that cannot wait are told in Spanish', {
  tag: '@phone',
}, async ({ desk, open, newPatient }) => {
  test.setTimeout(300_000)
  const patient = newPatient()
  await screenedReferral(desk, patient, { condition: HEEL_PAIN, hasLink: true, reads: 'Spanish' })
  const phone = await open({ device: 'phone' })
  await comeByLink(phone, patient)
  await phone.goto('/my/book')
  await look(phone)
  const starts = lastingStarts(phone)
  await starts.nth(patient.nth % (await starts.count())).check()
  await press(phone, t('booking.pick.hold'))
  await expect(heading(phone)).toHaveText(t('booking.held.heading'))
  await expectArrived(phone, heading(phone))
  await look(phone)
  await press(phone, t('booking.held.confirm'))
  await expectSaid(phone, t('booking.booked.done'))
  for (const path of BOOKED_PATIENT_PAGES) {
    await phone.goto(path)
    await look(phone)
    if (path === '/my/packet') await checkPrinted(phone)
  }
  const { text, invite } = await mailTo(patient.email, new RegExp(t('mail.packet.subject')))
  expectNoEnglish(text, 'the mail')
  expectNoEnglish(/^SUMMARY:(.*)$/m.exec(invite ?? '')?.[1] ?? '', 'the calendar entry')

  // The helper drops out; then a sign that can't wait.
  await press(phone, t('board.change.helperLostDo'))
  await expectSaid(phone, t('board.change.helperLostDone'))
  await look(phone)
  expectNoEnglish((await mailTo(patient.email, new RegExp(t('mail.packet_changed.subject')))).text, 'the mail')
  await phone.goto('/my/packet')
  await expect(phone.getByRole('main')).toContainText(t('packet.changes.helper_no_longer'))
  await expect(phone.getByRole('main')).toContainText(/Versión 2/)
  await look(phone)
  await phone.goto('/my/change/symptoms')
  await look(phone)
  await press(phone, t('board.symptoms.send'))
  await expect(phone.getByRole('alert').filter({ hasText: t('board.symptoms.none') })).toBeVisible()
  const breath = footAndAnkle.facts.find(({ id }) => id === 'chest_or_breath')?.ask.es ?? ''
  await phone.getByRole('checkbox', { name: breath }).check()
  await press(phone, t('board.symptoms.send'))
  await expect(heading(phone)).toHaveText(t('home.stop.emergencyHeading'))
  await expectArrived(phone, heading(phone))
  await look(phone)
  await desk.goto('/desk')
  await expect(deskLine(desk, 'Call now', patient)).toBeVisible()
})

const heading = (phone: Page) => phone.getByRole('heading', { level: 1 })

async function look(phone: Page): Promise<void> {
  await expect(phone.locator('html')).toHaveAttribute('lang', 'es')
  for (const part of ['main', 'contentinfo'] as const) expectNoEnglish(await textOf(phone.getByRole(part)), phone.url())
  await checkPatientPage(phone)
}

/** Every question and detail, as in a home where everything is there; a page of each kind is looked at. */
async function answerByKeyboard(phone: Page): Promise<void> {
  const looked = new Set<string>()
  const lookOnce = async (kind: string) => {
    if (looked.has(kind)) return
    looked.add(kind)
    await look(phone)
  }
  for (let path = new URL(phone.url()).pathname; !path.endsWith('/answers'); path = new URL(phone.url()).pathname) {
    await expect(heading(phone)).toHaveCount(1)
    switch (path.split('/').at(-1)) {
      case 'place':
      case 'times':
        await lookOnce(path)
        break
      case 'contact':
        await lookOnce(path)
        await type(phone, 'contactName', 'Alex Sample')
        await type(phone, 'contactPhone', '503-555-0143')
        break
      case 'consent':
        await press(phone, t('common.continue'))
        await expect(phone.getByRole('alert').filter({ hasText: t('home.consent.errors.agreed') })).toBeVisible()
        await lookOnce(path)
        await tabTo(phone, phone.getByRole('checkbox'))
        await phone.keyboard.press('Space')
        break
      default: {
        const fact = factAsked(await textOf(heading(phone)), 'es')
        await lookOnce(fact.kind === 'number' ? fact.id : fact.kind)
        const answer = answerOf(fact, { stature_cm: 170 })
        if (typeof answer === 'number') {
          await type(phone, 'answer', String(answer))
          // The protocol's own unit is always the second that is offered.
          await tabTo(phone, phone.locator('[name="unit"]').first())
          await phone.keyboard.press('ArrowDown')
          if (fact.id === 'lane_m')
            await expect(phone.getByRole('main').getByRole('status')).toContainText('Su línea mide')
        } else {
          await tabTo(phone, phone.locator('[name="answer"]').first())
          await phone.keyboard.press(answer ? 'Space' : 'ArrowDown')
        }
      }
    }
    await press(phone, t('common.continue'))
    await expect(phone).not.toHaveURL((url) => url.pathname === path)
    // The next question is where the keyboard goes on, and what a screen reader reads.
    await expectArrived(phone, heading(phone))
  }
}

async function type(phone: Page, name: string, text: string): Promise<void> {
  await tabTo(phone, phone.locator(`[name="${name}"]`))
  await phone.keyboard.press('ControlOrMeta+a')
  await phone.keyboard.type(text)
}

async function press(phone: Page, name: string): Promise<void> {
  await tabTo(phone, phone.getByRole('button', { name, exact: true }))
  await phone.keyboard.press('Enter')
}

/** Goes on by Tab until this is where the keyboard is. */
async function tabTo(phone: Page, target: Locator): Promise<void> {
  await expect(target).toBeVisible()
  for (let stop = 0; stop < 120; stop += 1) {
    if (await target.evaluate((element) => element === document.activeElement)) return
    await phone.keyboard.press('Tab')
  }
  throw new Error(`Tab never reaches ${target}`)
}

const CATALOGUE = join(import.meta.dirname, '../../lib/words')

/** What is said otherwise in English than in Spanish, in the catalogue and in the protocol. */
const ENGLISH = new Set<string>()
for (const file of globSync('en/*.json', { cwd: CATALOGUE })) {
  const read = (language: string) =>
    JSON.parse(readFileSync(join(CATALOGUE, language, file.slice(3)), 'utf8')) as unknown
  collect(read('en'), read('es'))
}
collectPairs(footAndAnkle)

function collect(en: unknown, es: unknown): void {
  if (typeof en === 'string') {
    // Words with values in them are held by their words in a page anyway; a short one may be the same in both.
    if (en !== es && en.length > 5 && !en.includes('{')) ENGLISH.add(en)
    return
  }
  for (const [key, value] of Object.entries(en as object)) collect(value, (es as Record<string, unknown>)[key])
}

function collectPairs(value: unknown): void {
  if (typeof value !== 'object' || value === null) return
  if ('en' in value && 'es' in value) collect(value.en, value.es)
  else for (const part of Object.values(value)) collectPairs(part)
}

function expectNoEnglish(text: string, where: string): void {
  expect(
    [...ENGLISH].filter((phrase) => text.includes(phrase)),
    `English on ${where}`,
  ).toEqual([])
}
