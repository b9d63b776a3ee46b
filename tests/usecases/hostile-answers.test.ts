/** Answers that nobody means well, and two phones with one link: refused or kept as they are, never a fault, never a loss. */
import { eq } from 'drizzle-orm'
import { beforeEach, describe, expect, test } from 'vitest'
import type { Db } from '#db/client.ts'
import { answers, auditEvents, homeChecks } from '#db/schema/index.ts'
import { answerQuestions } from '#lib/usecases/answer-questions.ts'
import { holdStart } from '#lib/usecases/hold-start.ts'
import { homeDetailsInput, saveHomeDetails } from '#lib/usecases/save-home-details.ts'
import { addReferral, addSmallClinic, patientOf } from '#tests/support/clinic.ts'
import { emptyDb } from '#tests/support/db.ts'
import { addUnasked, answering, as } from '#tests/support/home-check.ts'
import { asking } from '#tests/support/starts.ts'

let db: Db

beforeEach(async () => {
  db = (await emptyDb()).db
  await addSmallClinic(db)
  await addUnasked(db, { id: 'ref_1' })
})

const contact = { step: 'contact', callbackPhone: '503-555-0142', contactName: 'Alex', contactPhone: '503-555-0143' }
const place = { step: 'place', placeAddress: '7 Sample Lane', placeState: 'OR', timeZone: 'America/Los_Angeles' }
const times = { step: 'times', days: [], parts: [], helperName: 'Sam', helperDays: [], helperParts: [] }

describe('details', () => {
  const MANY = 'x'.repeat(10_000_000)
  test.each([
    ['a name of 10 MB', { ...contact, contactName: MANY }],
    ['a name with U+0000', { ...contact, contactName: 'Alex\u0000' }],
    ['a name that turns the line around', { ...contact, contactName: 'Alex\u202E' }],
    ['half a character', { ...times, helperName: '\uD83D' }],
    ['a number with nothing to dial', { ...contact, callbackPhone: 'call my neighbor' }],
    ['a number that never ends', { ...contact, callbackPhone: '5'.repeat(100) }],
    ['a thing in place of a name', { ...contact, contactName: { $ne: null } }],
    ['a list in place of an address', { ...place, placeAddress: ['7 Sample Lane'] }],
    ['a state that is none', { ...place, placeState: '<b>OR</b>' }],
    ['a zone that is none', { ...place, timeZone: '../../etc/passwd' }],
    ['days that are none', { ...times, days: ['8', 'NaN'] }],
    ['a thousand days', { ...times, days: Array.from({ length: 1000 }, () => '1') }],
    ['no step', { ...contact, step: '__proto__' }],
  ])('with %s are refused at the edge', (_, input) => {
    expect(homeDetailsInput.safeParse(input).success).toBe(false)
  })

  test.each(['שרה', 'فاطمة الزهراء', '👵🏿 Nana', '<script>alert(1)</script>', `"'; drop table patients; --`])(
    'of %s are kept as they were typed',
    async (contactName) => {
      const input = homeDetailsInput.parse({ ...contact, contactName })
      expect(await saveHomeDetails(as(db, patientOf('ref_1')), 'ref_1', input)).toMatchObject({ ok: true })
      const [kept] = await db.select().from(homeChecks).where(eq(homeChecks.referralId, 'ref_1'))
      expect(kept?.contactName).toBe(contactName)
    },
  )
})

describe('an answer', () => {
  test.each([
    ['fell', 'x'.repeat(10_000_000)],
    ['fell', '<script>'],
    ['fell', 'yes\u0000'],
    ['lane_m', '9'.repeat(100_000)],
    ['lane_m', '1e308'],
    ['lane_m', '-0'],
    ['lane_m', 'Infinity'],
    ['lane_m', '٣'],
    ['__proto__', 'yes'],
    ['fell\u0000', 'yes'],
    ['age_years', '20'],
  ])('to %j that is not one is refused, and nothing is kept', async (factId, raw) => {
    const ctx = as(db, patientOf('ref_1'))
    const result = await answerQuestions(ctx, { referralId: 'ref_1', given: [{ factId, raw }] })
    expect(result).toMatchObject({ ok: false, error: { code: 'answers_refused' } })
    expect(await db.select().from(answers)).toEqual([])
  })

  test('in a unit that is none is refused', async () => {
    const given = [{ factId: 'lane_m', raw: '12', unit: 'constructor' }]
    const result = await answerQuestions(as(db, patientOf('ref_1')), { referralId: 'ref_1', given })
    expect(result).toMatchObject({ ok: false, error: { code: 'answers_refused' } })
  })
})

test('a command whose key the database cannot keep is nobody’s command', async () => {
  await addReferral(db, { id: 'ref_2' })
  const start = asking('2026-03-03T16:00:00Z')
  const held = await holdStart(as(db, patientOf('ref_2')), {
    key: 'cmd_\u0000_long_enough',
    referralId: 'ref_2',
    start,
  })
  expect(held).toEqual({ ok: false, error: { code: 'command_of_someone_else' } })
})

describe('one link on two phones', () => {
  test('both answer, each answer is kept, and the later one stands', async () => {
    const [one, other] = [
      as(db, patientOf('ref_1'), '2026-03-01T15:00:00Z'),
      as(db, patientOf('ref_1'), '2026-03-01T15:00:05Z'),
    ]
    const give = (ctx: typeof one, factId: string, raw: string) =>
      answerQuestions(ctx, { referralId: 'ref_1', given: [{ factId, raw }] })
    const [first, second] = await Promise.all([give(one, 'fell', 'no'), give(other, 'strap', 'yes')])
    expect([first.ok, second.ok]).toEqual([true, true])
    expect(await give(one, 'fell', 'yes')).toMatchObject({ ok: true })
    expect(await give(other, 'strap', 'no')).toMatchObject({ ok: true })
    const kept = Object.fromEntries((await db.select().from(answers)).map(({ factId, value }) => [factId, value]))
    expect(kept).toEqual({ fell: true, strap: false })
    const lines = await db.select().from(auditEvents).where(eq(auditEvents.action, 'check.answered'))
    expect(lines.map(({ after }) => after)).toEqual(
      expect.arrayContaining([{ fell: false }, { strap: true }, { fell: true }, { strap: false }]),
    )
  })

  test('the same answer twice is one line of the audit', async () => {
    const both = await Promise.all([answering(db, 'ref_1', { fell: true }), answering(db, 'ref_1', { fell: true })])
    expect(both.map(({ ok }) => ok)).toEqual([true, true])
    expect(await db.select().from(auditEvents).where(eq(auditEvents.action, 'check.answered'))).toHaveLength(1)
  })
})
