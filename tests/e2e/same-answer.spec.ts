/**
 * The engine on the pages and the engine on the command line are the same: each sample case is walked through the pages as
 * a coordinator would, and the screening page says what `npm run assess` says of the file.
 */
import { execFileSync } from 'node:child_process'
import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import type { AssessedCase } from '#lib/domain/screening/case.ts'
import { LEADS_TO } from '#lib/domain/screening/disposition.ts'
import type { Disposition } from '#lib/domain/screening/screening.ts'
import type { Home } from './home-answers.ts'
import { stationTitle } from './home-answers.ts'
import { fillHomeCheckByPhone, flagGroup, triage, typeReferral } from './referral-walk.ts'
import { expect, type Page, test, textOf } from './watched.ts'

const ROOT = join(import.meta.dirname, '../..')
const SAMPLES = join(ROOT, 'seed/samples/cases')

const SAID: Record<Disposition, string> = {
  emergency_advice: 'Emergency advice',
  urgent_in_person: 'Urgent in person',
  in_person: 'In person',
  ask_again: 'Ask again',
  video_with_gaps: 'Video with gaps',
  video: 'Video',
}

type SampleCase = { referral: { birthDate: string; answers: Record<string, boolean> }; home: Home }

function sample(name: string): { file: SampleCase; assessed: AssessedCase } {
  const path = join(SAMPLES, `${name}.json`)
  const printed = execFileSync('npm', ['run', '--silent', 'assess', '--', path], { cwd: ROOT, encoding: 'utf8' })
  return { file: JSON.parse(readFileSync(path, 'utf8')), assessed: JSON.parse(printed) }
}

test('a suspected Achilles rupture without a helper goes to the clinic by a set time, and the gap is explained', async ({
  desk,
  newPatient,
}) => {
  const { file, assessed } = sample('achilles-no-helper')
  const referralId = await typeReferral(desk, newPatient({ born: file.referral.birthDate }))
  await triage(desk, referralId, {
    condition: 'Achilles tendon rupture, suspected',
    flags: ['heel_snap', 'acute_injury'],
    noOtherFlag: true,
  })
  await fillHomeCheckByPhone(desk, referralId, file.home)
  await expectSame(desk, referralId, assessed)
  expect(assessed.screening.disposition).toBe('urgent_in_person')
  await expect(desk.getByRole('heading', { level: 1 })).toContainText('to be seen by')
  await expect(row(desk, stationTitle('calf_squeeze'))).toContainText(/Cannot.*no helper/)
})

test('a flat foot alone at home is seen by video with named gaps, and the helper is what would help', async ({
  desk,
  newPatient,
}) => {
  const { file, assessed } = sample('flat-foot-alone')
  const referralId = await typeReferral(desk, newPatient({ born: file.referral.birthDate }), { side: 'Right' })
  await triage(desk, referralId, {
    condition: 'Flat foot (posterior tibial tendon), suspected',
    side: 'Right',
    noOtherFlag: true,
  })
  await fillHomeCheckByPhone(desk, referralId, file.home)
  await expectSame(desk, referralId, assessed)
  expect(assessed.screening.disposition).toBe('video_with_gaps')
  expect(assessed.screening.openers[0]?.facts).toContain('helper')
  const help = desk.locator('section', { has: desk.getByRole('heading', { name: 'What would help' }) })
  await expect(help).toContainText('1 more station, and the decision would be video')
})

test('one red flag stops at the right page, and nothing else is decided', async ({ desk, newPatient }) => {
  const { file, assessed } = sample('cold-foot')
  const referralId = await typeReferral(desk, newPatient({ born: file.referral.birthDate }))
  await triage(desk, referralId, { condition: 'Foot or ankle pain, cause not known' })
  await desk.goto(`/referrals/${referralId}/check`)
  const question = desk.getByRole('group', { name: /gone cold, white, blue or numb/ })
  await question.getByRole('radio', { name: 'Yes', exact: true }).check()
  await desk.getByRole('button', { name: 'Save what is filled in' }).click()
  await expect(desk).toHaveURL(/#say$/)
  await expect(desk.getByRole('main')).toContainText('Call 911 or your local emergency number now.')
  await expectSame(desk, referralId, assessed)
  expect(assessed.screening.disposition).toBe('emergency_advice')
  await expect(flagGroup(desk, 'cold_foot')).toHaveCount(0)
  await expect(desk.getByRole('link', { name: 'Find a start' })).toHaveCount(0)
})

/** The screening page against what the command line printed: decision, every station with its reason, openers, plan. */
async function expectSame(desk: Page, referralId: string, { screening, plan, why, gaps }: AssessedCase): Promise<void> {
  await desk.goto(`/referrals/${referralId}/screening`)
  expect(LEADS_TO[screening.rule]).toBe(screening.disposition)
  await expect(definition(desk, 'The engine’s answer')).toHaveText(SAID[screening.disposition])
  await expect(definition(desk, 'Why')).toHaveText(why.coordinator)
  await expect(definition(desk, 'Said to the patient')).toHaveText(`“${why.patient.en}”`)

  for (const { stationId, can } of screening.stations) {
    const said = { yes: 'Can be done', no: 'Cannot', not_known: 'Not known' }[can]
    await expect(row(desk, stationTitle(stationId))).toContainText(said)
  }
  for (const { title, because } of gaps) await expect(row(desk, title)).toContainText(because)

  const { weighted } = screening.coverage
  await expect(
    desk.getByText(`stations can be done at this home: ${Math.round(weighted * 100)} % of the exam`),
  ).toBeVisible()

  const order = desk.getByRole('table', { name: 'Stations in order' }).locator('tbody th')
  const titles = await Promise.all((await order.all()).map((cell) => textOf(cell)))
  expect(titles).toEqual((plan?.steps ?? []).map(({ stationId }) => stationTitle(stationId)))
  if (plan)
    await expect(
      desk.getByText(`A visit of ${plan.visitMin} minutes, ${Math.ceil(plan.examMin)} of them exam.`),
    ).toBeVisible()

  // Every rule and number can be followed to where it comes from.
  await desk.getByText('Where the rules and numbers of this page come from').click()
  const sources = desk.getByRole('table', { name: 'Source by source' })
  for (const { stationId } of screening.stations) await expect(sources).toContainText(stationTitle(stationId))
}

/** The row of a station, in the tables of what can be done. */
function row(desk: Page, title: string) {
  return desk
    .getByRole('row')
    .filter({ has: desk.getByRole('rowheader', { name: title, exact: true }) })
    .filter({ hasText: /Can be done|Cannot|Not known/ })
}

function definition(desk: Page, name: string) {
  return desk.locator('dt', { hasText: name }).locator('xpath=following-sibling::dd[1]')
}
