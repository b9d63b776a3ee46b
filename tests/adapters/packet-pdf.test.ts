/** The printed packet against the plan it was made for, read back by PDF.js. */
import { describe, expect, test } from 'vitest'
import { packetPdf } from '#lib/adapters/packet-pdf.ts'
import { Temporal } from '#lib/base/time.ts'
import { buildPacket } from '#lib/domain/packet/packet.ts'
import { buildPlan } from '#lib/domain/plan/build-plan.ts'
import { DEFAULT_POLICY } from '#lib/domain/policy/clinic-policy.ts'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import { LOCALES } from '#lib/domain/protocol/schema.ts'
import { screen } from '#lib/domain/screening/screen.ts'
import { drawingsOf } from '#lib/figures/set-up-drawings.ts'
import { describePacket } from '#lib/words/packet-text.ts'
import { captionOf } from '#lib/words/set-up-words.ts'
import { goodHome } from '#tests/support/clinic.ts'
import { flat, readPdf } from '#tests/support/read-pdf.ts'

const startsAt = Temporal.Instant.from('2026-03-10T13:00:00Z')
const facts = { ...goodHome(), has_helper: true }
const screening = screen({
  protocol: footAndAnkle,
  conditionId: 'flat_foot',
  side: 'left',
  facts,
  policy: DEFAULT_POLICY.screening,
})
const plan = buildPlan({ protocol: footAndAnkle, screening, side: 'left', policy: DEFAULT_POLICY.visit })
const packet = buildPacket({
  protocol: footAndAnkle,
  plan,
  screening,
  answers: facts,
  visit: {
    startsAt,
    endsAt: startsAt.add({ minutes: 45 }),
    timeZone: 'America/Denver',
    clinicianName: 'Alex Ames',
    hasInterpreter: false,
  },
  clinic: {
    name: 'Hudson Clinic',
    phone: '(555) 555-0100',
    emergencyNumber: '911',
    timeZone: 'America/New_York',
    joinAddress: 'https://visits.example.org/join',
  },
})
const changes = [{ code: 'helper_needed' }] as const

describe.each(LOCALES)('in %s', async (locale) => {
  const pdf = await readPdf(await packetPdf({ packet, changes, revision: 2, at: startsAt }, locale))

  test('the stations of the plan stand in its order, each with what to do', () => {
    let from = 0
    for (const { stationId, wayId, helper } of plan.steps) {
      const station = footAndAnkle.stations.find(({ id }) => id === stationId)!
      const way = station.ways.find(({ id }) => id === wayId)!
      for (const words of [station.plain, way.instructions, ...(helper ? [way.helperInstructions!] : [])]) {
        const at = pdf.text.indexOf(flat(words[locale]), from)
        expect(at, `${stationId}: ${words[locale]}`).toBeGreaterThanOrEqual(from)
        from = at
      }
    }
  })

  test('says all that the page says: every section, paragraph and line', () => {
    const { sections, demonstration } = describePacket(packet, changes, locale)
    const said = sections.flatMap(({ heading, parts }) => [
      heading,
      ...parts.flatMap((part) => {
        if ('text' in part) return [part.text]
        if ('address' in part) return [part.address]
        if ('list' in part) return [part.lead ?? '', ...part.list.flatMap(({ text, also }) => [text, ...also])]
        const { from, notes, asIn, measures, stations } = part
        return [
          part.heading,
          from,
          ...notes,
          asIn?.words ?? '',
          measures ?? '',
          ...stations.flatMap((each) => [each.title, each.sides ?? '']),
        ]
      }),
    ])
    const heard = flat(pdf.tags.map(({ tag, text }) => (/^(P|H\d|LI|Link)$/.test(tag) ? text : '')).join(' '))
    for (const words of [...said, demonstration ?? '']) {
      expect(pdf.text).toContain(flat(words))
      // A page's end may divide an element, and then it is heard in two parts.
      expect(heard).toContain(flat(words).slice(0, 30))
    }
  })

  test('whom to call stands on every page, with the page’s number', () => {
    for (const [at, { text }] of pdf.pages.entries()) {
      expect(text).toContain('(555) 555-0100')
      expect(text).toMatch(new RegExp(`${at + 1} (of|de) ${pdf.pages.length}`))
    }
  })

  test('every set-up is drawn once, and each drawing says its measures in words', () => {
    const places = new Map(packet.setUps.map(({ setUpId, geometry }) => [setUpId, geometry!]))
    const wanted = [...places.values()].flatMap((geometry) =>
      drawingsOf(geometry, locale).map(({ title }) => `${title}. ${captionOf(geometry, locale)}`),
    )
    expect(places.size).toBeLessThan(packet.setUps.length)
    expect(wanted.length).toBeGreaterThan(places.size)
    expect(pdf.tags.filter(({ tag }) => tag === 'Figure').map(({ alt }) => alt)).toEqual(wanted)
  })

  test('a set-up that comes again leads to the number under which it is drawn', () => {
    const ids = packet.setUps.map(({ setUpId }) => setUpId)
    const again = ids.map((id) => ids.indexOf(id)).filter((first, at) => first < at)
    const words = { en: 'Set up the same way as in number', es: 'Se prepara igual que en el número' }[locale]
    const told = [...pdf.text.matchAll(new RegExp(`${words} (\\d+)\\.`, 'g'))].map(([, number]) => Number(number))
    expect(told).toEqual(again.map((first) => first + 1))
  })

  // 16 stations in 11 set-ups. Clear print asks for 12 points of text: common practice; captions stay above 10.
  test('takes seven pages at most, none of its words smaller than a caption of 10.5 points', () => {
    expect(plan.steps).toHaveLength(16)
    expect(pdf.pages.length).toBeLessThanOrEqual(7)
    expect(pdf.smallestPt).toBeGreaterThanOrEqual(10.49)
  })

  test('is tagged in its language', () => {
    expect(pdf).toMatchObject({ isTagged: true, language: locale })
    expect(pdf.tags.filter(({ tag }) => tag === 'H1')).toHaveLength(1)
  })
})
