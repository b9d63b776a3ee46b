/**
 * Puts the demo clinic into an empty database. Everything that happened to a
 * referral happened through the use cases, at times before `now`, so that the
 * audit, the packets and the outbox are what they would be in a real clinic.
 * The same `now` gives the same clinic.
 */
import type { Database } from '#db/client.ts'
import { findReferral } from '#db/queries/referrals.ts'
import { newId, secrets } from '#lib/adapters/secrets.ts'
import { invariant } from '#lib/base/invariant.ts'
import type { Result } from '#lib/base/result.ts'
import { Temporal } from '#lib/base/time.ts'
import type { Actor, PatientActor, StaffActor } from '#lib/domain/access/actor.ts'
import { triageQuestions } from '#lib/domain/desk/triage-questions.ts'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import { openQueue, type Queue } from '#lib/jobs/queue.ts'
import { addReferral } from '#lib/usecases/add-referral.ts'
import { answerQuestions } from '#lib/usecases/answer-questions.ts'
import { bookVisit, bookVisitInput } from '#lib/usecases/book-visit.ts'
import { closeReferral } from '#lib/usecases/close-referral.ts'
import { confirmItem } from '#lib/usecases/confirm-item.ts'
import type { Ctx } from '#lib/usecases/context.ts'
import { findStarts } from '#lib/usecases/find-starts.ts'
import { finishHomeCheck } from '#lib/usecases/finish-home-check.ts'
import { inviteHomeCheck } from '#lib/usecases/invite-home-check.ts'
import { joinStandby } from '#lib/usecases/join-standby.ts'
import { readHomeCheck } from '#lib/usecases/read-home-check.ts'
import { saveHomeDetails } from '#lib/usecases/save-home-details.ts'
import { saveTriage } from '#lib/usecases/save-triage.ts'
import { setUpClinic } from '#lib/usecases/set-up-clinic.ts'
import { DEMO_CASES, type DemoCase } from './demo-cases.ts'
import { CLINIC_ZONE, DEMO_CLINIC, demoClinic } from './demo-clinic.ts'
import { addPastHalfYear } from './past-half-year.ts'
import { DEMO_SIGN_INS } from './sign-ins.ts'

const coordinator: StaffActor = {
  kind: 'staff',
  clinicId: DEMO_CLINIC,
  id: DEMO_SIGN_INS[0]?.id ?? '',
  role: 'coordinator',
  clinicianId: null,
}

const ZONES = { OR: 'America/Los_Angeles', ID: 'America/Boise' } as const

/** Seeds the clinic, its people and all cases. The database must be migrated and empty. */
export async function seedDemo(database: Database, now: Temporal.Instant): Promise<void> {
  const queue = await openQueue(database, { works: false })
  try {
    const longAgo = () => now.subtract({ hours: 24 * 200 })
    must(
      await setUpClinic({ db: database.db, now: longAgo, newId, secrets }, { document: demoClinic(now), isDemo: true }),
    )
    for (const [index, demo] of DEMO_CASES.entries()) await walk(database, queue, demo, index, now)
    await addPastHalfYear(database.db, now)
  } finally {
    await queue.close()
  }
}

/** Takes one case as far as it has come. */
async function walk(
  database: Database,
  queue: Queue,
  demo: DemoCase,
  index: number,
  now: Temporal.Instant,
): Promise<void> {
  const at = clockFor(demo, index, now)
  const as = (actor: Actor, when: Temporal.Instant): Ctx => ({
    db: database.db,
    actor,
    now: () => when,
    newId,
    queue: queue.port,
    secrets,
  })
  const key = (what: string) => `demo-${what}-${index}`

  const { referralId } = must(
    await addReferral(as(coordinator, at.received), { key: key('add'), raw: rawOf(demo, index, at.received) }),
  )
  if (demo.reach === 'received') return
  const referral = await findReferral(database.db, DEMO_CLINIC, referralId)
  invariant(referral && demo.side, 'a case that is triaged has a side')
  const checklist = Object.fromEntries(
    triageQuestions(footAndAnkle).map(({ id }) => [id, { raw: demo.flags?.includes(id) ? 'yes' : '', shown: '' }]),
  )
  must(
    await saveTriage(as(coordinator, at.triaged), {
      referralId,
      version: referral.version,
      protocolId: footAndAnkle.id,
      conditionId: demo.condition,
      side: demo.side,
      priority: demo.priority ?? 'routine',
      checklist,
      seeByOn: null,
    }),
  )
  if (demo.reach === 'closed') {
    must(
      await closeReferral(as(coordinator, at.invited), {
        referralId,
        because: 'Seen elsewhere; the patient phoned.',
      }),
    )
    return
  }
  if (demo.reach === 'triaged') return

  const patient: PatientActor = { kind: 'patient', clinicId: DEMO_CLINIC, id: referral.patientId, referralId }
  // Urgent cases go to the clinic without a home check.
  if (!demo.flags) {
    const answersAs = demo.hasEmail === false ? coordinator : patient
    if (demo.hasEmail !== false) must(await inviteHomeCheck(as(coordinator, at.invited), { referralId }))
    if (demo.reach === 'invited') return
    await answer(as(answersAs, at.answered), referralId, demo)
    if (demo.reach === 'started') return
    await giveDetails(as(answersAs, at.answered), referralId, demo, index)
    must(await finishHomeCheck(as(answersAs, at.answered), { referralId }))
  }
  if (demo.visit === undefined) return

  const visitId = await book(as(coordinator, at.booked), referralId, demo.visit, now, key('book'))
  for (const item of demo.visit.confirmed ?? []) {
    // What the plan does not ask for is not there to be confirmed; saying so anyway does no harm.
    must(await confirmItem(as(patient, at.confirmed), { visitId, item, state: 'confirmed' }))
  }
  if (demo.standbyHours !== undefined)
    must(await joinStandby(as(patient, at.confirmed), { referralId, noticeHours: demo.standbyHours }))
}

/** The times at which things happened, one after the other and none after `now`. */
function clockFor(demo: DemoCase, index: number, now: Temporal.Instant) {
  const received = now.subtract({ hours: 24 * demo.receivedDaysAgo, minutes: 90 + index })
  const latest = (wished: Temporal.Instant) => (Temporal.Instant.compare(wished, now) < 0 ? wished : now)
  const triaged = latest(received.add({ minutes: 30 }))
  const invited = latest(triaged.add({ minutes: 15 }))
  const answered = latest(invited.add({ hours: 20 }))
  // Before this morning's first start, so that today's visits can be booked too.
  const yesterday = now.toZonedDateTimeISO(CLINIC_ZONE).startOfDay().subtract({ hours: 4 }).toInstant()
  // What came in since then is booked at once.
  const booked = Temporal.Instant.compare(yesterday, triaged) < 0 ? latest(triaged.add({ minutes: 5 })) : yesterday
  return { received, triaged, invited, answered, booked, confirmed: latest(booked.add({ hours: 8 })) }
}

function rawOf(demo: DemoCase, index: number, received: Temporal.Instant) {
  const number = String(100 + index).padStart(4, '0')
  return {
    givenName: demo.given,
    familyName: demo.family,
    birthDate: demo.born,
    phone: demo.hasPhone === false ? null : `+1503555${number}`,
    email: demo.hasEmail === false ? null : `${demo.given}.${demo.family}.${index}@patients.example.org`.toLowerCase(),
    language: demo.language ?? 'en',
    interpreterLanguage: demo.interpreter ?? null,
    addressLine: `${index + 1} Sample Lane`,
    city: demo.state === 'OR' ? 'Larkfield' : 'Juniper Bend',
    state: demo.state,
    timeZone: ZONES[demo.state],
    referrerName: index % 2 === 0 ? 'Riverside Family Practice (demo)' : 'Hillside Walk-in Clinic (demo)',
    referrerPhone: '+15035550199',
    receivedOn: received.toZonedDateTimeISO(CLINIC_ZONE).toPlainDate().toString(),
    reason: demo.reason,
    icd10: demo.icd10 ?? null,
    side: demo.side,
    priority: demo.priority ?? 'routine',
  }
}

/** 152 to 188 cm, told apart by nothing but the name: a crowd is not all of one height. */
function statureOf({ given, family }: DemoCase): number {
  return 152 + 4 * ((given.length * 3 + family.length) % 10)
}

/** Answers whatever is asked, and what the answers ask for next, until nothing is or a flag stops it. */
async function answer(ctx: Ctx, referralId: string, demo: DemoCase): Promise<void> {
  for (;;) {
    const check = must(await readHomeCheck(ctx, { referralId }))
    const open = check.questions.filter((fact) => check.answers[fact.id] === undefined)
    if (open.length === 0) return
    const stopped = must(
      await answerQuestions(ctx, {
        referralId,
        given: open.map((fact) => {
          const usual = fact.measures === 'stature' ? statureOf(demo) : fact.change?.to
          const value = demo.home?.[fact.id] ?? usual ?? ['accepts_video', 'reach_foot'].includes(fact.id)
          const raw = value === true ? 'yes' : value === false ? 'no' : String(value)
          return { factId: fact.id, raw, ...(fact.unit !== undefined && { unit: fact.unit }) }
        }),
      }),
    ).stopAt
    if (stopped !== null) return
  }
}

async function giveDetails(ctx: Ctx, referralId: string, demo: DemoCase, index: number): Promise<void> {
  const timeZone = demo.state === 'OR' ? 'America/Los_Angeles' : 'America/Denver'
  const city = demo.state === 'OR' ? 'Larkfield' : 'Juniper Bend'
  const helperName = demo.home?.helper === false ? '' : 'Sam'
  const steps = [
    { step: 'place', placeAddress: `${index + 1} Sample Lane, ${city}`, placeState: demo.state, timeZone },
    {
      step: 'contact',
      callbackPhone: `503-555-${String(100 + index).padStart(4, '0')}`,
      contactName: `Alex ${demo.family}`,
      contactPhone: '503-555-0198',
    },
    { step: 'times', days: [], parts: [], helperName, helperDays: [], helperParts: [] },
    { step: 'consent', agreed: 'yes' },
  ] as const
  for (const step of steps) {
    must(
      await saveHomeDetails(
        ctx,
        referralId,
        step.step === 'times' ? { ...step, days: [], parts: [], helperDays: [], helperParts: [] } : step,
      ),
    )
  }
}

/** Books the n-th free start of that day, or the best of any day where that day has none. */
async function book(
  ctx: Ctx,
  referralId: string,
  wish: { inDays: number; nth: number },
  now: Temporal.Instant,
  key: string,
): Promise<string> {
  const day = now.toZonedDateTimeISO(CLINIC_ZONE).toPlainDate().add({ days: wish.inDays })
  const isOnDay = (startsAt: string) =>
    Temporal.Instant.from(startsAt).toZonedDateTimeISO(CLINIC_ZONE).toPlainDate().equals(day)
  // Odd ones in the afternoon where there are any, so that the day is filled from both ends.
  const parts = wish.nth % 2 === 1 ? (['afternoon', null] as const) : ([null] as const)
  for (const dayPart of parts) {
    const search = { referralId, mode: null, clinicianId: null, dayPart, released: [], days: 25, perDay: 24 }
    const all = must(await findStarts(ctx, search)).days.flatMap(({ starts }) => starts)
    const onDay = all.filter(({ startsAt }) => isOnDay(startsAt))
    const choice = onDay[Math.floor((wish.nth * onDay.length) / 12)] ?? (dayPart === null ? all[0] : undefined)
    if (choice === undefined) continue
    const { sessionId, clinicianId, mode, startsAt, roomId, interpreterId } = choice
    const start = { sessionId, clinicianId, mode, startsAt, roomId, interpreterId, released: [] }
    return must(await bookVisit(ctx, bookVisitInput.parse({ key, referralId, heldVisitId: null, start }))).visitId
  }
  throw new Error(`The demo clinic has no start for ${referralId}`)
}

/** In the demo nothing is refused: a refusal is a fault of the case. */
function must<T>(result: Result<T, unknown>): T {
  if (!result.ok) throw new Error(`The demo case was refused: ${JSON.stringify(result.error)}`)
  return result.value
}
