/**
 * How many packets a second: as HTML (as the mail shows it) and as PDF (tagged, with every set-up
 * drawn), beside a bare dump of the same text by the same PDF library: no tags, no drawings, no layout, a built-in face.
 */
import { render } from '@react-email/components'
import PDFDocument from 'pdfkit'
import { createElement } from 'react'
import { PacketMail } from '#emails/packet.tsx'
import { packetPdf } from '#lib/adapters/packet-pdf.ts'
import { Temporal } from '#lib/base/time.ts'
import type { Letter } from '#lib/domain/messages/mail.ts'
import { buildPacket, type Packet } from '#lib/domain/packet/packet.ts'
import { buildPlan } from '#lib/domain/plan/build-plan.ts'
import { DEFAULT_POLICY } from '#lib/domain/policy/clinic-policy.ts'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import { screen } from '#lib/domain/screening/screen.ts'
import { describePacket } from '#lib/words/packet-text.ts'
import { wordsFor } from '#lib/words/words.ts'
import { goodHome } from '../support/clinic.ts'
import type { BenchOptions, BenchRow } from './bench-row.ts'

const AT = Temporal.Instant.from('2026-03-10T13:00:00Z')

export async function rows({ packets = 40 }: BenchOptions = {}): Promise<BenchRow[]> {
  const packet = fullPacket()
  const details = { packet, changes: [], revision: 1, at: AT }
  const { clinic, visit } = packet
  const letter: Letter = {
    messageId: 'msg_1',
    kind: 'packet',
    locale: 'en',
    givenName: 'Ana',
    clinic,
    linkPath: '/go/hudson/token',
    visit: {
      mode: 'video',
      startsAt: AT,
      endsAt: AT.add({ minutes: 45 }),
      timeZone: visit.timeZone,
      place: null,
      calendar: { uid: 'vis_1@example.org', sequence: 0, changedAt: AT },
    },
    inPersonReason: null,
    offer: null,
    missing: [],
    details,
  }
  const template = { letter, say: wordsFor('en'), link: 'https://visits.example.org/go/hudson/token' }
  const html = await perSecond(packets, () => render(createElement(PacketMail, template)))
  const pdf = await perSecond(packets, () => packetPdf(details, 'en'))
  const lines = textOf(packet)
  const bare = await perSecond(packets, () => dump(lines))
  const note = `${packet.setUps.length} set-ups, ${packets} packets, English, one at a time`
  return [
    { id: 'packet-html', perSecond: html, note: `as the mail shows it; ${note}` },
    {
      id: 'packet-pdf',
      perSecond: pdf,
      ratio: pdf / bare,
      rival: `a bare pdfkit dump of the same text, ${Math.round(bare)}/s`,
      note: `ratio = ours ÷ bare; ours tagged and with ${packet.setUps.length} set-ups drawn; ${note}`,
    },
  ]
}

/** Everything at home, so every station that a flat foot calls for is in it. */
function fullPacket(): Packet {
  const facts = goodHome()
  const side = 'left'
  const screening = screen({
    protocol: footAndAnkle,
    conditionId: 'flat_foot',
    side,
    facts,
    policy: DEFAULT_POLICY.screening,
  })
  return buildPacket({
    protocol: footAndAnkle,
    plan: buildPlan({ protocol: footAndAnkle, screening, side, policy: DEFAULT_POLICY.visit }),
    screening,
    answers: facts,
    visit: {
      startsAt: AT,
      endsAt: AT.add({ minutes: 45 }),
      timeZone: 'America/Denver',
      clinicianName: 'Alex Ames',
      hasInterpreter: false,
    },
    clinic: {
      name: 'Hudson Clinic',
      phone: '(555) 555-0100',
      emergencyNumber: '911',
      timeZone: 'America/New_York',
      joinAddress: null,
    },
  })
}

function textOf(packet: Packet): string[] {
  return describePacket(packet, [], 'en').sections.flatMap(({ heading, parts }) => [
    heading,
    ...parts.flatMap((part) => {
      if ('text' in part) return [part.text]
      if ('address' in part) return [part.address]
      if ('list' in part) return [part.lead ?? '', ...part.list.flatMap(({ text, also }) => [text, ...also])]
      const stations = part.stations.flatMap(({ title, sides, you, helper }) => [title, sides, you, helper])
      return [part.heading, part.from, ...part.notes, part.measures, ...stations].filter((each) => each !== null)
    }),
  ])
}

async function dump(lines: readonly string[]): Promise<Buffer> {
  const doc = new PDFDocument({ size: 'LETTER' })
  const parts: Buffer[] = []
  doc.on('data', (part: Buffer) => parts.push(part))
  const ended = new Promise((resolve) => doc.once('end', resolve))
  for (const line of lines) doc.text(line)
  doc.end()
  await ended
  return Buffer.concat(parts)
}

async function perSecond(times: number, work: () => Promise<unknown>): Promise<number> {
  for (let warm = 0; warm < 3; warm += 1) await work()
  const before = performance.now()
  for (let n = 0; n < times; n += 1) await work()
  return (times * 1000) / (performance.now() - before)
}
