/**
 * The packet in words: one list of sections that the page, the mail and the print all show, so that none of them can say
 * something else. Every part of it is a plain string in the patient's language.
 */
import { Temporal } from '#lib/base/time.ts'
import type { SetUpGeometry } from '#lib/domain/geometry/set-up-geometry.ts'
import type { Packet, PacketChange, Sign } from '#lib/domain/packet/packet.ts'
import { groupSigns, type SignGroup } from '#lib/domain/packet/sign-groups.ts'
import type { Unit } from '#lib/domain/protocol/need.ts'
import type { Locale, Side } from '#lib/domain/protocol/schema.ts'
import { captionOf, measuresOf, personOf } from './set-up-words.ts'
import { clockWords, dayWords, isSameClock, zoneWords } from './time-words.ts'
import { wordsFor } from './words.ts'

export type PacketSection = {
  id: 'changes' | 'when' | 'helper' | 'join' | 'drop' | 'fetch' | 'safety' | 'setUps' | 'cannot' | 'dontWait'
  heading: string
  parts: PacketPart[]
}
/** A line of a list; `also` stands under it, any one of them. */
export type PacketItem = { text: string; also: string[] }
export type PacketPart =
  | { text: string }
  | { address: string }
  /** `lead` = what holds for all of its lines. */
  | { list: PacketItem[]; lead: string | null }
  | {
      number: number
      heading: string
      /** From about when; begins the line of the notes. */
      from: string
      notes: string[]
      /** An earlier one, where nothing about this one differs: its drawings and measures stand there alone. */
      asIn: { number: number; words: string } | null
      /** Drawn where there is room for it, said elsewhere. Null in packets that were written without. */
      geometry: SetUpGeometry | null
      measures: string | null
      stations: { title: string; sides: string | null; you: string; helper: string | null }[]
    }

/** A list this long stands in two columns on paper. */
const LONG_LIST = 6

export function isLongList(list: readonly PacketItem[]): boolean {
  return list.length >= LONG_LIST
}

/** Tells the parts of one section apart. */
export function partKey(part: PacketPart): string {
  if ('text' in part) return part.text
  if ('address' in part) return part.address
  return 'list' in part ? part.list.map(({ text }) => text).join() : part.heading
}

/** All of it, in the order in which it is read. */
export function describePacket(
  packet: Packet,
  changes: readonly PacketChange[],
  locale: Locale,
): { sections: PacketSection[]; youWord: string; helperWord: string; demonstration: string | null } {
  const say = wordsFor(locale)
  const { visit, clinic } = packet
  const at = (text: string) => Temporal.Instant.from(text)
  const time = (text: string) => clockWords(at(text), visit.timeZone, locale)
  const start = at(visit.startsAt)
  const text = (words: string): PacketPart => ({ text: words })
  const list = (items: string[]): PacketPart[] =>
    items.length > 0 ? [{ list: items.map((item) => ({ text: item, also: [] })), lead: null }] : []

  const when: PacketPart[] = [
    text(
      say('packet.when.time', {
        day: dayWords(start, visit.timeZone, locale),
        from: time(visit.startsAt),
        to: time(visit.endsAt),
        zone: zoneWords(start, visit.timeZone, locale),
      }),
    ),
    ...(isSameClock(start, visit.timeZone, clinic.timeZone)
      ? []
      : [
          text(
            say('packet.when.clinicClock', {
              from: clockWords(start, clinic.timeZone, locale),
              zone: zoneWords(start, clinic.timeZone, locale),
            }),
          ),
        ]),
    text(say('packet.when.clinician', { clinician: visit.clinicianName })),
    ...(visit.hasInterpreter ? [text(say('packet.when.interpreter'))] : []),
  ]
  const join: PacketPart[] = [
    ...(clinic.joinAddress === null
      ? [text(say('packet.join.called', { clinic: clinic.name }))]
      : [text(say('packet.join.address')), { address: clinic.joinAddress }]),
    text(say('packet.join.late', { phone: clinic.phone })),
  ]
  const fetch = packet.fetch.map(({ title, instead }) =>
    instead.length === 0
      ? title[locale]
      : say('packet.fetch.instead', {
          thing: title[locale],
          have: instead.map((thing) => thing[locale]).reduce((one, other) => say('packet.fetch.or', { one, other })),
        }),
  )
  const helper =
    packet.helper === null
      ? [say('packet.helper.nobody')]
      : [
          say('packet.helper.needed', { from: time(packet.helper.from), to: time(packet.helper.to) }),
          say('packet.helper.rest'),
        ]
  // Who it is drawn for is the same in all of them, and said once.
  const sized = packet.setUps.findIndex(({ geometry }) => geometry && personOf(geometry, locale) !== null)
  const setUps = packet.setUps.map((setUp, index): PacketPart => {
    const geometry = setUp.geometry ?? null
    const first = packet.setUps.findIndex((other) => isSameSetUp(other, setUp))
    const isNew = first === index
    const number = index + 1
    return {
      number,
      heading: say('packet.setUps.setUp', { number, title: setUp.title[locale] }),
      from: say('packet.setUps.from', { time: time(setUp.from) }),
      notes: [
        setUp.instructions[locale],
        // Said when it changes: a phone that stays as it is needs no words.
        ...(packet.setUps[index - 1]?.orientation === setUp.orientation
          ? []
          : [say(`packet.setUps.${setUp.orientation}`)]),
      ],
      asIn: isNew ? null : { number: first + 1, words: say('packet.setUps.asIn', { number: first + 1 }) },
      geometry: isNew ? geometry : null,
      measures: isNew && geometry !== null ? (index === sized ? captionOf : measuresOf)(geometry, locale) : null,
      stations: setUp.stations.map((station) => ({
        title: station.title[locale],
        sides: saySides(station.sides, packet.protocol.region, locale),
        you: station.instructions[locale],
        helper: station.helperInstructions?.[locale] ?? null,
      })),
    }
  })
  const cannot = packet.cannot.map(
    ({ title, because, reason }) => `${title[locale]}: ${reason?.[locale] ?? say(`packet.cannot.${because}`)}`,
  )
  const { emergency, clinic: callClinic } = packet.dontWait
  const signs = (lead: string, all: readonly Sign[][]): PacketPart[] =>
    all.length > 0 ? [{ list: groupSigns(all).map((group) => sayGroup(group, locale)), lead }] : []
  const dontWait: PacketPart[] = [
    text(say('packet.dontWait.always', { number: clinic.emergencyNumber })),
    text(say('packet.dontWait.worse', { phone: clinic.phone })),
    ...signs(say('packet.dontWait.emergency', { number: clinic.emergencyNumber }), emergency),
    ...signs(say('packet.dontWait.clinic', { phone: clinic.phone }), callClinic),
  ]

  const section = (id: PacketSection['id'], parts: PacketPart[]): PacketSection[] =>
    parts.length > 0 ? [{ id, heading: say(`packet.${id}.heading`), parts }] : []
  return {
    sections: [
      ...section('changes', list(changes.map((change) => sayChange(change, locale)))),
      ...section('when', when),
      ...section('helper', helper.map(text)),
      ...section('join', join),
      ...section('drop', [text(say('packet.drop.sit')), text(say('packet.drop.call', { phone: clinic.phone }))]),
      ...section('fetch', list([say('packet.fetch.phone'), ...fetch])),
      ...section(
        'safety',
        list([say('packet.safety.stop'), ...packet.safety.map((note) => say(`packet.safety.${note}`))]),
      ),
      ...section('setUps', setUps),
      ...section('cannot', cannot.length > 0 ? [...list(cannot), text(say('packet.cannot.fine'))] : []),
      ...section('dontWait', dontWait),
    ],
    youWord: say('packet.setUps.you'),
    helperWord: say('packet.setUps.yourHelper'),
    demonstration: packet.protocol.demonstration ? say('packet.demonstration') : null,
  }
}

function isSameSetUp(one: Packet['setUps'][number], other: Packet['setUps'][number]): boolean {
  return one.setUpId === other.setUpId && JSON.stringify(one.geometry) === JSON.stringify(other.geometry)
}

/** "With your left foot.", "First your right foot, then your left foot."; nothing where both move at once. */
export function saySides(sides: readonly Side[], region: string, locale: Locale): string | null {
  const say = wordsFor(locale)
  const part = region.startsWith('foot') ? 'foot' : 'other'
  const name = (side: Side) => say(`packet.sides.${part}.${side}`)
  const [first, second] = sides
  if (first === undefined || first === 'both') return null
  if (second === undefined) return say('packet.sides.one', { side: name(first) })
  return say('packet.sides.inTurn', { first: name(first), second: name(second) })
}

/** One change, as a sentence. */
export function sayChange(change: PacketChange, locale: Locale): string {
  const say = wordsFor(locale)
  return 'title' in change
    ? say(`packet.changes.${change.code}`, { title: change.title[locale] })
    : say(`packet.changes.${change.code}`)
}

function sayGroup({ sign, also }: SignGroup, locale: Locale): PacketItem {
  const [only, ...others] = also
  if (only === undefined || others.length === 0) return { text: saySigns([sign, ...(only ?? [])], locale), also: [] }
  return {
    text: wordsFor(locale)('packet.dontWait.alsoOneOf', { ask: saySigns([sign], locale) }),
    also: also.map((signs) => saySigns(signs, locale)),
  }
}

function saySigns(signs: readonly Sign[], locale: Locale): string {
  const say = wordsFor(locale)
  return signs
    .map(({ ask, answer }) =>
      typeof answer === 'string'
        ? say(`packet.dontWait.answer.${answer}`, { ask: ask[locale] })
        : say('packet.dontWait.answer.atLeast', { ask: ask[locale], amount: sayAmount(answer, locale) }),
    )
    .reduce((one, other) => say('packet.dontWait.and', { one, other }))
}

function sayAmount({ atLeast, unit }: { atLeast: number; unit: Unit }, locale: Locale): string {
  return wordsFor(locale)(`packet.unit.${unit}`, { amount: atLeast, fahrenheit: Math.round((atLeast * 9) / 5 + 32) })
}
