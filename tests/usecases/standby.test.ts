/** Who waits for a sooner start is asked when one comes free: the most urgent first, one at a time, and never twice. */
import { and, eq } from 'drizzle-orm'
import { beforeEach, describe, expect, test } from 'vitest'
import type { Db } from '#db/client.ts'
import { auditEvents, messages, standbyEntries, standbyOffers, visits } from '#db/schema/index.ts'
import type { Temporal } from '#lib/base/time.ts'
import { answerOffer } from '#lib/usecases/answer-offer.ts'
import { bookVisit } from '#lib/usecases/book-visit.ts'
import { cancelVisit } from '#lib/usecases/cancel-visit.ts'
import type { Ctx, FreedTime } from '#lib/usecases/context.ts'
import { expireOffer } from '#lib/usecases/expire-offer.ts'
import { holdStart } from '#lib/usecases/hold-start.ts'
import { joinStandby } from '#lib/usecases/join-standby.ts'
import { leaveStandby } from '#lib/usecases/leave-standby.ts'
import { offerFreedTime } from '#lib/usecases/offer-freed-time.ts'
import { readMyOffer } from '#lib/usecases/read-my-offer.ts'
import { readStandby } from '#lib/usecases/read-standby.ts'
import { addReferral, addSmallClinic, CLINIC, contextFor, type NewReferral, patientOf } from '#tests/support/clinic.ts'
import { emptyDb } from '#tests/support/db.ts'
import { asking } from '#tests/support/starts.ts'

let db: Db
let freed: (FreedTime & { dueAt: Temporal.Instant })[]
let ended: { offerId: string; dueAt: Temporal.Instant }[]

/** Tuesdays, 09:00 New York. */
const NINE = '2026-03-10T13:00:00Z'
const LATER = '2026-03-31T13:00:00Z'
const system = { kind: 'system', clinicId: CLINIC, id: 'system' } as const

beforeEach(async () => {
  db = (await emptyDb()).db
  await addSmallClinic(db)
  freed = []
  ended = []
})

let contexts = 0
/** Keeps what is put on the queue, so that a test runs it when it wants. */
function context(options: Parameters<typeof contextFor>[1] = {}): Ctx {
  contexts += 1
  const ctx = contextFor(db, { ids: `_${contexts}`, ...options })
  const queue: Ctx['queue'] = {
    ...ctx.queue,
    enqueueFreedTime: async (_tx, { clinicId: _, ...job }) => void freed.push(job),
    enqueueOfferEnd: async (_tx, { clinicId: _, ...job }) => void ended.push(job),
  }
  return { ...ctx, queue }
}

async function book(id: string, startsAt: string, referral: Partial<NewReferral> = {}): Promise<string> {
  await addReferral(db, { id, ...referral })
  const booked = await bookVisit(context(), {
    key: `book ${id}`,
    referralId: id,
    heldVisitId: null,
    start: asking(startsAt),
  })
  if (!booked.ok) throw new Error(JSON.stringify(booked.error))
  return booked.value.visitId
}

async function wait(referralId: string, noticeHours = 24, now?: string): Promise<void> {
  const joined = await joinStandby(context(now ? { now } : {}), { referralId, noticeHours })
  if (!joined.ok) throw new Error(joined.error.code)
}

/** Runs the jobs that were put on the queue, as the worker would. */
async function runFreed(now?: string): Promise<string[]> {
  const jobs = freed.splice(0)
  const offered: string[] = []
  for (const job of jobs) {
    const result = await offerFreedTime(context({ actor: system, ...(now && { now }) }), job)
    if (result.ok) offered.push(...result.value.offerIds)
  }
  return offered
}

async function free(visitId: string): Promise<string[]> {
  await cancelVisit(context(), { key: `cancel ${visitId}`, visitId, version: 1, because: 'They called' })
  return runFreed()
}

const offers = () => db.select().from(standbyOffers).orderBy(standbyOffers.offeredAt, standbyOffers.id)
const row = async (id: string) => (await db.select().from(visits).where(eq(visits.id, id)))[0]
const accept = (offerId: string, ctx = context(), key = 'say yes now') =>
  answerOffer(ctx, { key, offerId, answer: 'accept' })
const decline = (offerId: string) => answerOffer(context(), { key: `no to ${offerId}`, offerId, answer: 'decline' })

describe('a start that comes free', () => {
  test('is held for whoever waits, who is told, and nobody else can have it', async () => {
    const gone = await book('ref_gone', NINE)
    await book('ref_1', LATER)
    await wait('ref_1')
    const [offerId] = await free(gone)
    const [offer] = await offers()
    expect(offer).toMatchObject({ id: offerId, referralId: 'ref_1', outcome: null })
    expect(offer?.startsAt.toString()).toBe(NINE)
    // Four hours to answer, from 08:00 in New York.
    expect(offer?.expiresAt.toString()).toBe('2026-03-02T17:00:00Z')
    expect(await row(offer?.visitId ?? '')).toMatchObject({ status: 'held', isOffer: true })
    const told = await db.select().from(messages).where(eq(messages.kind, 'standby_offer'))
    expect(told).toMatchObject([{ referralId: 'ref_1', visitId: offer?.visitId, status: 'queued' }])
    expect(ended.map(({ offerId: id }) => id)).toEqual([offerId])
    await addReferral(db, { id: 'ref_else' })
    const start = asking(NINE)
    const taken = await holdStart(context(), { key: 'hold it too', referralId: 'ref_else', start })
    expect(taken).toMatchObject({ ok: false, error: { code: 'start_taken' } })
  })

  test('goes to the one who has to be seen first, whoever was on the list first', async () => {
    const gone = await book('ref_gone', NINE)
    await book('ref_calm', LATER)
    await book('ref_soon', '2026-03-31T13:45:00Z', { seeBy: '2026-04-01T21:00:00Z' })
    await wait('ref_calm')
    await wait('ref_soon')
    await free(gone)
    expect((await offers()).map(({ referralId }) => referralId)).toEqual(['ref_soon'])
  })

  test('is not offered at night, and the night is no time to answer', async () => {
    const gone = await book('ref_gone', NINE)
    await book('ref_1', LATER)
    await wait('ref_1')
    await cancelVisit(context(), { key: 'cancel at night', visitId: gone, version: 1, because: 'They called' })
    // 18:30 in New York: an hour and a half is left until the quiet hours begin at 20:00.
    await runFreed('2026-03-02T23:30:00Z')
    const [offer] = await offers()
    expect(offer?.expiresAt.toString()).toBe('2026-03-03T15:30:00Z')
  })

  test('is never kept past the notice that the person needs', async () => {
    const gone = await book('ref_gone', '2026-03-03T14:00:00Z')
    await book('ref_1', LATER)
    await wait('ref_1', 24)
    await free(gone)
    // 24 hours before 09:00 on Tuesday is 09:00 today, an hour from now.
    expect((await offers())[0]?.expiresAt.toString()).toBe('2026-03-02T14:00:00Z')
  })

  test('is offered to nobody whom it would not bring forward by a day, or who could not come', async () => {
    const gone = await book('ref_gone', NINE)
    await book('ref_near', '2026-03-10T13:45:00Z')
    await wait('ref_near')
    await addReferral(db, { id: 'ref_thursdays', patientWindows: [{ weekday: 4, from: '08:00', to: '18:00' }] })
    await wait('ref_thursdays')
    await addReferral(db, { id: 'ref_nj', placeState: 'NJ' })
    await wait('ref_nj')
    await free(gone)
    expect(await offers()).toEqual([])
  })

  test('holds two visits where it is long enough, one offer a start', async () => {
    const first = await book('ref_gone', NINE)
    const second = await book('ref_gone_too', '2026-03-10T13:45:00Z')
    await book('ref_1', LATER)
    await book('ref_2', '2026-03-31T13:45:00Z')
    await wait('ref_1')
    await wait('ref_2')
    await cancelVisit(context(), { key: 'cancel first', visitId: first, version: 1, because: 'They called' })
    await cancelVisit(context(), { key: 'cancel second', visitId: second, version: 1, because: 'They called' })
    await runFreed()
    expect((await offers()).map(({ referralId, startsAt }) => [referralId, startsAt.toString()])).toEqual([
      ['ref_1', NINE],
      ['ref_2', '2026-03-10T13:45:00Z'],
    ])
  })

  test('is offered once, however often the job is run', async () => {
    const gone = await book('ref_gone', NINE)
    await book('ref_1', LATER)
    await wait('ref_1')
    await cancelVisit(context(), { key: 'cancel first', visitId: gone, version: 1, because: 'They called' })
    freed.push(...freed, ...freed)
    expect(await runFreed()).toHaveLength(1)
    expect(await offers()).toHaveLength(1)
  })

  test('that somebody is holding this minute is offered when their hold has run out', async () => {
    const gone = await book('ref_gone', NINE)
    await book('ref_1', LATER)
    await wait('ref_1')
    await addReferral(db, { id: 'ref_quick' })
    await cancelVisit(context(), { key: 'cancel first', visitId: gone, version: 1, because: 'They called' })
    await holdStart(context(), { key: 'hold it first', referralId: 'ref_quick', start: asking(NINE) })
    // Two more stretches of that morning are free, but nothing that was taken by the visit that is gone.
    const [job] = freed
    expect(await runFreed()).toEqual([])
    expect(freed).toMatchObject([{ from: job?.from, to: job?.to }])
    expect(freed[0]?.dueAt.toString()).toBe('2026-03-02T13:10:01Z')
    expect(await runFreed('2026-03-02T13:10:01Z')).toHaveLength(1)
  })
})

describe('an answer', () => {
  async function offered(): Promise<{ offerId: string; visitId: string }> {
    const gone = await book('ref_gone', NINE)
    const visitId = await book('ref_1', LATER)
    await wait('ref_1')
    const [offerId = ''] = await free(gone)
    return { offerId, visitId }
  }

  test('yes moves the visit in place, tells its patient, and what they had is offered on', async () => {
    const { offerId, visitId } = await offered()
    const before = await row(visitId)
    expect(await accept(offerId)).toEqual({ ok: true, value: { offerId, visit: { visitId, startsAt: NINE } } })
    expect(await row(visitId)).toMatchObject({
      status: 'booked',
      calendarUid: before?.calendarUid,
      calendarSequence: 1,
      isOffer: false,
    })
    expect((await row(visitId))?.startsAt.toString()).toBe(NINE)
    expect(await db.select().from(messages).where(eq(messages.kind, 'moved'))).toHaveLength(1)
    expect(await offers()).toMatchObject([{ outcome: 'accepted' }])
    expect(await db.select().from(standbyEntries)).toMatchObject([{ ended: 'served' }])
    expect(freed.map(({ from }) => from.toString())).toEqual([LATER])
    const live = await db
      .select()
      .from(visits)
      .where(and(eq(visits.clinicId, CLINIC), eq(visits.status, 'held')))
    expect(live).toEqual([])
  })

  test('yes books the first visit of somebody who had none', async () => {
    const gone = await book('ref_gone', NINE)
    await addReferral(db, { id: 'ref_new' })
    await wait('ref_new')
    const [offerId = ''] = await free(gone)
    const answered = await accept(offerId, context({ actor: patientOf('ref_new') }))
    expect(answered).toMatchObject({ ok: true, value: { visit: { startsAt: NINE } } })
    expect(await db.select().from(messages).where(eq(messages.kind, 'packet'))).toHaveLength(2)
  })

  test('no keeps the visit, and the next one is asked', async () => {
    const { offerId, visitId } = await offered()
    await book('ref_2', '2026-03-31T13:45:00Z')
    await wait('ref_2')
    expect(await decline(offerId)).toEqual({ ok: true, value: { offerId, visit: null } })
    await runFreed()
    expect((await row(visitId))?.startsAt.toString()).toBe(LATER)
    const made = await offers()
    expect(made.find(({ id }) => id === offerId)?.outcome).toBe('declined')
    expect(made.find(({ id }) => id !== offerId)).toMatchObject({ referralId: 'ref_2', outcome: null })
  })

  test('whoever said no is not asked about the same start again', async () => {
    const { offerId } = await offered()
    await decline(offerId)
    expect(await runFreed()).toEqual([])
  })

  test('an offer that ran out is over, and the next one is asked', async () => {
    const { offerId } = await offered()
    const after = '2026-03-02T17:00:00Z'
    await book('ref_2', '2026-03-31T13:45:00Z')
    await wait('ref_2')
    // Before its time is up nothing happens; afterwards a yes comes too late, whether or not the job has run.
    expect(await expireOffer(context({ actor: system }), { offerId })).toEqual({
      ok: true,
      value: { hasExpired: false },
    })
    expect(await accept(offerId, context({ now: after }))).toEqual({ ok: false, error: { code: 'offer_over' } })
    expect(await expireOffer(context({ actor: system, now: after }), { offerId })).toMatchObject({
      value: { hasExpired: true },
    })
    expect(await expireOffer(context({ actor: system, now: after }), { offerId })).toMatchObject({
      value: { hasExpired: false },
    })
    await runFreed(after)
    expect((await offers()).map(({ referralId, outcome }) => [referralId, outcome])).toEqual([
      ['ref_1', 'expired'],
      ['ref_2', null],
    ])
  })

  test('the first answer counts: of the patient and the clinic, the second is told that it is over', async () => {
    const { offerId } = await offered()
    const [one, two] = await Promise.all([
      accept(offerId, context({ actor: patientOf('ref_1') }), 'the patient says yes'),
      accept(offerId, context(), 'the clinic says yes'),
    ])
    expect([one.ok, two.ok].filter(Boolean)).toHaveLength(1)
    expect([one, two].find(({ ok }) => !ok)).toEqual({ ok: false, error: { code: 'offer_over' } })
    expect(await db.select().from(auditEvents).where(eq(auditEvents.action, 'offer.accepted'))).toHaveLength(1)
  })

  test('sent twice it is given once', async () => {
    const { offerId } = await offered()
    const first = await accept(offerId)
    expect(await accept(offerId)).toEqual(first)
  })

  test('nobody answers for somebody else', async () => {
    const { offerId } = await offered()
    expect(await accept(offerId, context({ actor: patientOf('ref_gone') }))).toEqual({
      ok: false,
      error: { code: 'offer_not_found' },
    })
  })
})

describe('the list', () => {
  test('has a referral once, with the notice it was last given', async () => {
    await book('ref_1', LATER)
    await wait('ref_1', 24)
    await wait('ref_1', 48)
    expect(await db.select().from(standbyEntries)).toMatchObject([{ noticeHours: 48, endedAt: null }])
  })

  test('is left by whoever wants to, and what they were offered goes on', async () => {
    const gone = await book('ref_gone', NINE)
    await book('ref_1', LATER)
    await wait('ref_1')
    await free(gone)
    expect(await leaveStandby(context({ actor: patientOf('ref_1') }), { referralId: 'ref_1' })).toMatchObject({
      value: { hasLeft: true },
    })
    expect(await offers()).toMatchObject([{ outcome: 'withdrawn' }])
    expect(await db.select().from(standbyEntries)).toMatchObject([{ ended: 'left' }])
    expect(freed.map(({ from }) => from.toString())).toEqual([NINE])
    expect(await leaveStandby(context(), { referralId: 'ref_1' })).toMatchObject({ value: { hasLeft: false } })
  })

  test('shows staff who waits, who is asked and until when, and what came of it', async () => {
    const gone = await book('ref_gone', NINE)
    await book('ref_1', LATER)
    await book('ref_2', '2026-03-31T13:45:00Z')
    await wait('ref_1')
    await wait('ref_2')
    const [offerId = ''] = await free(gone)
    const { waiting, live, settled } = await readStandby(context(), { referralId: null })
    expect(waiting.map(({ referralId }) => referralId)).toEqual(['ref_1', 'ref_2'])
    expect(live).toMatchObject([{ id: offerId, patientName: 'Pat Of ref_1', isOver: false }])
    expect(settled).toEqual([])
    await decline(offerId)
    expect((await readStandby(context(), { referralId: null })).settled).toMatchObject([{ outcome: 'declined' }])
  })

  test('shows a patient what they are offered beside what they have', async () => {
    const gone = await book('ref_gone', NINE)
    await book('ref_1', LATER)
    await wait('ref_1')
    await free(gone)
    const mine = await readMyOffer(context({ actor: patientOf('ref_1') }), { referralId: 'ref_1' })
    expect(mine).toMatchObject({
      ok: true,
      value: {
        noticeHours: 24,
        bookedAt: LATER,
        offer: { outcome: 'live', startsAt: NINE, clinicianName: 'Alex Ames' },
      },
    })
    expect(await readMyOffer(context({ actor: patientOf('ref_1') }), { referralId: 'ref_gone' })).toMatchObject({
      ok: false,
    })
  })

  test('a hold of their own and an offer stand beside each other', async () => {
    const gone = await book('ref_gone', NINE)
    await addReferral(db, { id: 'ref_new' })
    await wait('ref_new')
    await free(gone)
    const start = asking('2026-03-17T13:00:00Z')
    expect((await holdStart(context(), { key: 'hold another', referralId: 'ref_new', start })).ok).toBe(true)
    expect(await offers()).toMatchObject([{ outcome: null }])
    const held = await db.select().from(visits).where(eq(visits.status, 'held'))
    expect(held.map(({ isOffer }) => isOffer).sort()).toEqual([false, true])
  })
})
