import { eq } from 'drizzle-orm'
import { beforeEach, describe, expect, test } from 'vitest'
import type { Db } from '#db/client.ts'
import { getClinic } from '#db/queries/clinics.ts'
import { answers, messages, packets } from '#db/schema/index.ts'
import type { TrayPort } from '#lib/domain/messages/mail.ts'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import { bookVisit } from '#lib/usecases/book-visit.ts'
import { confirmItem } from '#lib/usecases/confirm-item.ts'
import { readPacket } from '#lib/usecases/read-packet.ts'
import { readTray } from '#lib/usecases/read-tray.ts'
import { readTrayMail } from '#lib/usecases/read-tray-mail.ts'
import { refitVisit } from '#lib/usecases/steps/refit-visit.ts'
import { revisePacket } from '#lib/usecases/steps/revise-packet.ts'
import {
  addReferral,
  addSmallClinic,
  CLINIC,
  contextFor,
  coordinator,
  patientOf,
  screenAgain,
} from '#tests/support/clinic.ts'
import { emptyDb } from '#tests/support/db.ts'
import { asking, askingInPerson } from '#tests/support/starts.ts'

/** Tuesday 10 March 2026, 09:00 in New York. */
const START = '2026-03-10T13:00:00Z'
let db: Db

beforeEach(async () => {
  db = (await emptyDb()).db
  await addSmallClinic(db)
  await addReferral(db, { id: 'ref_1' })
})

async function book(start = asking(START)): Promise<string> {
  const asked = { key: 'book ref_1', referralId: 'ref_1', heldVisitId: null, start }
  const result = await bookVisit(contextFor(db), asked)
  if (!result.ok) throw new Error(result.error.code)
  return result.value.visitId
}
const revise = (visitId: string) =>
  db.transaction(async (tx) => revisePacket(tx, contextFor(db, { ids: 'r' }), await getClinic(tx, CLINIC), visitId))

describe('a packet', () => {
  test('that still says it all is not revised: nobody reads the same thing twice', async () => {
    const visitId = await book()
    expect(await revise(visitId)).toEqual({ revision: 1, isNew: false, changes: [] })
    expect(await db.select().from(packets)).toHaveLength(1)
  })

  test('is revised when the helper drops out, says so, and is told once', async () => {
    const visitId = await book()
    await db.update(answers).set({ value: false }).where(eq(answers.factId, footAndAnkle.helperFact))
    await screenAgain(db, 'ref_1', '2026-03-03T13:00:00Z')
    await db.transaction((tx) => refitVisit(tx, contextFor(db, { ids: 'f' }), 'ref_1'))
    const [, second] = await db.select().from(packets).orderBy(packets.revision)
    expect(second?.revision).toBe(2)
    expect(second?.changes).toContainEqual({ code: 'helper_no_longer' })
    const told = await db.select().from(messages).where(eq(messages.kind, 'packet_changed'))
    expect(told).toMatchObject([{ visitId, status: 'queued' }])
    expect(await revise(visitId)).toMatchObject({ revision: 2, isNew: false })
  })

  test('is not made for a visit at the clinic', async () => {
    const visitId = await book(askingInPerson('2026-03-05T18:00:00Z'))
    expect(await revise(visitId)).toBeNull()
    expect(await readPacket(contextFor(db), { referralId: 'ref_1' })).toEqual({ ok: true, value: null })
  })

  test('is unread until somebody opens it, and unread again once it is revised', async () => {
    const visitId = await book()
    const patient = patientOf('ref_1')
    const read = async (now: string) => {
      const result = await readPacket(contextFor(db, { actor: patient, now }), { referralId: 'ref_1' })
      return result.ok ? result.value?.isUnread : result.error.code
    }
    expect(await read('2026-03-04T13:00:00Z')).toBe(true)
    const opening = contextFor(db, { actor: patient, now: '2026-03-04T13:00:00Z' })
    await confirmItem(opening, { visitId, item: 'packet_opened', state: 'confirmed' })
    expect(await read('2026-03-04T13:01:00Z')).toBe(false)
    await db.update(answers).set({ value: false }).where(eq(answers.factId, footAndAnkle.helperFact))
    await screenAgain(db, 'ref_1', '2026-03-05T13:00:00Z')
    const later = contextFor(db, { ids: 'f', now: '2026-03-05T13:00:00Z' })
    await db.transaction((tx) => refitVisit(tx, later, 'ref_1'))
    expect(await read('2026-03-05T13:01:00Z')).toBe(true)
  })

  // Security guarantee: a patient sees the one referral of their link.
  test('of somebody else looks the same as none at all', async () => {
    await book()
    const stranger = contextFor(db, { actor: patientOf('ref_2') })
    const others = await readPacket(stranger, { referralId: 'ref_1' })
    expect(others).toEqual({ ok: false, error: { code: 'referral_not_found' } })
    expect(await readPacket(stranger, { referralId: 'ref_9' })).toEqual(others)
  })
})

describe('the tray', () => {
  const nothing: TrayPort = { read: async () => null }

  test('counts every message, shows those asked for, what is still to come first', async () => {
    await book()
    const all = await readTray(contextFor(db), { show: null })
    expect(all).toMatchObject({
      ok: true,
      value: { counts: { queued: 4, sent: 0, failed: 0, dropped: 0 }, isCut: false },
    })
    expect(all.ok && all.value.lines.map(({ kind }) => kind)).toEqual([
      'hour_before',
      'day_before',
      'still_missing',
      'packet',
    ])
    expect(await readTray(contextFor(db), { show: 'sent' })).toMatchObject({ ok: true, value: { lines: [] } })
  })

  test('is closed to clinicians, and leads an admin to no referral', async () => {
    await book()
    const as = (role: 'clinician' | 'admin') => contextFor(db, { actor: { ...coordinator, role } })
    expect(await readTray(as('clinician'), { show: null })).toEqual({ ok: false, error: { code: 'not_allowed' } })
    const seen = await readTray(as('admin'), { show: null })
    expect(seen.ok && seen.value.lines.every(({ referralId }) => referralId === null)).toBe(true)
  })

  test('a mail of another clinic looks the same as a missing one', async () => {
    await book()
    const [message] = await db.select().from(messages)
    const messageId = message?.id ?? ''
    expect((await readTrayMail(contextFor(db), nothing, { messageId })).ok).toBe(true)
    const elsewhere = contextFor(db, { actor: { ...coordinator, clinicId: `${CLINIC}_other` } })
    const foreign = await readTrayMail(elsewhere, nothing, { messageId })
    expect(foreign).toEqual({ ok: false, error: { code: 'message_not_found' } })
    expect(await readTrayMail(contextFor(db), nothing, { messageId: '../auth-secret' })).toEqual(foreign)
  })
})
