/**
 * The protocol desk: the lead drafts a version, is told what is wrong with it, sees what it changes, and signs it off. In
 * an app of its own: a new version in force would change the triage of everybody else's journeys.
 */
import { readFileSync, writeFileSync } from 'node:fs'
import { expectArrived, expectSaid } from './keyboard.ts'
import { test as own } from './own-app.ts'
import { checkPage } from './page-checks.ts'
import { screenedReferral, triage, typeReferral } from './referral-walk.ts'
import { expect, problems } from './watched.ts'

const HERE = '/clinic/protocol/foot_and_ankle'
const FLAT_FOOT = 'Flat foot (posterior tibial tendon), suspected'

own.describe.configure({ mode: 'serial', timeout: 300_000 })

own(
  'a draft is made, mended, looked at from all sides and signed off; what is under way keeps its version',
  async ({ open, desk, newPatient }, testInfo) => {
    const [before, after] = [newPatient(), newPatient()]
    const underWay = await screenedReferral(desk, before, { condition: FLAT_FOOT })

    const lead = await open({ as: 'lead' })
    await lead.goto('/clinic')
    await lead.getByRole('link', { name: 'Protocol' }).click()
    await expect(lead.getByRole('heading', { level: 1 })).toHaveText('Foot and ankle: version 1 is in force.')
    await checkPage(lead)
    await lead.getByRole('button', { name: 'Make a draft of the next version' }).press('Enter')
    await expect(lead.getByRole('heading', { level: 1 })).toHaveText(
      'Version 2 is a draft: nothing differs yet, nothing wrong with it.',
    )
    await expectArrived(lead, lead.getByRole('heading', { level: 1 }))
    await expect(lead.getByRole('heading', { name: 'A demonstration: it needs local clinical sign-off' })).toBeVisible()
    await checkPage(lead)

    // By keyboard alone: into the stations, to the first one, to its minutes.
    await lead.goto(`${HERE}/2/stations`)
    await checkPage(lead)
    await lead.getByRole('link', { name: 'Change Ordinary walk' }).press('Enter')
    await expect(lead.getByRole('heading', { level: 1 })).toHaveText('Ordinary walk')
    const minutes = lead.getByLabel('Minutes each time it is done')
    await minutes.focus()
    await lead.keyboard.press('ControlOrMeta+A')
    await lead.keyboard.type('0')
    await lead.keyboard.press('Enter')
    await expect(problems(lead)).toContainText('Minutes each time it is done: must be more than 0')
    await expect(minutes).toHaveAttribute('aria-invalid', 'true')
    await expect(minutes).toHaveValue('0')
    await checkPage(lead)
    await problems(lead).getByRole('link').press('Enter')
    await expect(minutes).toBeFocused()
    await lead.keyboard.press('ControlOrMeta+A')
    await lead.keyboard.type('12')
    await lead.getByLabel('What the patient is told, English').first().fill('Ambulate habitually.')
    await lead.getByRole('button', { name: 'Save in the draft' }).press('Enter')
    // Said where the station stands in the long list.
    await expectSaid(lead, 'Saved in the draft.')
    await expect(lead.getByRole('listitem').filter({ hasText: 'Saved in the draft.' })).toContainText('12 minutes')

    // A second window that was opened before is told.
    const second = await open({ as: 'lead' })
    await second.goto(`${HERE}/2/conditions/flat_foot`)
    await checkPage(second)
    await lead.goto(`${HERE}/2/figures/all`)
    await checkPage(lead)
    await lead.getByLabel('Move the camera').fill('50')
    await lead.getByRole('button', { name: 'Save in the draft' }).press('Enter')
    await expectSaid(lead, 'Saved in the draft.')
    await second.getByLabel('Single-leg stance').selectOption('Useful')
    await second.getByRole('button', { name: 'Save in the draft' }).click()
    await expect(problems(second)).toContainText('Somebody has changed the draft since you opened this')
    await expect(second.getByLabel('Single-leg stance')).toHaveValue('useful')

    await lead.goto(`${HERE}/2/changes`)
    await expect(lead.getByRole('heading', { level: 1 })).toHaveText(
      'Version 2 changes 3 values of 2 things in version 1.',
    )
    const walk = lead.getByRole('table', { name: 'Station: Ordinary walk' })
    await expect(walk.getByRole('row', { name: /^Minutes/ })).toContainText('12')
    await expect(lead.getByRole('table', { name: 'Reading level' })).toContainText('Too hard')
    await checkPage(lead)

    await lead.goto(`${HERE}/2/effect?last=200`)
    await expect(lead.getByRole('heading', { level: 1 })).toContainText('would have been different: ')
    await expect(lead.getByRole('link', { name: before.name })).toBeVisible()
    await checkPage(lead)

    // The whole document, with a fault in it and without.
    await lead.goto(`${HERE}/2`)
    const download = lead.waitForEvent('download')
    await lead.getByRole('link', { name: 'take it as a JSON file' }).click()
    const path = testInfo.outputPath('draft.json')
    await (await download).saveAs(path)
    const text = readFileSync(path, 'utf8')
    writeFileSync(path, text.replace('"helperFact": "helper"', '"helperFact": "nobody"'))
    await lead.getByLabel('A changed document').setInputFiles(path)
    await lead.getByRole('button', { name: 'Bring this file in' }).click()
    await expect(problems(lead)).toContainText('helperFact: "nobody" is not a yes-or-no fact')
    await checkPage(lead)
    writeFileSync(path, text.replace('Ambulate habitually.', 'Walk as you do each day.'))
    await lead.getByLabel('A changed document').setInputFiles(path)
    await lead.getByRole('button', { name: 'Bring this file in' }).press('Enter')
    await expectSaid(lead, 'The document is brought in. This is what it changes.')
    await expect(lead.getByRole('table', { name: 'Reading level' })).toContainText('Easy enough')

    await lead.goto(`${HERE}/2/sign`)
    await checkPage(lead)
    await lead.getByRole('button', { name: 'Sign version 2 off' }).click()
    await expect(problems(lead).getByRole('link')).toHaveCount(3)
    await checkPage(lead)
    await lead.getByLabel('Your name').fill('Tobias Chalk')
    await lead.getByLabel('Your licence').fill('OR 204417')
    await lead.getByRole('checkbox', { name: /^I am the licensed lead/ }).check()
    await lead.getByLabel('Your passphrase').fill('nine paper lanterns glow')
    await lead.getByRole('button', { name: 'Sign version 2 off' }).press('Enter')
    await expectSaid(lead, 'Version 2 is signed off and in force')
    await checkPage(lead)
    await lead.goto(`${HERE}/2/stations/walk`)
    await expect(lead.getByRole('button', { name: 'Save in the draft' })).toHaveCount(0)
    await lead.goto('/clinic/protocol')
    await expect(lead.getByText(/I answer for its use on our patients.” Tobias Chalk, licence OR 204417/)).toBeVisible()

    // What was triaged before stays with its version; what is triaged now takes the new one: its walk takes twelve minutes.
    const minutesOfWalk = async (referralId: string) => {
      await desk.goto(`/referrals/${referralId}/screening`)
      const plan = desk.getByRole('table', { name: 'Stations in order' })
      return plan
        .getByRole('row', { name: /Ordinary walk/ })
        .getByRole('cell')
        .last()
    }
    await expect(await minutesOfWalk(underWay)).toHaveText('2')
    const referral = await screenedReferral(desk, after, { condition: FLAT_FOOT })
    await expect(await minutesOfWalk(referral)).toHaveText('12')
    await expect(await minutesOfWalk(underWay)).toHaveText('2')
  },
)

own('a station is retired and taken back, and the draft is dropped', async ({ open, desk, newPatient }) => {
  const lead = await open({ as: 'lead' })
  await lead.goto('/clinic/protocol')
  await lead.getByRole('button', { name: 'Make a draft of the next version' }).click()
  await expect(lead.getByRole('heading', { level: 1 })).toContainText('is a draft')
  const version = Number(/\/(\d+)$/.exec(new URL(lead.url()).pathname)?.[1])
  await lead.goto(`${HERE}/${version}/stations/tarsal_tap`)
  await lead.getByRole('button', { name: /^Retire / }).press('Enter')
  await expectSaid(lead, 'The station is retired in the draft.')
  await checkPage(lead)
  await lead.getByRole('button', { name: /^Take this back ?: Station/ }).press('Enter')
  await expectSaid(lead, 'Taken back: ')
  // It is back, and no condition asks for it yet: that is said, and where it is mended.
  await lead.goto(`${HERE}/${version}`)
  await expect(lead.getByRole('list', { name: 'Faults' })).toContainText('no condition uses "tarsal_tap"')
  await checkPage(lead)
  const lists = [
    'set-ups',
    'conditions',
    'red-flags',
    'safety',
    'worked-out',
    'questions',
    'things',
    'order',
    'sources',
  ]
  for (const part of [...lists, 'things/block', 'questions/helper']) {
    await lead.goto(`${HERE}/${version}/${part}`)
    await checkPage(lead)
  }

  // A coordinator reads all of it and changes nothing.
  await desk.goto(`${HERE}/${version}/stations/walk`)
  await expect(desk.getByText('Minutes each time it is done')).toBeVisible()
  await expect(desk.getByRole('button', { name: 'Save in the draft' })).toHaveCount(0)
  await checkPage(desk)
  await desk.goto(`${HERE}/${version}/sign`)
  await expect(desk).toHaveURL(/\/not-allowed$/)

  await lead.goto(`${HERE}/${version}`)
  await lead.getByRole('button', { name: /^Drop the draft/ }).press('Enter')
  await expectSaid(lead, 'The draft is dropped.')
  await triage(desk, await typeReferral(desk, newPatient()), { condition: FLAT_FOOT })
})
