import { beforeEach, describe, expect, test } from 'vitest'
import type { Db } from '#db/client.ts'
import { auditEvents, readinessMarks, rehearsals } from '#db/schema/index.ts'
import type { Readings } from '#lib/domain/rehearsal/readings.ts'
import { bookVisit } from '#lib/usecases/book-visit.ts'
import { readRehearsal } from '#lib/usecases/read-rehearsal.ts'
import { saveRehearsal } from '#lib/usecases/save-rehearsal.ts'
import { addReferral, addSmallClinic, contextFor, patientOf } from '#tests/support/clinic.ts'
import { emptyDb } from '#tests/support/db.ts'
import { asking, askingInPerson } from '#tests/support/starts.ts'

/** Tuesday 10 March 2026, 09:00 in New York. */
const START = '2026-03-10T13:00:00Z'
const patient = patientOf('ref_1')
let db: Db

beforeEach(async () => {
  db = (await emptyDb()).db
  await addSmallClinic(db)
  await addReferral(db, { id: 'ref_1' })
})

const book = (start = asking(START)) =>
  bookVisit(contextFor(db), { key: 'book ref_1', referralId: 'ref_1', heldVisitId: null, start })

const seen = (setUpId: string, change: Partial<Readings> = {}): Readings => ({
  setUpId,
  frame: { width: 720, height: 1280, perSecond: 30 },
  brightness: 120,
  contrast: 50,
  sharpness: 0.1,
  shake: 0,
  line: { roundTripMs: 60, downKbps: 8000 },
  ...change,
})
const save = (readings: Readings, key = 'try ref_1') =>
  saveRehearsal(contextFor(db, { actor: patient, ids: key }), 'ref_1', { key, readings })

describe('a camera rehearsal', () => {
  test('is about the set-ups of this exam, before a visit is booked and after', async () => {
    const before = await readRehearsal(contextFor(db, { actor: patient }), { referralId: 'ref_1' })
    await book()
    const after = await readRehearsal(contextFor(db, { actor: patient }), { referralId: 'ref_1' })
    const idsOf = (result: typeof before) => (result.ok ? result.value.setUps.map(({ setUpId }) => setUpId) : [])
    expect(idsOf(before).length).toBeGreaterThan(2)
    expect(new Set(idsOf(after))).toEqual(new Set(idsOf(before)))
  })

  test('keeps the numbers, says what to mend, and is marked on the visit', async () => {
    await book()
    const dark = seen('seat_front', { brightness: 30 })
    expect(await save(dark)).toEqual({ ok: true, value: { advice: ['too_dark'] } })
    expect(await db.select().from(rehearsals)).toMatchObject([{ readings: dark, advice: ['too_dark'] }])
    expect(await db.select().from(readinessMarks)).toMatchObject([{ item: 'rehearsal', state: 'confirmed' }])
    const deeds = (await db.select().from(auditEvents)).map(({ action }) => action)
    expect(deeds).toContain('rehearsal.done')
    const page = await readRehearsal(contextFor(db, { actor: patient }), { referralId: 'ref_1' })
    expect(page.ok && page.value.tried).toMatchObject([{ setUpId: 'seat_front', advice: ['too_dark'] }])
  })

  test('before a visit is booked is kept, and marks nothing', async () => {
    expect(await save(seen('seat_front'))).toEqual({ ok: true, value: { advice: [] } })
    expect(await db.select().from(rehearsals)).toHaveLength(1)
    expect(await db.select().from(readinessMarks)).toEqual([])
  })

  test('that is sent twice counts once', async () => {
    await save(seen('seat_front'))
    await save(seen('seat_front'))
    expect(await db.select().from(rehearsals)).toHaveLength(1)
  })

  test('of a set-up that is not in the exam, or of somebody else, is refused', async () => {
    expect(await save(seen('moon'))).toEqual({ ok: false, error: { code: 'no_such_set_up' } })
    const other = contextFor(db, { actor: patientOf('ref_2') })
    const sent = { key: 'try of other', readings: seen('seat_front') }
    expect(await saveRehearsal(other, 'ref_1', sent)).toEqual({ ok: false, error: { code: 'referral_not_found' } })
    expect(await db.select().from(rehearsals)).toEqual([])
  })

  test('has nothing to try where the visit is at the clinic', async () => {
    await book(askingInPerson('2026-03-05T18:00:00Z'))
    const page = await readRehearsal(contextFor(db, { actor: patient }), { referralId: 'ref_1' })
    expect(page.ok && page.value.setUps.length).toBe(0)
  })
})
