/** The engine on the command line: what goes in, what comes out, and that a fault anywhere prints no case at all. */
import { spawnSync } from 'node:child_process'
import { mkdtempSync, readFileSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import Ajv from 'ajv/dist/2020.js'
import { describe, expect, test } from 'vitest'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import type { AssessedCase } from '#lib/domain/screening/case.ts'

const FOLDER = mkdtempSync(join(tmpdir(), 'farstep-assess-'))
const sampleFile = (name: string) => `seed/samples/cases/${name}.json`
const sample = (name: string) => JSON.parse(readFileSync(sampleFile(name), 'utf8'))
const file = (name: string, content: unknown) => {
  const path = join(FOLDER, name)
  writeFileSync(path, typeof content === 'string' ? content : JSON.stringify(content))
  return path
}

function assess(args: readonly string[], input = '') {
  const { status, stdout, stderr } = spawnSync('node', ['lib/scripts/run.mjs', 'assess', ...args], {
    input,
    encoding: 'utf8',
    timeout: 60_000,
  })
  return { status, stdout, faults: stderr.split('\n').filter((line) => line !== '') }
}

function assessOne(name: string): AssessedCase {
  const { status, stdout, faults } = assess([sampleFile(name)])
  expect(faults).toEqual([])
  expect(status).toBe(0)
  return JSON.parse(stdout)
}

describe('the three cases that settle how a case is routed', () => {
  test('a suspected Achilles rupture, nobody to help, a bed: in person within 24 hours, and why the squeeze is left out', () => {
    const { screening, gaps } = assessOne('achilles-no-helper')
    expect(screening).toMatchObject({ disposition: 'urgent_in_person', seeBy: { within: 24, unit: 'hours' } })
    expect(screening.earlyLook).toBe(false)
    expect(gaps).toEqual([{ stationId: 'calf_squeeze', title: 'Calf squeeze, lying face down', because: 'no helper' }])
  })

  test('a flat foot, alone, no strap, a stool and 6 m: by video with named gaps, and a helper is the first opener', () => {
    const { screening, plan, gaps } = assessOne('flat-foot-alone')
    expect(screening).toMatchObject({ disposition: 'video_with_gaps', rule: 'useful_missing' })
    expect(gaps.map(({ stationId, because }) => `${stationId}: ${because}`)).toEqual([
      'strength_inner: no helper',
      'calf_strap: no strap or belt, no long towel',
    ])
    expect(screening.openers[0]).toMatchObject({ facts: ['helper', 'helper_strong'], disposition: 'video' })
    expect(plan?.helperWindow).toBeNull()
    expect(plan?.visitMin).toBeGreaterThan(0)
  })

  test('one red flag stops everything: emergency advice, no time limit, nothing asked, nothing planned', () => {
    const { screening, plan, why } = assessOne('cold-foot')
    expect(screening).toMatchObject({
      disposition: 'emergency_advice',
      because: ['sudden_cold_limb'],
      ask: [],
      openers: [],
    })
    expect(plan).toBeNull()
    const flag = footAndAnkle.redFlags.find(({ id }) => id === 'sudden_cold_limb')
    expect(why.patient).toEqual(flag?.advice)
  })
})

describe('what goes in comes out in the same form', () => {
  const cases = ['achilles-no-helper', 'flat-foot-alone', 'cold-foot'].map(sample)
  const idsOf = (assessed: readonly AssessedCase[]) => assessed.map(({ id }) => id)

  test('a list gives a list, and what is piped in is read like a file', () => {
    const { status, stdout } = assess(['-'], JSON.stringify(cases))
    expect(status).toBe(0)
    expect(idsOf(JSON.parse(stdout))).toEqual(['achilles-no-helper', 'flat-foot-alone', 'cold-foot'])
  })

  test('one case a line gives one answer a line; empty lines count for nothing', () => {
    const { status, stdout } = assess(['-'], `${cases.map((each) => JSON.stringify(each)).join('\n\n')}\n`)
    expect(status).toBe(0)
    const lines = stdout.trimEnd().split('\n')
    expect(idsOf(lines.map((line) => JSON.parse(line)))).toEqual(['achilles-no-helper', 'flat-foot-alone', 'cold-foot'])
  })

  test('the same case on another day is older: a child below 18 gets no rule for grown-ups', () => {
    const injured = { ...sample('flat-foot-alone').home, acute_injury: true }
    for (const id of [
      'pain_ankle_bumps',
      'pain_midfoot',
      'tender_outer_ankle',
      'tender_inner_ankle',
      'tender_outer_foot',
    ])
      injured[id] = false
    Object.assign(injured, {
      tender_inner_foot: false,
      four_steps_then: true,
      four_steps_now: true,
      press_not_sure: false,
      injury_wound: false,
      sole_bruise: false,
    })
    const on = (today: string) => ({
      today,
      referral: { condition: 'ankle_sprain', side: 'left', birthDate: '2008-03-02' },
      home: injured,
    })
    const { stdout } = assess(['-'], JSON.stringify([on('2026-03-01'), on('2026-03-02')]))
    const [before, after] = JSON.parse(stdout) as AssessedCase[]
    expect([before?.screening.facts.age_years, after?.screening.facts.age_years]).toEqual([17, 18])
    expect(before?.screening.raised).not.toEqual([])
    expect(after?.screening.raised).toEqual([])
  })
})

describe('a fault anywhere', () => {
  test('is told with its path, together with every other, and no case is printed', () => {
    const bad = sample('flat-foot-alone')
    bad.referral.condition = 'flat_feet'
    bad.referral.birthDate = '2031-01-01'
    bad.referral.answers = { fell: false }
    Object.assign(bad.home, { lane_m: 60, helper: 'yes', helpr: true, age_years: 40 })
    const path = file('bad.json', [sample('cold-foot'), bad])
    const { status, stdout, faults } = assess([path])
    expect(status).toBe(2)
    expect(stdout).toBe('')
    const told = faults.map((line) => line.slice(path.length + 2))
    expect(told.map((line) => line.split(':')[0]).sort()).toEqual([
      '1.home.age_years',
      '1.home.fell',
      '1.home.helper',
      '1.home.helpr',
      '1.home.lane_m',
      '1.referral.birthDate',
      '1.referral.condition',
    ])
    expect(told).toContain('1.home.lane_m: is not a number of m from 0 to 50, or "not_sure"')
  })

  test('one case a line: each fault with its line, and nothing half done', () => {
    const lines = [JSON.stringify(sample('cold-foot')), '', '{"today":', JSON.stringify({ today: '2026-02-30' })]
    expect(assess(['-'], lines.join('\n'))).toMatchObject({
      status: 2,
      stdout: '',
      faults: [expect.stringMatching(/^-:3: is not JSON/)],
    })
    const second = assess(['-'], [lines[0], lines[0], lines[3]].join('\n'))
    expect(second).toMatchObject({ status: 2, stdout: '' })
    expect(second.faults.map((line) => line.split(': ').slice(0, 2).join(': ')).sort()).toEqual([
      '-:3: referral',
      '-:3: today',
    ])
  })

  test.each([
    ['nothing to read', ['no-such-file.json'], ''],
    ['an empty file', ['-'], ' \n'],
    ['a broken list', ['-'], '[{}\n,'],
    ['no file named', [], ''],
    ['two files', ['a.json', 'b.json'], ''],
    ['an option that is not there', ['--fast', '-'], '{}'],
  ])('%s ends with 2 and says why', (_, args, input) => {
    const { status, stdout, faults } = assess(args, input)
    expect({ status, stdout }).toEqual({ status: 2, stdout: '' })
    expect(faults).not.toEqual([])
  })
})

test('another protocol is loaded by the same checks, and its questions make the form', () => {
  const other = structuredClone(footAndAnkle)
  other.id = 'other'
  const good = assess(['--protocol', file('protocol.json', other), sampleFile('cold-foot')])
  expect(JSON.parse(good.stdout).screening.protocolId).toBe('other')
  const station = other.stations[0]
  if (station) station.setUp = 'nowhere'
  const refused = assess(['--protocol', file('broken.json', other), sampleFile('cold-foot')])
  expect(refused).toMatchObject({ status: 2, stdout: '' })
  expect(refused.faults.join()).toContain('stations.0.setUp')
})

test('the printed form is JSON Schema that takes the samples and refuses what the reader refuses', () => {
  const schema = JSON.parse(assess(['--schema']).stdout)
  const isCase = new Ajv({ strict: false, validateFormats: false }).compile(schema)
  for (const name of ['achilles-no-helper', 'flat-foot-alone', 'cold-foot']) expect(isCase(sample(name))).toBe(true)
  const bad = sample('cold-foot')
  expect(isCase({ ...bad, home: { lane_m: 60 } })).toBe(false)
  expect(isCase({ ...bad, home: { ghost: true } })).toBe(false)
  expect(isCase({ ...bad, today: 'yesterday' })).toBe(false)
})
