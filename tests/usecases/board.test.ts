import { and, eq, isNull } from 'drizzle-orm'
import { beforeEach, describe, expect, test } from 'vitest'
import type { Db } from '#db/client.ts'
import { licences, packets, readinessMarks, tasks, visits } from '#db/schema/index.ts'
import { Temporal } from '#lib/base/time.ts'
import { bookVisit } from '#lib/usecases/book-visit.ts'
import { confirmItem } from '#lib/usecases/confirm-item.ts'
import { readBoard, readBoardInput } from '#lib/usecases/read-board.ts'
import { readMyVisit } from '#lib/usecases/read-my-visit.ts'
import { readVisit } from '#lib/usecases/read-visit.ts'
import { reportHelperLost } from '#lib/usecases/report-helper-lost.ts'
import { addReferral, addSmallClinic, CLINIC, contextFor, patientOf } from '#tests/support/clinic.ts'
import { emptyDb } from '#tests/support/db.ts'
import { asking, askingInPerson } from '#tests/support/starts.ts'

let db: Db
let visitId: string

/** Tuesday 3 March 2026, 09:00 in New York, the day after "now". */
const TOMORROW = '2026-03-03'

beforeEach(async () => {
  db = (await emptyDb()).db
  await addSmallClinic(db)
  await addReferral(db, { id: 'ref_1' })
  visitId = await bookAt('ref_1', asking('2026-03-03T14:00:00Z'))
})

async function bookAt(referralId: string, start: ReturnType<typeof asking>): Promise<string> {
  const result = await bookVisit(contextFor(db, { ids: referralId }), {
    key: `book ${referralId}`,
    referralId,
    heldVisitId: null,
    start,
  })
  if (!result.ok) throw new Error(result.error.code)
  return result.value.visitId
}

async function board(day: string | null = TOMORROW) {
  const result = await readBoard(contextFor(db), readBoardInput.parse({ day }))
  if (!result.ok) throw new Error(result.error.code)
  return result.value
}
const stateOf = async (item: string) => (await board()).visits[0]?.items.find((each) => each.item === item)?.state

describe('the board of a day', () => {
  test("shows the day's visits and nothing of another day", async () => {
    await addReferral(db, { id: 'ref_2' })
    await bookAt('ref_2', asking('2026-03-10T13:00:00Z'))
    expect((await board()).visits.map((visit) => visit.referralId)).toEqual(['ref_1'])
    expect((await board(null)).visits).toEqual([])
  })

  test('names who acts on what is still open', async () => {
    const [visit] = (await board()).visits
    expect(visit?.patientName).toBe('Pat Of ref_1')
    const open = visit?.items.filter((item) => item.state !== 'done' && item.state !== 'not_needed')
    expect(open?.map(({ item, actor }) => `${item}: ${actor}`)).toEqual([
      'equipment: patient',
      'helper: helper',
      'packet_opened: patient',
      // The fixture gives an address but nobody to call.
      'place_and_contact: patient',
    ])
  })

  test('shows the change as soon as the patient confirms the helper', async () => {
    expect(await stateOf('helper')).toBe('late')
    const asPatient = contextFor(db, { actor: patientOf('ref_1') })
    expect((await confirmItem(asPatient, { visitId, item: 'helper', state: 'confirmed' })).ok).toBe(true)
    expect(await stateOf('helper')).toBe('done')
  })

  // Safety: whoever looks for what is ready must not be shown a patient about whom nobody has called yet.
  test('does not count a visit as ready, nor as waiting, while a red flag on its referral is open', async () => {
    expect((await board()).counts).toMatchObject({ all: 1, late: 1, stuck: 0 })
    const at = Temporal.Instant.from('2026-03-02T15:00:00Z')
    const flag = { clinicId: CLINIC, id: 'tsk_1', referralId: 'ref_1', kind: 'urgent_flag', dedupeKey: 'flag' } as const
    await db.insert(tasks).values({ ...flag, openedAt: at, dueAt: at, detail: {} })
    expect(await board()).toMatchObject({ counts: { all: 1, late: 0, stuck: 1 }, visits: [{ worst: 'cannot' }] })
    await db.update(tasks).set({ doneAt: at, doneBy: 'stf_1' })
    expect((await board()).counts).toMatchObject({ all: 1, late: 1, stuck: 0 })
  })

  test('says that a clinician without a licence for the place cannot see the patient', async () => {
    await db.update(licences).set({ validTo: '2026-03-02' }).where(eq(licences.id, 'lic_1'))
    expect(await stateOf('licence')).toBe('cannot')
  })

  test('a visit at the clinic is judged by the licence of its site, not of the home', async () => {
    await addReferral(db, { id: 'ref_3', answers: {}, placeState: 'NJ' })
    await db.update(visits).set({ status: 'cancelled', cancelledBecause: 'test' }).where(eq(visits.id, visitId))
    await addReferral(db, { id: 'ref_4', placeState: 'NJ' })
    await bookAt('ref_4', askingInPerson('2026-03-05T18:00:00Z'))
    const [visit] = (await board('2026-03-05')).visits
    expect(visit?.items.find((item) => item.item === 'licence')?.state).toBe('done')
  })

  test('says of each visit what its own page says', async () => {
    await addReferral(db, { id: 'ref_2', placeState: 'NJ' })
    await bookAt('ref_2', askingInPerson('2026-03-05T18:00:00Z'))
    for (const day of [TOMORROW, '2026-03-05']) {
      const { visits: shown } = await board(day)
      expect(shown).toHaveLength(1)
      for (const { lastChange: _, ...visit } of shown) {
        const own = await readVisit(contextFor(db), { visitId: visit.visitId })
        expect(own.ok && visit).toEqual(own.ok && expect.objectContaining(own.value.visit))
      }
    }
  })

  test('is not for patients', async () => {
    expect(
      await readBoard(contextFor(db, { actor: patientOf('ref_1') }), readBoardInput.parse({ day: TOMORROW })),
    ).toEqual({
      ok: false,
      error: { code: 'not_allowed' },
    })
  })
})

describe('vouching for an item', () => {
  test("another patient's visit looks the same as a missing one", async () => {
    await addReferral(db, { id: 'ref_2' })
    const asOther = contextFor(db, { actor: patientOf('ref_2') })
    const others = await confirmItem(asOther, { visitId, item: 'helper', state: 'confirmed' })
    const missing = await confirmItem(asOther, { visitId: 'vis_none', item: 'helper', state: 'confirmed' })
    expect(others).toEqual(missing)
    expect(await db.select().from(readinessMarks)).toEqual([])
  })

  test("another clinic's visit looks the same as a missing one", async () => {
    const elsewhere = contextFor(db, {
      actor: { kind: 'staff', clinicId: 'cln_2', id: 'stf_9', role: 'coordinator', clinicianId: null },
    })
    expect(await readVisit(elsewhere, { visitId })).toEqual({ ok: false, error: { code: 'visit_not_found' } })
  })

  test('what was said stays on file when it is taken back', async () => {
    const ctx = contextFor(db, { actor: patientOf('ref_1') })
    await confirmItem(ctx, { visitId, item: 'equipment', state: 'confirmed' })
    const later = contextFor(db, { actor: patientOf('ref_1'), now: '2026-03-02T14:00:00Z', ids: 'later' })
    await confirmItem(later, { visitId, item: 'equipment', state: 'withdrawn' })
    expect(await stateOf('equipment')).toBe('cannot')
    expect(await db.select().from(readinessMarks)).toHaveLength(2)
  })
})

describe("the helper can't come", () => {
  const report = () =>
    reportHelperLost(contextFor(db, { actor: patientOf('ref_1'), now: '2026-03-02T15:00:00Z', ids: 'lost' }), {
      referralId: 'ref_1',
    })

  test('everything that needs a helper leaves the plan and the packet at once', async () => {
    const before = await readVisit(contextFor(db), { visitId })
    expect(before.ok && before.value.plan?.helperWindow).not.toBeNull()
    expect(await report()).toEqual({ ok: true, value: { visitId } })
    const after = await readVisit(contextFor(db), { visitId })
    expect(after.ok && after.value.plan?.steps.filter((step) => step.helper)).toEqual([])
    const [newest] = await db
      .select()
      .from(packets)
      .where(and(eq(packets.visitId, visitId), eq(packets.revision, 2)))
    expect(newest?.content).toMatchObject({ helper: null })
  })

  test('the coordinator gets one task that says so, however often it is said', async () => {
    await report()
    await reportHelperLost(contextFor(db, { actor: patientOf('ref_1'), now: '2026-03-02T15:05:00Z', ids: 'again' }), {
      referralId: 'ref_1',
    })
    const open = await db.select().from(tasks).where(isNull(tasks.doneAt))
    expect(open.map((task) => [task.kind, task.detail])).toEqual([['replan', { visitId, reasons: ['helper_lost'] }]])
  })

  test('the patient reads that it was understood', async () => {
    await report()
    const mine = await readMyVisit(contextFor(db, { actor: patientOf('ref_1') }), { referralId: 'ref_1' })
    expect(mine).toMatchObject({ ok: true, value: { helper: 'cannot', helperWindow: null } })
  })

  test('a patient cannot report it for somebody else', async () => {
    await addReferral(db, { id: 'ref_2' })
    const result = await reportHelperLost(contextFor(db, { actor: patientOf('ref_2') }), { referralId: 'ref_1' })
    expect(result).toEqual({ ok: false, error: { code: 'referral_not_found' } })
  })

  test('before anything is booked it only changes the answer', async () => {
    await addReferral(db, { id: 'ref_2' })
    const result = await reportHelperLost(contextFor(db, { actor: patientOf('ref_2') }), { referralId: 'ref_2' })
    expect(result).toEqual({ ok: true, value: { visitId: null } })
    expect(await db.select().from(tasks).where(eq(tasks.clinicId, CLINIC))).toEqual([])
  })
})
