import { describe, expect, test } from 'vitest'
import { letterPort } from '#lib/adapters/render-letter.tsx'
import { Temporal } from '#lib/base/time.ts'
import { MESSAGE_KINDS, type MessageKind } from '#lib/domain/messages/kinds.ts'
import { IN_PERSON_REASONS, type Letter } from '#lib/domain/messages/mail.ts'
import { buildPacket } from '#lib/domain/packet/packet.ts'
import { buildPlan } from '#lib/domain/plan/build-plan.ts'
import { DEFAULT_POLICY } from '#lib/domain/policy/clinic-policy.ts'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import { READINESS_ITEMS } from '#lib/domain/readiness/items.ts'
import { screen } from '#lib/domain/screening/screen.ts'
import { measuresOf, personOf } from '#lib/words/set-up-words.ts'
import { goodHome } from '#tests/support/clinic.ts'
import { readPdf } from '#tests/support/read-pdf.ts'

const startsAt = Temporal.Instant.from('2026-03-10T13:00:00Z')
const endsAt = startsAt.add({ minutes: 45 })
const clinic = { name: 'Hudson Clinic', phone: '(555) 555-0100', emergencyNumber: '911', timeZone: 'America/New_York' }
const screening = screen({
  protocol: footAndAnkle,
  conditionId: 'flat_foot',
  side: 'left',
  facts: goodHome(),
  policy: DEFAULT_POLICY.screening,
})
const plan = buildPlan({ protocol: footAndAnkle, screening, side: 'left', policy: DEFAULT_POLICY.visit })
const packet = buildPacket({
  protocol: footAndAnkle,
  plan,
  screening,
  answers: goodHome(),
  visit: { startsAt, endsAt, timeZone: 'America/Denver', clinicianName: 'Alex Ames', hasInterpreter: false },
  clinic: { ...clinic, joinAddress: null },
})

const revision = { packet, revision: 1, at: Temporal.Instant.from('2026-03-02T13:00:00Z') }

const letterOf = (kind: MessageKind, change: Partial<Letter> = {}): Letter => ({
  messageId: 'msg_1',
  kind,
  locale: 'en',
  givenName: 'Ana <b>',
  clinic,
  linkPath: kind === 'cancelled' || kind === 'seek_help' ? null : '/go/hudson/tok_secret',
  visit:
    kind.startsWith('home_check') || kind === 'seek_help'
      ? null
      : {
          mode: kind === 'in_person_booked' ? 'in_person' : 'video',
          startsAt,
          endsAt,
          timeZone: 'America/Denver',
          place: kind === 'in_person_booked' ? { name: 'Hudson Street', address: '1 Hudson Street' } : null,
          calendar: { uid: 'vis_1@example.org', sequence: 0, changedAt: Temporal.Instant.from('2026-03-01T08:00:00Z') },
        },
  inPersonReason: kind === 'in_person_booked' ? 'safer' : null,
  offer:
    kind === 'standby_offer'
      ? {
          answerBy: Temporal.Instant.from('2026-03-04T20:00:00Z'),
          keepsAt: Temporal.Instant.from('2026-03-20T15:00:00Z'),
        }
      : null,
  missing: kind === 'still_missing' ? ['helper', 'consent'] : [],
  details: null,
  ...change,
})
const render = (letter: Letter) =>
  letterPort({ baseUrl: 'https://visits.example.org', from: 'Farstep <visits@example.org>' }).render(
    letter,
    'ana@example.org',
  )

/** What a stranger who sees the mail must not learn: parts of the body, conditions, what will be examined. */
const CLINICAL = new RegExp(
  ['foot', 'feet', 'ankle', 'heel', 'toe', 'calf', 'achilles', 'left', 'right', 'pain', 'surgery']
    .map((word) => `\\b${word}`)
    .join('|'),
  'i',
)

describe.each(MESSAGE_KINDS)('the mail %s', (kind) => {
  test('says whom to call in an emergency and otherwise, in HTML and in text', async () => {
    const { html, text } = await render(letterOf(kind))
    for (const version of [html.replace(/<!-- -->/g, ''), text]) {
      expect(version).toContain('If this is an emergency, call 911 now.')
      expect(version).toContain('(555) 555-0100')
    }
  })

  test('has a subject that says nothing of the patient, and a body without anything clinical', async () => {
    const { subject, text } = await render(letterOf(kind))
    expect(subject).not.toMatch(/Ana|Hudson|Tuesday|March/)
    expect(`${subject} ${text}`).not.toMatch(CLINICAL)
  })

  test('leads where it says, by one address, and loads nothing from anywhere', async () => {
    const { html, text } = await render(letterOf(kind))
    const addresses = [...html.matchAll(/(?:href|src|action)="([^"]*)"/g)].map(([, address]) => address)
    const link = 'https://visits.example.org/go/hudson/tok_secret'
    const isLinked = kind !== 'cancelled' && kind !== 'seek_help'
    expect(new Set(addresses)).toEqual(new Set(isLinked ? [link] : []))
    expect(text.includes(link)).toBe(isLinked)
    expect(html).not.toMatch(/<img|url\(|@import|<script/i)
    expect(html).toMatch(/<html[^>]* lang="en"/)
  })

  test('shows a name as text, whatever is in it', async () => {
    const { html } = await render(letterOf(kind))
    expect(html).toContain('Ana &lt;b&gt;')
  })

  test('brings a calendar entry exactly when there is one to make, move or take out', async () => {
    const { invite } = await render(letterOf(kind))
    const expected = { packet: 'REQUEST', in_person_booked: 'REQUEST', moved: 'REQUEST', cancelled: 'CANCEL' }
    expect(invite?.method).toBe(expected[kind as keyof typeof expected])
    expect(invite?.content ?? '').not.toMatch(CLINICAL)
    expect(invite?.content ?? '').not.toContain(clinic.name)
  })
})

test('a time is said with its weekday and zone, with the clinic’s clock beside it where that differs', async () => {
  const { text } = await render(letterOf('day_before'))
  expect(text).toContain('Tuesday, March 10, 7:00\u00a0AM to 7:45\u00a0AM, Mountain Time')
  expect(text).toContain('At the clinic the clock will show 9:00\u00a0AM, Eastern Time.')
})

test('what is missing is named, and nothing else', async () => {
  const { text } = await render(letterOf('still_missing'))
  expect(text).toContain('Tell us that your helper can be there.')
  expect(text).not.toContain('Try out your camera.')
  const everything = await render(letterOf('still_missing', { missing: READINESS_ITEMS }))
  expect(everything.text.match(/^ \* /gm)).toHaveLength(READINESS_ITEMS.length)
})

test.each(IN_PERSON_REASONS)(
  'an in-person mail says why, in words that name no body part: %s',
  async (inPersonReason) => {
    const { text } = await render(letterOf('in_person_booked', { inPersonReason }))
    expect(text).not.toMatch(CLINICAL)
    expect(text).toContain('Hudson Street')
    const without = await render(letterOf('in_person_booked', { inPersonReason: null }))
    expect(text.length).toBeGreaterThan(without.text.length)
  },
)

test('with consent the whole packet is in the mail: every station, in the order of the plan', async () => {
  const { text } = await render(letterOf('packet', { details: { ...revision, changes: [] } }))
  const flat = text.replace(/\s+/g, ' ')
  let from = flat.indexOf('WHAT WE WILL DO')
  expect(from).toBeGreaterThan(0)
  for (const { stationId, wayId } of plan.steps) {
    const way = footAndAnkle.stations.find(({ id }) => id === stationId)?.ways.find(({ id }) => id === wayId)
    const at = flat.indexOf(way?.instructions.en.replace(/\s+/g, ' ') ?? 'missing', from)
    expect(at, stationId).toBeGreaterThan(from)
    from = at
  }
})

test('with consent the mail says in words what the page draws', async () => {
  const { text } = await render(letterOf('packet', { details: { ...revision, changes: [] } }))
  const flat = text.replace(/\s+/g, ' ')
  expect(packet.setUps.length).toBeGreaterThan(0)
  for (const { geometry } of packet.setUps) expect(flat).toContain(measuresOf(geometry!, 'en'))
  // Who it is drawn for is the same everywhere, and said once.
  const persons = packet.setUps.flatMap(({ geometry }) => personOf(geometry!, 'en') ?? [])
  expect(persons.length).toBeGreaterThan(1)
  expect(flat.split(persons[0]!)).toHaveLength(2)
})

test('the packet to print goes with the mail only with consent', async () => {
  for (const kind of MESSAGE_KINDS) expect((await render(letterOf(kind))).print).toBeNull()
  const { print } = await render(letterOf('packet', { details: { ...revision, changes: [] } }))
  const { text, isTagged } = await readPdf(print?.content ?? new Uint8Array())
  expect(isTagged).toBe(true)
  for (const { title } of packet.setUps) expect(text).toContain(title.en)
})

// Letters that are the same but for the name and the link are made once.
test('of two letters made alike each has its own name and link, and nothing of the other', async () => {
  const one = letterOf('day_before', { givenName: 'Ana & Co', linkPath: '/go/hudson/tok_one' })
  const other = letterOf('day_before', { givenName: 'Luz', linkPath: '/go/hudson/tok_two' })
  const [first, second] = [await render(one), await render(other)]
  expect(first.html).toContain('Ana &amp; Co')
  expect(first.text).toContain('Ana & Co')
  for (const body of [second.html, second.text]) {
    expect(body).toContain('Luz')
    expect(body).toContain('/go/hudson/tok_two')
    expect(body).not.toMatch(/Ana|tok_one/)
  }
  expect(await render(one)).toEqual(first)
})

// RFC 5322 2.1.1.
test.each(MESSAGE_KINDS)('the text of %s keeps to lines of 78 letters, but for an address', async (kind) => {
  const { text } = await render(letterOf(kind, { givenName: 'Maximiliana '.repeat(12).trim() }))
  for (const line of text.split('\n')) expect(line.length <= 78 || /^\S+$/.test(line.trim()), line).toBe(true)
})

test('with consent a changed packet says what is new', async () => {
  const changes = [
    { code: 'helper_no_longer' },
    { code: 'fetch_too', title: { en: 'A strap', es: 'Una correa' } },
  ] as const
  const { text } = await render(letterOf('packet_changed', { details: { ...revision, changes } }))
  expect(text).toContain('You do not need a helper now.')
  expect(text).toContain('You also need: A strap.')
})
