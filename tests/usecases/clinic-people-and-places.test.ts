/** People, places and holidays are kept by people: what a change takes from booked visits is shown, confirmed and tasked. */
import { and, eq, isNull } from 'drizzle-orm'
import { beforeEach, describe, expect, test } from 'vitest'
import type { Db } from '#db/client.ts'
import { auditEvents, clinicians, holidays, interpreters, licences, rooms, sites, tasks } from '#db/schema/index.ts'
import type { Actor } from '#lib/domain/access/actor.ts'
import { bookVisit } from '#lib/usecases/book-visit.ts'
import { changeHolidays } from '#lib/usecases/change-holidays.ts'
import type { Ctx } from '#lib/usecases/context.ts'
import { readHolidays, readPeople, readPlaces } from '#lib/usecases/read-clinic-setup.ts'
import { type SaveLicenceInput, saveLicence } from '#lib/usecases/save-licence.ts'
import { type SavePersonInput, savePerson } from '#lib/usecases/save-person.ts'
import { type SaveRoomInput, saveRoom } from '#lib/usecases/save-room.ts'
import { type SaveSiteInput, saveSite } from '#lib/usecases/save-site.ts'
import { steerSession } from '#lib/usecases/steer-session.ts'
import { addReferral, addSmallClinic, contextFor, coordinator } from '#tests/support/clinic.ts'
import { emptyDb } from '#tests/support/db.ts'
import { asking, askingInPerson } from '#tests/support/starts.ts'

let db: Db
let ctx: Ctx

beforeEach(async () => {
  db = (await emptyDb()).db
  await addSmallClinic(db)
  ctx = contextFor(db)
})

let keys = 0
const common = () => {
  keys += 1
  return { key: `keep it ${keys}`, isDryRun: false, confirmed: [] as string[] }
}
const person = (change: Partial<SavePersonInput> = {}): SavePersonInput => ({
  ...common(),
  kind: 'clinician',
  personId: null,
  version: null,
  deed: {
    kind: 'write',
    raw: { name: ' Dana  Ore ', credentials: 'DPM', languages: 'en, ES', timeZone: 'America/Boise' },
  },
  ...change,
})
const licence = (raw: SaveLicenceInput['raw'], change: Partial<SaveLicenceInput> = {}): SaveLicenceInput => ({
  ...common(),
  clinicianId: 'cli_ames',
  version: 1,
  licenceId: null,
  raw,
  ...change,
})
const site = (change: Partial<SaveSiteInput> = {}): SaveSiteInput => ({
  ...common(),
  siteId: null,
  version: null,
  deed: {
    kind: 'write',
    raw: { name: 'Quarry Lane', address: '3 Quarry Lane', state: 'NJ', timeZone: 'America/New_York' },
  },
  ...change,
})
const room = (change: Partial<SaveRoomInput> = {}): SaveRoomInput => ({
  ...common(),
  siteId: 'sit_ny',
  version: 1,
  roomId: null,
  deed: { kind: 'name', name: 'Room 9' },
  ...change,
})

const refusal = <T, E>(result: { ok: true; value: T } | { ok: false; error: E }): E => {
  if (result.ok) throw new Error('it went through')
  return result.error
}
const openTasks = () =>
  db
    .select()
    .from(tasks)
    .where(and(eq(tasks.kind, 'stranded'), isNull(tasks.doneAt)))
const actions = async () => (await db.select().from(auditEvents)).map(({ action }) => action)

async function book(referralId: string, start = asking('2026-03-03T14:00:00Z'), isInPerson = false): Promise<void> {
  await addReferral(db, isInPerson ? { id: referralId, conditionId: 'achilles_rupture' } : { id: referralId })
  const mine = contextFor(db, { ids: referralId })
  const booked = await bookVisit(mine, { key: `book ${referralId}`, referralId, heldVisitId: null, start })
  if (!booked.ok) throw new Error(JSON.stringify(booked.error))
}

/** Does it twice: the first time it must be refused for want of a confirmation, which then is given. */
async function confirmed<T, E extends { code: string }>(
  attempt: (marks: string[]) => Promise<{ ok: true; value: T } | { ok: false; error: E }>,
): Promise<unknown> {
  const shown = refusal(await attempt([])) as E & { effects?: { stranded: { mark: string; losses: string[] }[] } }
  if (shown.code !== 'not_confirmed' || !shown.effects) throw new Error(shown.code)
  expect(await openTasks()).toEqual([])
  const done = await attempt(shown.effects.stranded.map(({ mark }) => mark))
  if (!done.ok) throw new Error(done.error.code)
  return shown.effects.stranded.map(({ losses }) => losses)
}

describe('people', () => {
  test('are added with what they speak in one spelling, once however often it is sent', async () => {
    const sent = person()
    const first = await savePerson(ctx, sent)
    expect(await savePerson(ctx, sent)).toEqual(first)
    if (!first.ok) throw new Error(first.error.code)
    const [row] = await db.select().from(clinicians).where(eq(clinicians.id, first.value.personId))
    expect(row).toMatchObject({ name: 'Dana Ore', languages: ['en', 'es'], timeZone: 'America/Boise', isActive: true })
    expect((await savePerson(ctx, person({ kind: 'interpreter' }))).ok).toBe(true)
    expect((await db.select().from(interpreters)).map(({ name }) => name)).toContain('Dana Ore')
    expect(await actions()).toEqual(['clinician.added', 'interpreter.added'])
  })

  test('everything wrong is said at its field, and nothing changes', async () => {
    const raw = { name: '', credentials: '', languages: 'en, Spanish', timeZone: 'Boise' }
    expect(refusal(await savePerson(ctx, person({ deed: { kind: 'write', raw } })))).toEqual({
      code: 'faults',
      faults: [
        { field: 'name', code: 'required' },
        { field: 'credentials', code: 'required' },
        { field: 'languages', code: 'unknown_language', tag: 'Spanish' },
        { field: 'timeZone', code: 'unknown_zone' },
      ],
    })
    expect(await db.select().from(clinicians)).toHaveLength(2)
  })

  test('who is given up is kept; their visits get a task, which ends when they are taken back', async () => {
    await book('ref_1')
    const ames = { personId: 'cli_ames', version: 1 }
    const losses = await confirmed((marks) =>
      savePerson(ctx, person({ ...ames, deed: { kind: 'give_up' }, confirmed: marks })),
    )
    expect(losses).toEqual([['clinician_gone']])
    expect((await openTasks()).map(({ referralId }) => referralId)).toEqual(['ref_1'])
    expect(refusal(await savePerson(ctx, person({ ...ames, deed: { kind: 'take_back' } }))).code).toBe(
      'changed_meanwhile',
    )
    expect((await savePerson(ctx, person({ ...ames, version: 2, deed: { kind: 'take_back' } }))).ok).toBe(true)
    expect(await openTasks()).toEqual([])
    expect(await db.select().from(clinicians)).toHaveLength(2)
  })

  test('an interpreter who goes leaves the visit without one', async () => {
    await addReferral(db, { id: 'ref_1', interpreterLanguage: 'es' })
    const booked = await bookVisit(contextFor(db, { ids: 'b' }), {
      key: 'book with one',
      referralId: 'ref_1',
      heldVisitId: null,
      start: asking('2026-03-03T14:00:00Z'),
    })
    expect(booked.ok).toBe(true)
    const losses = await confirmed((marks) =>
      savePerson(
        ctx,
        person({ kind: 'interpreter', personId: 'int_cruz', version: 1, deed: { kind: 'give_up' }, confirmed: marks }),
      ),
    )
    expect(losses).toEqual([['interpreter_gone', 'language_gone']])
  })

  test('the list has everybody with their sessions', async () => {
    const people = await readPeople(ctx)
    if (!people.ok) throw new Error(people.error.code)
    expect(
      people.value.clinicians.map(({ name, sessions, licences: held }) => [name, sessions.length, held.length]),
    ).toEqual([
      ['Alex Ames', 2, 1],
      ['Blair Boyd', 2, 1],
    ])
    expect(people.value.interpreters).toMatchObject([
      { name: 'Cam Cruz', sessions: [{ next: { date: '2026-03-03' } }] },
    ])
  })
})

describe('licences', () => {
  test.each<[string, NonNullable<SaveLicenceInput['raw']>, object[]]>([
    [
      'nothing typed',
      { state: '', validFrom: '', validTo: '' },
      [
        { field: 'state', code: 'required' },
        { field: 'validFrom', code: 'required' },
      ],
    ],
    [
      'one that ends before it starts',
      { state: 'NJ', validFrom: '2026-05-01', validTo: '2026-04-30' },
      [{ field: 'validTo', code: 'before_start' }],
    ],
    [
      'a second of the same state at the same time',
      { state: 'NY', validFrom: '2026-05-01', validTo: '' },
      [
        {
          field: 'validFrom',
          code: 'overlaps',
          other: { id: 'lic_1', state: 'NY', validFrom: '2020-01-01', validTo: null },
        },
      ],
    ],
    ['no date', { state: 'NJ', validFrom: '2026-02-30', validTo: '' }, [{ field: 'validFrom', code: 'not_a_date' }]],
  ])('%s is said at the field', async (_name, raw, faults) => {
    expect(refusal(await saveLicence(ctx, licence(raw)))).toEqual({ code: 'faults', faults })
    expect(await db.select().from(licences)).toHaveLength(2)
  })

  test('one that ends strands the visits after it; one that follows gives them their place back', async () => {
    await book('ref_1')
    await book('ref_2', asking('2026-03-10T14:00:00Z'))
    const ended = { state: 'NY', validFrom: '2020-01-01', validTo: '2026-03-09' }
    const losses = await confirmed((marks) =>
      saveLicence(ctx, licence(ended, { licenceId: 'lic_1', confirmed: marks })),
    )
    expect(losses).toEqual([['no_licence']])
    expect((await openTasks()).map(({ referralId }) => referralId)).toEqual(['ref_2'])
    const next = { state: 'NY', validFrom: '2026-03-10', validTo: '' }
    expect((await saveLicence(ctx, licence(next, { version: 2 }))).ok).toBe(true)
    expect(await openTasks()).toEqual([])
  })

  test('one that visits were booked on is ended, not taken away; one written by mistake is', async () => {
    await book('ref_1')
    expect(refusal(await saveLicence(ctx, licence(null, { licenceId: 'lic_1' }))).code).toBe('was_used')
    const wrong = await saveLicence(ctx, licence({ state: 'OR', validFrom: '2026-01-01', validTo: '' }))
    if (!wrong.ok) throw new Error(wrong.error.code)
    const away = licence(null, { licenceId: wrong.value.licenceId, version: 2 })
    expect((await saveLicence(ctx, away)).ok).toBe(true)
    expect(await db.select().from(licences)).toHaveLength(2)
    expect(await actions()).toEqual(expect.arrayContaining(['licence.added', 'licence.taken_away']))
  })
})

describe('places', () => {
  test('a site is added with its rooms; names are told apart', async () => {
    const added = await saveSite(ctx, site())
    if (!added.ok) throw new Error(added.error.code)
    const { siteId } = added.value
    expect((await saveRoom(ctx, room({ siteId }))).ok).toBe(true)
    expect(refusal(await saveRoom(ctx, room({ siteId, version: 2, deed: { kind: 'name', name: 'ROOM 9' } })))).toEqual({
      code: 'faults',
      faults: [{ field: 'roomName', code: 'taken' }],
    })
    const raw = { name: 'hudson street', address: '', state: 'XX', timeZone: 'Mars/Base' }
    expect(refusal(await saveSite(ctx, site({ deed: { kind: 'write', raw } })))).toEqual({
      code: 'faults',
      faults: [
        { field: 'address', code: 'required' },
        { field: 'name', code: 'taken' },
        { field: 'state', code: 'required' },
        { field: 'timeZone', code: 'unknown_zone' },
      ],
    })
    const places = await readPlaces(ctx)
    if (!places.ok) throw new Error(places.error.code)
    expect(places.value.sites.map(({ name, rooms: at, sessionCount }) => [name, at.length, sessionCount])).toEqual([
      ['Hudson Street', 2, 2],
      ['Palisade Avenue', 1, 1],
      ['Quarry Lane', 1, 0],
    ])
  })

  test('a room that is given up strands the visits in it, and is offered no more', async () => {
    await book(
      'ref_1',
      askingInPerson('2026-03-05T18:00:00Z', {
        roomId: 'roo_1',
        released: ['after_see_by'],
        because: 'No start was sooner',
      }),
      true,
    )
    const losses = await confirmed((marks) =>
      saveRoom(ctx, room({ roomId: 'roo_1', deed: { kind: 'give_up' }, confirmed: marks })),
    )
    expect(losses).toEqual([['room_gone']])
    expect(await openTasks()).toMatchObject([{ referralId: 'ref_1', detail: { reasons: ['room_gone'] } }])
    await addReferral(db, { id: 'ref_2', conditionId: 'achilles_rupture' })
    const start = askingInPerson('2026-03-05T19:00:00Z', {
      roomId: 'roo_1',
      released: ['after_see_by'],
      because: 'No start was sooner',
    })
    const ask = { key: 'book the room', referralId: 'ref_2', heldVisitId: null, start }
    expect((await bookVisit(contextFor(db, { ids: 'b' }), ask)).ok).toBe(false)
    expect(await db.select().from(rooms)).toHaveLength(3)
  })

  test('neither a site nor a room is given up over the head of a session', async () => {
    expect(
      refusal(await saveRoom(ctx, room({ siteId: 'sit_nj', roomId: 'roo_3', deed: { kind: 'give_up' } }))),
    ).toMatchObject({
      code: 'sessions_there',
      sessions: [{ ownerName: 'Blair Boyd' }],
    })
    const giveUp = { siteId: 'sit_nj', version: 1, deed: { kind: 'give_up' } } as const
    expect(refusal(await saveSite(ctx, site(giveUp))).code).toBe('sessions_there')
    const end = { kind: 'end', lastOn: '2026-03-01' } as const
    const ending = {
      key: 'end it first',
      sessionId: 'ses_boyd_site',
      version: 1,
      deed: end,
      isDryRun: false,
      confirmed: [],
    }
    expect((await steerSession(ctx, ending)).ok).toBe(true)
    expect((await saveSite(ctx, site(giveUp))).ok).toBe(true)
    expect(await db.select().from(sites)).toHaveLength(2)
  })

  test('a site in another state needs other licences for its visits', async () => {
    await book(
      'ref_1',
      askingInPerson('2026-03-05T18:00:00Z', { released: ['after_see_by'], because: 'No start was sooner' }),
      true,
    )
    const raw = { name: 'Hudson Street', address: '1 Hudson Street', state: 'NJ', timeZone: 'America/New_York' }
    const losses = await confirmed((marks) =>
      saveSite(ctx, site({ siteId: 'sit_ny', version: 1, deed: { kind: 'write', raw }, confirmed: marks })),
    )
    expect(losses).toEqual([['no_licence']])
  })
})

describe('holidays', () => {
  const day = { onDate: '2026-03-03', name: 'Town day' }
  const change = (more: Partial<Parameters<typeof changeHolidays>[1]>) =>
    changeHolidays(ctx, { ...common(), off: [], on: [], ...more })

  test('federal ones are offered by the day they are kept, and no more once they stand', async () => {
    const offered = await readHolidays(ctx, { year: null })
    if (!offered.ok) throw new Error(offered.error.code)
    // 4 July 2026 is a Saturday: kept on the Friday before (5 U.S.C. 6103(b)).
    expect(offered.value.offered).toContainEqual({ onDate: '2026-07-03', name: 'Independence Day' })
    expect(offered.value.offered).toHaveLength(11)
    expect((await change({ on: offered.value.offered })).ok).toBe(true)
    expect(await readHolidays(ctx, { year: 2026 })).toMatchObject({
      ok: true,
      value: { offered: [], days: { length: 11 } },
    })
    // 1 January 2028 is a Saturday: kept on the last day of 2027, and listed under that year.
    const next = await readHolidays(ctx, { year: 2027 })
    expect(next.ok && next.value.offered.at(-1)).toEqual({ onDate: '2027-12-31', name: "New Year's Day" })
  })

  test('one on a day with a visit is confirmed and tasked, and the task ends when it is taken off', async () => {
    await book('ref_1')
    expect(await confirmed((marks) => change({ on: [day], confirmed: marks }))).toEqual([['session_closed']])
    expect(await openTasks()).toHaveLength(1)
    expect(refusal(await change({ on: [{ ...day, name: 'Another' }] }))).toEqual({
      code: 'already_there',
      holiday: day,
    })
    expect(refusal(await change({ off: [{ ...day, name: 'Old name' }] })).code).toBe('changed_meanwhile')
    expect((await change({ off: [day], on: [{ onDate: '2026-03-04', name: 'Town day' }] })).ok).toBe(true)
    expect(await openTasks()).toEqual([])
    expect(await db.select().from(holidays)).toMatchObject([{ onDate: '2026-03-04' }])
  })
})

test.each<[string, Actor]>([
  ['a clinician', { ...coordinator, role: 'clinician', clinicianId: 'cli_ames' }],
  ['a patient', { kind: 'patient', clinicId: coordinator.clinicId, id: 'pat_1', referralId: 'ref_1' }],
])('%s keeps neither people nor places nor holidays', async (_who, actor) => {
  const theirs = contextFor(db, { actor })
  const refused = { ok: false, error: { code: 'not_allowed' } }
  expect(await savePerson(theirs, person())).toEqual(refused)
  expect(await saveLicence(theirs, licence(null, { licenceId: 'lic_1' }))).toEqual(refused)
  expect(await saveSite(theirs, site())).toEqual(refused)
  expect(await saveRoom(theirs, room())).toEqual(refused)
  expect(await changeHolidays(theirs, { ...common(), off: [], on: [] })).toEqual(refused)
  expect(await readPeople(theirs)).toEqual(refused)
  expect(await readPlaces(theirs)).toEqual(refused)
  expect(await readHolidays(theirs, { year: null })).toEqual(refused)
})
