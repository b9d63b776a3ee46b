/** Sessions are kept by people: what a change does to visits that are booked is shown first and never happens silently. */
import { and, eq, isNull } from 'drizzle-orm'
import { beforeEach, describe, expect, test } from 'vitest'
import type { Db } from '#db/client.ts'
import { auditEvents, clinicSessions, sessionExceptions, sites, tasks, visits } from '#db/schema/index.ts'
import type { RawSession } from '#lib/domain/calendar/session-draft.ts'
import { bookVisit } from '#lib/usecases/book-visit.ts'
import { cancelVisit } from '#lib/usecases/cancel-visit.ts'
import { changeSessionDate } from '#lib/usecases/change-session-date.ts'
import type { Ctx } from '#lib/usecases/context.ts'
import { moveVisit } from '#lib/usecases/move-visit.ts'
import { readSession, readSessions } from '#lib/usecases/read-sessions.ts'
import { type SaveSessionInput, saveSession } from '#lib/usecases/save-session.ts'
import { type SteerSessionInput, steerSession } from '#lib/usecases/steer-session.ts'
import { addReferral, addSmallClinic, CLINIC, contextFor, coordinator } from '#tests/support/clinic.ts'
import { emptyDb } from '#tests/support/db.ts'
import { asking } from '#tests/support/starts.ts'

let db: Db
let ctx: Ctx

beforeEach(async () => {
  db = (await emptyDb()).db
  await addSmallClinic(db)
  ctx = contextFor(db)
})

/** Ames, every Tuesday 14:00 to 16:00 by video from 10 March 2026. */
const typed: RawSession = {
  mode: 'video',
  siteId: '',
  roomId: '',
  timeZone: 'America/New_York',
  startsOn: '2026-03-10',
  opensAt: '14:00',
  closesAt: '16:00',
  repeat: 'weekly',
  every: '1',
  weekdays: ['2'],
  nth: '1',
  weekday: '1',
  monthDay: '',
  rule: '',
  validTo: '',
  grainMin: '15',
  bufferBeforeMin: '0',
  bufferAfterMin: '0',
  noticeMin: '120',
  urgentMin: '0',
  urgentReleaseHours: '0',
}
/** The session in which Ames sees people by video, as it stands: Tuesdays 09:00 to 12:00. */
const amesVideo: RawSession = { ...typed, startsOn: '2026-01-06', opensAt: '09:00', closesAt: '12:00' }
const AMES = { kind: 'clinician', id: 'cli_ames' } as const

let keys = 0
const input = (raw: Partial<RawSession>, more: Partial<SaveSessionInput> = {}): SaveSessionInput => {
  keys += 1
  const isNew = more.sessionId === undefined
  return {
    key: `save session ${keys}`,
    sessionId: null,
    version: isNew ? null : 1,
    owner: isNew ? AMES : null,
    raw: { ...(isNew ? typed : amesVideo), ...raw },
    isDryRun: false,
    confirmed: [],
    ...more,
  }
}
const ofAmes = { sessionId: 'ses_ames_video' } as const

async function book(referralId: string, startsAt: string): Promise<string> {
  await addReferral(db, { id: referralId })
  const booked = await bookVisit(contextFor(db, { ids: referralId }), {
    key: `book ${referralId}`,
    referralId,
    heldVisitId: null,
    start: asking(startsAt),
  })
  if (!booked.ok) throw new Error(booked.error.code)
  return booked.value.visitId
}
const openTasks = () =>
  db
    .select()
    .from(tasks)
    .where(and(eq(tasks.kind, 'stranded'), isNull(tasks.doneAt)))
const refusal = <T, E>(result: { ok: true; value: T } | { ok: false; error: E }): E => {
  if (result.ok) throw new Error('it went through')
  return result.error
}

describe('adding a session', () => {
  test('looks first: words, dates and effects, and nothing is kept of it', async () => {
    const looked = refusal(await saveSession(ctx, input({}, { isDryRun: true })))
    if (looked.code !== 'looked_at') throw new Error(looked.code)
    expect(looked.effects).toEqual({ stranded: [], heldCount: 0, regainedCount: 0 })
    expect(looked.look.dates.map(({ date, opensAt }) => `${date} ${opensAt}`)).toEqual(
      ['03-10', '03-17', '03-24', '03-31', '04-07', '04-14', '04-21', '04-28'].map((day) => `2026-${day} 14:00`),
    )
    expect(await db.select().from(clinicSessions)).toHaveLength(5)
    expect(await db.select().from(auditEvents)).toEqual([])
  })

  test('writes it, with an audit line, once however often it is sent', async () => {
    const sent = input({
      weekdays: ['2', '4'],
      every: '2',
      validTo: '2026-06-30',
      urgentMin: '30',
      urgentReleaseHours: '8',
    })
    const first = await saveSession(ctx, { ...sent, raw: { ...sent.raw, weekdays: ['2'] } })
    expect(await saveSession(ctx, { ...sent, raw: { ...sent.raw, weekdays: ['2'] } })).toEqual(first)
    if (!first.ok) throw new Error(first.error.code)
    const [row] = await db.select().from(clinicSessions).where(eq(clinicSessions.id, first.value.sessionId))
    expect(row).toMatchObject({
      clinicianId: 'cli_ames',
      rule: 'FREQ=WEEKLY;INTERVAL=2;BYDAY=TU',
      durationMin: 120,
      validTo: '2026-06-30',
      urgentMin: 30,
      urgentReleaseHours: 8,
      version: 1,
    })
    expect(await db.select().from(auditEvents)).toMatchObject([
      { action: 'session.added', subject: first.value.sessionId, actorId: coordinator.id },
    ])
  })

  test.each<[string, Partial<RawSession>, object[]]>([
    [
      'nothing typed',
      { startsOn: '', opensAt: '', closesAt: '', repeat: '' },
      [
        { field: 'startsOn', code: 'required' },
        { field: 'opensAt', code: 'required' },
        { field: 'closesAt', code: 'required' },
        { field: 'repeat', code: 'required' },
      ],
    ],
    ['an end before its start', { closesAt: '13:00' }, [{ field: 'closesAt', code: 'before_opens', opensAt: '14:00' }]],
    ['an unknown zone', { timeZone: 'America/Larkfield' }, [{ field: 'timeZone', code: 'unknown_zone' }]],
    ['an offset for a zone', { timeZone: '-05:00' }, [{ field: 'timeZone', code: 'unknown_zone' }]],
    ['a last date before the first', { validTo: '2026-03-09' }, [{ field: 'validTo', code: 'before_start' }]],
    ['no weekday', { weekdays: [] }, [{ field: 'weekdays', code: 'required' }]],
    [
      'a first date that its rule leaves out',
      { startsOn: '2026-03-11' },
      [{ field: 'startsOn', code: 'not_in_rule', firstOn: '2026-03-17' }],
    ],
    [
      'COUNT with UNTIL',
      { repeat: 'own', rule: 'FREQ=WEEKLY;COUNT=4;UNTIL=20261224T000000Z' },
      [{ field: 'rule', code: 'count_with_until' }],
    ],
    [
      'a rule that never occurs',
      { repeat: 'own', rule: 'FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30' },
      [{ field: 'rule', code: 'never_occurs' }],
    ],
    ['a grain longer than the session', { grainMin: '150' }, [{ field: 'grainMin', code: 'longer_than_session' }]],
    ['in person nowhere', { mode: 'in_person' }, [{ field: 'siteId', code: 'needed_in_person' }]],
    [
      'a room of another site',
      { mode: 'in_person', siteId: 'sit_ny', roomId: 'roo_3' },
      [{ field: 'roomId', code: 'given_up' }],
    ],
    ['all of it past', { startsOn: '2026-02-24', repeat: 'once' }, [{ field: 'startsOn', code: 'over' }]],
    [
      'more kept for urgent visits than there is',
      { urgentMin: '500' },
      [{ field: 'urgentMin', code: 'longer_than_session' }],
    ],
  ])('%s is said at the field, and nothing changes', async (_name, raw, faults) => {
    expect(refusal(await saveSession(ctx, input(raw)))).toEqual({ code: 'faults', faults })
    expect(await db.select().from(clinicSessions)).toHaveLength(5)
  })

  test('one that meets another of the same person is refused, with the other and the first date', async () => {
    const met = refusal(await saveSession(ctx, input({ opensAt: '11:45', closesAt: '13:00' })))
    expect(met).toMatchObject({ code: 'overlaps', onDate: '2026-03-10', with: { session: { id: 'ses_ames_video' } } })
    // Somebody else may work at that hour.
    const boyd = { owner: { kind: 'clinician', id: 'cli_boyd' } } as const
    expect((await saveSession(ctx, input({ opensAt: '11:45', closesAt: '13:00' }, boyd))).ok).toBe(true)
  })

  test('a site that was given up takes no new session', async () => {
    await db.update(sites).set({ isActive: false }).where(eq(sites.id, 'sit_nj'))
    expect(refusal(await saveSession(ctx, input({ mode: 'in_person', siteId: 'sit_nj' })))).toEqual({
      code: 'faults',
      faults: [{ field: 'siteId', code: 'given_up' }],
    })
  })
})

describe('changing a session', () => {
  test('that strands a booked visit shows which, and saves only once exactly those are confirmed', async () => {
    const early = await book('ref_1', '2026-03-03T14:00:00Z')
    const late = await book('ref_2', '2026-03-10T15:00:00Z')
    const later = { startsOn: '2026-03-10', opensAt: '11:30', closesAt: '13:30' }

    const shown = refusal(await saveSession(ctx, input(later, ofAmes)))
    if (shown.code !== 'not_confirmed') throw new Error(shown.code)
    expect(shown.effects.stranded).toMatchObject([
      { visitId: early, patientName: 'Pat Of ref_1', losses: ['session_closed'] },
      { visitId: late, startsAt: '2026-03-10T15:00:00Z', losses: ['session_closed'] },
    ])
    expect(await openTasks()).toEqual([])
    const marks = shown.effects.stranded.map(({ mark }) => mark)

    // One of two is not exactly those, and neither is one that has changed since.
    expect(refusal(await saveSession(ctx, input(later, { ...ofAmes, confirmed: marks.slice(1) }))).code).toBe(
      'not_confirmed',
    )
    await db.update(visits).set({ version: 9 }).where(eq(visits.id, early))
    expect(refusal(await saveSession(ctx, input(later, { ...ofAmes, confirmed: marks }))).code).toBe('not_confirmed')
    await db.update(visits).set({ version: 1 }).where(eq(visits.id, early))

    const sent = input(later, { ...ofAmes, confirmed: marks })
    expect(await saveSession(ctx, sent)).toEqual({ ok: true, value: { sessionId: 'ses_ames_video', version: 2 } })
    expect((await saveSession(ctx, sent)).ok).toBe(true)
    expect((await openTasks()).map(({ referralId, detail }) => [referralId, detail])).toEqual([
      ['ref_1', { visitId: early, sessionId: 'ses_ames_video', reasons: ['session_closed'] }],
      ['ref_2', { visitId: late, sessionId: 'ses_ames_video', reasons: ['session_closed'] }],
    ])
    const [line] = await db.select().from(auditEvents).where(eq(auditEvents.action, 'session.changed'))
    expect(line).toMatchObject({
      before: { opensAt: '09:00', durationMin: 180 },
      after: { opensAt: '11:30', durationMin: 120 },
    })

    // The way back: both have their place again, and nothing is left to do.
    const back = await saveSession(ctx, input({}, { ...ofAmes, version: 2 }))
    expect(back.ok).toBe(true)
    expect(await openTasks()).toEqual([])
    const again = await db.select().from(auditEvents).where(eq(auditEvents.action, 'visit.fits_again'))
    expect(again.map(({ referralId }) => referralId).toSorted()).toEqual(['ref_1', 'ref_2'])
  })

  test('the task of a stranded visit ends when it is moved, and when it is cancelled', async () => {
    const [moved, cancelled] = [
      await book('ref_1', '2026-03-03T14:00:00Z'),
      await book('ref_2', '2026-03-03T16:00:00Z'),
    ]
    const closing = { key: 'close 3 March', sessionId: 'ses_ames_video', version: 1 }
    const raw = { onDate: '2026-03-03', kind: 'closed', toDate: '', opensAt: '', closesAt: '' } as const
    const shown = refusal(await changeSessionDate(ctx, { ...closing, raw, isDryRun: true, confirmed: [] }))
    if (shown.code !== 'looked_at') throw new Error(shown.code)
    const confirmed = shown.effects.stranded.map(({ mark }) => mark)
    expect((await changeSessionDate(ctx, { ...closing, raw, isDryRun: false, confirmed })).ok).toBe(true)
    expect(await openTasks()).toHaveLength(2)

    const to = asking('2026-03-10T14:00:00Z')
    expect((await moveVisit(ctx, { key: 'move away', visitId: moved, version: 1, start: to })).ok).toBe(true)
    expect((await openTasks()).map(({ referralId }) => referralId)).toEqual(['ref_2'])
    expect(
      (await cancelVisit(ctx, { key: 'cancel it', visitId: cancelled, version: 1, because: 'The session is lost' })).ok,
    ).toBe(true)
    expect(await openTasks()).toEqual([])
  })

  test('a form opened before somebody else’s change is not saved over it', async () => {
    expect((await saveSession(ctx, input({ noticeMin: '60' }, ofAmes))).ok).toBe(true)
    expect(refusal(await saveSession(ctx, input({ noticeMin: '30' }, ofAmes))).code).toBe('changed_meanwhile')
    const [row] = await db.select().from(clinicSessions).where(eq(clinicSessions.id, 'ses_ames_video'))
    expect(row).toMatchObject({ noticeMin: 60, version: 2 })
  })

  test('exceptions that fall on no date any more go with the change, and are named first', async () => {
    await db
      .insert(sessionExceptions)
      .values([{ clinicId: CLINIC, sessionId: 'ses_ames_video', onDate: '2026-03-10', kind: 'closed' }])
    const toWednesday = { startsOn: '2026-03-04', weekdays: ['3'] }
    const looked = refusal(await saveSession(ctx, input(toWednesday, { ...ofAmes, isDryRun: true })))
    expect(looked).toMatchObject({ code: 'looked_at', look: { strays: ['2026-03-10'] } })
    expect((await saveSession(ctx, input(toWednesday, ofAmes))).ok).toBe(true)
    expect(await db.select().from(sessionExceptions)).toEqual([])
  })
})

describe('pausing, going on and ending', () => {
  const steer = (deed: SteerSessionInput['deed'], version = 1, confirmed: string[] = []): SteerSessionInput => {
    keys += 1
    return { key: `steer it ${keys}`, sessionId: 'ses_ames_video', version, deed, isDryRun: false, confirmed }
  }

  test('a pause takes nothing new and keeps what is booked', async () => {
    await book('ref_1', '2026-03-03T14:00:00Z')
    expect(await steerSession(ctx, steer({ kind: 'pause' }))).toMatchObject({ ok: true, value: { status: 'paused' } })
    expect(await openTasks()).toEqual([])
    await addReferral(db, { id: 'ref_2' })
    const start = asking('2026-03-03T16:00:00Z')
    const ask = { key: 'book it now', referralId: 'ref_2', heldVisitId: null, start }
    expect((await bookVisit(contextFor(db, { ids: 'x' }), ask)).ok).toBe(false)
    expect(refusal(await steerSession(ctx, steer({ kind: 'pause' }, 2))).code).toBe('not_possible_now')
    expect(await steerSession(ctx, steer({ kind: 'resume' }, 2))).toMatchObject({
      ok: true,
      value: { status: 'active' },
    })
    expect((await bookVisit(contextFor(db, { ids: 'x' }), ask)).ok).toBe(true)
  })

  test('one does not go on where another session has taken its hours', async () => {
    await steerSession(ctx, steer({ kind: 'pause' }))
    expect((await saveSession(ctx, input({ opensAt: '09:00', closesAt: '10:00' }))).ok).toBe(true)
    expect(refusal(await steerSession(ctx, steer({ kind: 'resume' }, 2)))).toMatchObject({
      code: 'overlaps',
      onDate: '2026-03-10',
    })
  })

  test('an end names the visits after its last date', async () => {
    await book('ref_1', '2026-03-03T14:00:00Z')
    const after = await book('ref_2', '2026-03-10T14:00:00Z')
    const ending = steer({ kind: 'end', lastOn: '2026-03-03' })
    const shown = refusal(await steerSession(ctx, ending))
    if (shown.code !== 'not_confirmed') throw new Error(shown.code)
    expect(shown.effects.stranded.map(({ visitId }) => visitId)).toEqual([after])
    const confirmed = shown.effects.stranded.map(({ mark }) => mark)
    expect((await steerSession(ctx, { ...ending, confirmed })).ok).toBe(true)
    expect((await openTasks()).map(({ referralId }) => referralId)).toEqual(['ref_2'])
    const seen = await readSession(contextFor(db, { now: '2026-03-04T15:00:00Z' }), ofAmes)
    expect(seen).toMatchObject({ ok: true, value: { standing: 'ended', dates: [] } })
  })

  test('a last date that is past is refused', async () => {
    expect(refusal(await steerSession(ctx, steer({ kind: 'end', lastOn: '2026-02-24' }))).code).toBe(
      'last_date_is_past',
    )
  })
})

describe('one date', () => {
  const change = (raw: Partial<Parameters<typeof changeSessionDate>[1]['raw']>, version = 1) => {
    keys += 1
    return changeSessionDate(ctx, {
      key: `one date ${keys}`,
      sessionId: 'ses_ames_video',
      version,
      raw: { onDate: '2026-03-10', kind: 'moved', toDate: '2026-03-11', opensAt: '9:00', closesAt: '11:00', ...raw },
      isDryRun: false,
      confirmed: [],
    })
  }

  test('moves away and comes back', async () => {
    expect((await change({})).ok).toBe(true)
    expect(await db.select().from(sessionExceptions)).toMatchObject([
      { onDate: '2026-03-10', kind: 'moved', toDate: '2026-03-11', opensAt: '09:00', durationMin: 120 },
    ])
    expect((await change({ kind: null }, 2)).ok).toBe(true)
    expect(await db.select().from(sessionExceptions)).toEqual([])
  })

  test.each<[string, Parameters<typeof change>[0], object[]]>([
    ['on which it does not open', { onDate: '2026-03-12' }, [{ field: 'onDate', code: 'not_in_rule' }]],
    ['that is past', { onDate: '2026-02-24' }, [{ field: 'onDate', code: 'past' }]],
    ['moved to the past', { toDate: '2026-02-25' }, [{ field: 'toDate', code: 'past' }]],
    ['closing before it opens', { closesAt: '08:30' }, [{ field: 'closesAt', code: 'before_opens' }]],
    ['shortened to more', { kind: 'shortened', closesAt: '17:00' }, [{ field: 'closesAt', code: 'longer_than_rule' }]],
    ['with nothing said', { kind: '' }, [{ field: 'kind', code: 'required' }]],
  ])('%s is said at the field', async (_name, raw, faults) => {
    expect(refusal(await change(raw))).toEqual({ code: 'faults', faults })
  })

  test('moved onto another session of the clinician is refused', async () => {
    expect(refusal(await change({ toDate: '2026-03-12', opensAt: '13:30', closesAt: '14:30' }))).toMatchObject({
      code: 'overlaps',
      onDate: '2026-03-12',
      with: { session: { id: 'ses_ames_site' } },
    })
  })
})

describe('who keeps sessions', () => {
  const boyd = () =>
    contextFor(db, { actor: { ...coordinator, id: 'stf_2', role: 'clinician', clinicianId: 'cli_boyd' } })

  test('a clinician sees and changes their own, and nobody else’s', async () => {
    expect((await readSessions(boyd())).sessions.map(({ session }) => session.id)).toEqual([
      'ses_boyd_site',
      'ses_boyd_video',
    ])
    expect((await readSession(boyd(), ofAmes)).ok).toBe(false)
    expect(refusal(await saveSession(boyd(), input({}, ofAmes))).code).toBe('not_found')
    expect(refusal(await saveSession(boyd(), input({}))).code).toBe('not_found')
    expect((await saveSession(boyd(), input({}, { owner: { kind: 'clinician', id: 'cli_boyd' } }))).ok).toBe(true)
  })

  test('an admin keeps them too, and learns no patient’s name by it', async () => {
    await book('ref_1', '2026-03-03T14:00:00Z')
    const admin = contextFor(db, { actor: { ...coordinator, id: 'stf_3', role: 'admin' } })
    const shown = refusal(
      await saveSession(admin, input({ startsOn: '2026-03-10', opensAt: '14:00', closesAt: '15:00' }, ofAmes)),
    )
    expect(shown).toMatchObject({
      code: 'not_confirmed',
      effects: { stranded: [{ patientName: null, clinicianName: 'Alex Ames' }] },
    })
  })

  test('a patient keeps none', async () => {
    const patient = contextFor(db, { actor: { kind: 'patient', clinicId: CLINIC, id: 'pat_1', referralId: 'ref_1' } })
    expect(refusal(await saveSession(patient, input({}))).code).toBe('not_found')
    expect((await readSessions(patient)).sessions).toEqual([])
  })
})
