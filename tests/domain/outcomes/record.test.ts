import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { Temporal } from '#lib/base/time.ts'
import { FOLLOW_UPS_AFTER, followUpLimit, suggestedFollowUp } from '#lib/domain/outcomes/next-step.ts'
import {
  checkFields,
  readCheckEntry,
  readStationEntry,
  readValue,
  stationFields,
} from '#lib/domain/outcomes/read-entry.ts'
import { type LeftOver, leftOver, openTurns, revisionOf, turnsOf } from '#lib/domain/outcomes/record.ts'
import { sayEntry } from '#lib/domain/outcomes/say-entry.ts'
import { REASONS, RECORDED_RESULTS, RESULTS, VISIT_OUTCOMES } from '#lib/domain/outcomes/vocabulary.ts'
import { DEFAULT_POLICY } from '#lib/domain/policy/clinic-policy.ts'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import { IMPORTANCES, type SIDES } from '#lib/domain/protocol/schema.ts'

const heelRaise = footAndAnkle.stations.find(({ id }) => id === 'heel_raise_single')
const measures = heelRaise?.measures ?? []

describe('what may be entered for a station', () => {
  test('a whole entry is read as it was meant', () => {
    const read = readStationEntry(
      {
        result: 'done_with_difficulty',
        reason: 'pain',
        judgement: 'abnormal',
        text: 'Heel stays out',
        'value-heel_rises': '12',
      },
      measures,
    )
    expect(read).toEqual({
      ok: true,
      value: {
        result: 'done_with_difficulty',
        reason: 'pain',
        reasonText: null,
        judgement: 'abnormal',
        text: 'Heel stays out',
        values: { heel_rises: 12 },
      },
    })
    if (read.ok)
      expect(sayEntry(read.value, measures)).toBe(
        'Done with difficulty: Pain. Abnormal: Heel stays out. Heel rises: 12.',
      )
  })

  test.each([
    ['nothing', {}, ['result']],
    ['not possible without why', { result: 'not_possible' }, ['reason']],
    ['stopped for something else without a word', { result: 'stopped', reason: 'other' }, ['reasonText']],
    ['abnormal without a word', { result: 'done', judgement: 'abnormal' }, ['text']],
    ['a finding where nothing was done', { result: 'not_possible', reason: 'pain', judgement: 'normal' }, ['result']],
    ['a slip of the finger', { result: 'done', 'value-heel_rises': '1200' }, ['value-heel_rises']],
    ['half a heel rise', { result: 'done', 'value-heel_rises': '3.5' }, ['value-heel_rises']],
    ['all at once', { reason: 'other', 'value-heel_rises': 'x' }, ['result', 'reasonText', 'value-heel_rises']],
  ])('%s is refused at its field', (_name, fields, faults) => {
    const read = readStationEntry(fields, measures)
    expect(!read.ok && read.error.map(({ field }) => field).sort()).toEqual([...faults].sort())
  })

  test('words alone are a note', () => {
    expect(readStationEntry({ result: 'done', text: 'Swollen outside' }, [])).toMatchObject({
      value: { judgement: 'noted' },
    })
  })

  test('a check is confirmed, or skipped with a reason', () => {
    expect(readCheckEntry({ state: 'confirmed' })).toEqual({ ok: true, value: { state: 'confirmed', because: null } })
    expect(readCheckEntry({ state: 'skipped', because: ' ' }).ok).toBe(false)
    expect(readCheckEntry({}).ok).toBe(false)
  })

  test('a refill time keeps its tenth of a second', () => {
    const refill = footAndAnkle.stations.find(({ id }) => id === 'nail_refill')?.measures?.[0]
    if (!refill) throw new Error('no refill')
    expect([readValue('2.34', refill), readValue('0,7', refill), readValue('-1', refill)]).toEqual([
      2.3,
      0.7,
      'Between 0 and 20: check the value and the unit',
    ])
  })

  test('nothing below nothing is nothing', () => {
    expect(measures.map((measure) => readValue('-0', measure))).toEqual(measures.map(() => 0))
  })

  test('whatever is taken gives the same entry when it is typed again', () => {
    const typed = fc.record({
      result: fc.constantFrom(...RECORDED_RESULTS, 'nonsense'),
      reason: fc.constantFrom('', ...REASONS),
      reasonText: fc.string(),
      judgement: fc.constantFrom('', 'normal', 'abnormal', 'noted'),
      text: fc.string(),
      'value-heel_rises': fc.oneof(fc.integer({ min: -5, max: 130 }).map(String), fc.string()),
    })
    fc.assert(
      fc.property(typed, (fields) => {
        const read = readStationEntry(fields, measures)
        if (!read.ok) return read.error.length > 0
        const second = readStationEntry(stationFields(read.value), measures)
        expect(second).toEqual(read)
        // The database's own rules (`station_outcomes_why`, `findings_noted_said`) are never met by what was taken.
        const { result, reason, judgement, text } = read.value
        return (
          !(['not_possible', 'stopped'].includes(result) && reason === null) &&
          !(judgement === 'noted' && text === null)
        )
      }),
    )
  })

  test('a check is read again from its own form as it was', () => {
    for (const fields of [{ state: 'confirmed' }, { state: 'skipped', because: 'nobody to call' }]) {
      const read = readCheckEntry(fields)
      expect(read.ok && readCheckEntry(checkFields(read.value))).toEqual(read)
    }
  })
})

const step = (stationId: string, sides: readonly (typeof SIDES)[number][]) => ({
  ...{ stationId, wayId: 'self', setUpId: 'x', helper: false, minutes: 1, transitionSec: 0, atMin: 0 },
  sides: [...sides],
})
const screened = (stationId: string, importance: (typeof IMPORTANCES)[number]) => ({
  ...{ stationId, importance, can: 'yes' as const, way: null, closedBy: [], unknown: [] },
})

describe('what is left over', () => {
  const plan = { steps: [step('walk', ['both']), step('ankle_side', ['left', 'right'])] }
  const screening = {
    stations: [
      screened('walk', 'essential'),
      screened('ankle_side', 'useful'),
      screened('block_stand', 'useful'),
      screened('shoe_wear', 'optional'),
    ],
  }

  test('one side done is not the station done, and what the home never allowed is left too, unless optional', () => {
    const done = [
      { stationId: 'walk', side: 'both', result: 'done' },
      { stationId: 'ankle_side', side: 'right', result: 'done_with_difficulty' },
    ] as const
    expect(leftOver(plan, screening, done)).toEqual([
      { stationId: 'ankle_side', importance: 'useful', why: 'planned' },
      { stationId: 'block_stand', importance: 'useful', why: 'closed' },
    ])
  })

  test('every planned turn is either open or recorded, and doing more never leaves more over', () => {
    const turns = turnsOf(plan)
    const recorded = fc
      .subarray(turns)
      .chain((some) =>
        fc.tuple(...some.map((turn) => fc.constantFrom(...RESULTS).map((result) => ({ ...turn, result })))),
      )
    fc.assert(
      fc.property(recorded, fc.nat(), (rows, at) => {
        expect(openTurns(plan, rows).length + rows.length).toBe(turns.length)
        const before = leftOver(plan, screening, rows).map(({ stationId }) => stationId)
        const better = rows.map((row, index) =>
          index === at % rows.length ? { ...row, result: 'done' as const } : row,
        )
        const after = leftOver(plan, screening, better).map(({ stationId }) => stationId)
        expect(before).toEqual(expect.arrayContaining(after))
      }),
    )
  })

  test('the revision rises with every entry', () => {
    const one = { version: 1 }
    expect(revisionOf({ checks: [], stations: [], isStopped: false })).toBe(0)
    expect(revisionOf({ checks: [one], stations: [one, { version: 2 }], isStopped: true })).toBe(5)
  })
})

describe('how it goes on', () => {
  const clinic = { timeZone: 'America/New_York', closesAt: '17:00', holidays: [] }
  // Tuesday 3 March 2026, 10:00 in New York.
  const from = Temporal.Instant.from('2026-03-03T15:00:00Z')
  const left: LeftOver[] = [{ stationId: 'walk', importance: 'essential', why: 'planned' }]

  test('every outcome has a next step, and what is suggested is allowed', () => {
    for (const outcome of VISIT_OUTCOMES)
      for (const some of [[], left]) expect(FOLLOW_UPS_AFTER[outcome]).toContain(suggestedFollowUp(outcome, some))
  })

  test('a stop for safety and a no-show never end with nothing', () => {
    expect(FOLLOW_UPS_AFTER.stopped_for_safety).not.toContain('none')
    expect(FOLLOW_UPS_AFTER.no_show).not.toContain('none')
  })

  test('ten working days for what is essential, one after a stop, the routine time otherwise', () => {
    const at = (outcome: 'completed' | 'stopped_for_safety', some: LeftOver[]) =>
      followUpLimit(outcome, some, from, DEFAULT_POLICY, clinic)
        .toZonedDateTimeISO(clinic.timeZone)
        .toPlainDate()
        .toString()
    expect(at('completed', left)).toBe('2026-03-17')
    expect(at('stopped_for_safety', [])).toBe('2026-03-04')
    expect(at('completed', [])).toBe('2026-04-14')
  })

  test('more left over is never later', () => {
    const some = fc.array(
      fc.constantFrom(...IMPORTANCES).map((importance): LeftOver => ({ stationId: 'walk', importance, why: 'closed' })),
    )
    fc.assert(
      fc.property(some, some, fc.constantFrom(...VISIT_OUTCOMES), (few, more, outcome) => {
        const limit = (list: LeftOver[]) => followUpLimit(outcome, list, from, DEFAULT_POLICY, clinic).epochMilliseconds
        return limit([...few, ...more]) <= limit(few)
      }),
    )
  })
})
