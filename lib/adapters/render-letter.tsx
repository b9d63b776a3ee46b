/** From a letter to a mail: picks the template of its kind, and the calendar entry where there is one to make or take out. */
import { render, toPlainText } from '@react-email/components'
import type { ReactElement } from 'react'
import { Cancelled } from '#emails/cancelled.tsx'
import type { TemplateProps } from '#emails/frame.tsx'
import { HomeCheckChaser } from '#emails/home-check-chaser.tsx'
import { HomeCheckInvitation } from '#emails/home-check-invitation.tsx'
import { InPersonBooked } from '#emails/in-person-booked.tsx'
import { Moved } from '#emails/moved.tsx'
import { PacketMail } from '#emails/packet.tsx'
import { PacketChanged } from '#emails/packet-changed.tsx'
import { SeekHelp } from '#emails/seek-help.tsx'
import { StandbyOffer } from '#emails/standby-offer.tsx'
import { StillMissing } from '#emails/still-missing.tsx'
import { VisitReminder } from '#emails/visit-reminder.tsx'
import type { MessageKind } from '#lib/domain/messages/kinds.ts'
import type { CalendarInvite, Letter, LetterPort, PrintedPacket } from '#lib/domain/messages/mail.ts'
import { type Words, wordsFor } from '#lib/words/words.ts'
import { calendarInvite } from './calendar-invite.ts'
import { packetPdf } from './packet-pdf.ts'

const INVITES: Partial<Record<MessageKind, CalendarInvite['method']>> = {
  packet: 'REQUEST',
  in_person_booked: 'REQUEST',
  moved: 'REQUEST',
  cancelled: 'CANCEL',
}

/** `baseUrl` is where links lead, `from` the sender's address: the organizer of every visit. */
export function letterPort({ baseUrl, from }: { baseUrl: string; from: string }): LetterPort {
  return {
    async render(letter, to) {
      const say = wordsFor(letter.locale)
      const link = letter.linkPath === null ? '' : new URL(letter.linkPath, baseUrl).href
      const { html, text } = await bodiesOf(letter, say)
      const own = { name: letter.givenName, link }
      return {
        subject: say(`mail.${letter.kind}.subject`),
        html: filled(html, { name: escapeHtml(own.name), link: escapeHtml(own.link) }),
        text: wrapped(filled(text, own)),
        invite: inviteFor(letter, say, { from, to }),
        print: await printOf(letter, say),
      }
    },
  }
}

/**
 * What every letter has for itself stands in its template as one letter of Unicode's private use area, which no word has.
 * Many letters of a clinic are the same but for that, and making one takes longer than sending it.
 */
const OWN = { name: '\uE000', link: '\uE001' } as const
const EITHER = /[\uE000\uE001]/g

type Bodies = { html: string; text: string }

/** As many as there are kinds of letters about a day's visits. The least recently used goes first. */
const MOST_KEPT = 500
const kept = new Map<string, Bodies>()

async function bodiesOf(letter: Letter, say: Words): Promise<Bodies> {
  const link = letter.linkPath === null ? null : OWN.link
  const template: Letter = { ...letter, messageId: '', givenName: OWN.name, linkPath: link }
  // A packet is one patient's; nobody else's letter says the same.
  if (letter.details !== null) return makeBodies(template, say)
  const visit = template.visit && { ...template.visit, calendar: null }
  const key = JSON.stringify({ ...template, visit })
  const bodies = kept.get(key) ?? (await makeBodies(template, say))
  kept.delete(key)
  kept.set(key, bodies)
  const [oldest] = kept.keys()
  if (kept.size > MOST_KEPT && oldest !== undefined) kept.delete(oldest)
  return bodies
}

async function makeBodies(letter: Letter, say: Words): Promise<Bodies> {
  const html = await render(templateFor({ letter, say, link: letter.linkPath }))
  // The button and the address beside it are one link: said once is enough where there are no buttons.
  return { html, text: toPlainText(html, { wordwrap: false }) }
}

function filled(body: string, { name, link }: { name: string; link: string }): string {
  return body.replace(EITHER, (own) => (own === OWN.name ? name : link))
}

const ENTITIES: Record<string, string> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;', "'": '&#x27;' }

function escapeHtml(text: string): string {
  return text.replace(/[&<>"']/g, (letter) => ENTITIES[letter] ?? letter)
}

/** RFC 5322 2.1.1: lines should be no longer than 78 letters. What hangs under a bullet stays under its words. */
const LINE = 72

function wrapped(text: string): string {
  return text.split('\n').flatMap(wrappedLine).join('\n')
}

function wrappedLine(line: string): string[] {
  const [indent = ''] = line.match(/^\s*(?:\* )?/) ?? []
  const lines: string[] = []
  let current = indent
  for (const word of line.slice(indent.length).split(' ')) {
    const isFirst = current.trimStart() === '' || current === indent
    if (!isFirst && current.length + 1 + word.length > LINE) {
      lines.push(current)
      current = ' '.repeat(indent.length) + word
    } else current += isFirst ? word : ` ${word}`
  }
  return [...lines, current]
}

async function printOf({ kind, details, locale }: Letter, say: Words): Promise<PrintedPacket | null> {
  if (details === null) return null
  // What a first packet says is all new.
  const changes = kind === 'packet' ? [] : details.changes
  return { filename: `${say('packet.title')}.pdf`, content: await packetPdf({ ...details, changes }, locale) }
}

function templateFor(props: TemplateProps): ReactElement {
  switch (props.letter.kind) {
    case 'home_check_invitation':
      return <HomeCheckInvitation {...props} />
    case 'home_check_chaser':
      return <HomeCheckChaser {...props} />
    case 'packet':
      return <PacketMail {...props} />
    case 'packet_changed':
      return <PacketChanged {...props} />
    case 'in_person_booked':
      return <InPersonBooked {...props} />
    case 'still_missing':
      return <StillMissing {...props} />
    case 'day_before':
    case 'hour_before':
      return <VisitReminder {...props} kind={props.letter.kind} />
    case 'moved':
      return <Moved {...props} />
    case 'cancelled':
      return <Cancelled {...props} />
    case 'seek_help':
      return <SeekHelp {...props} />
    case 'standby_offer':
      return <StandbyOffer {...props} />
  }
}

function inviteFor(letter: Letter, say: Words, { from, to }: { from: string; to: string }): CalendarInvite | null {
  const { kind, visit, givenName } = letter
  const method = INVITES[kind]
  if (method === undefined || visit === null) return null
  const words = {
    summary: say(`mail.invite.${visit.mode}`),
    location: visit.place === null ? say('mail.invite.byVideo') : `${visit.place.name}, ${visit.place.address}`,
  }
  return calendarInvite(method, visit, words, {
    // Not the clinic's name: it may say which part of the body it treats, and calendars are seen by others.
    organizer: senderIn(from),
    attendee: { name: givenName, email: to },
  })
}

/** "Farstep <visits@example.org>", or the bare address. */
function senderIn(from: string): { name: string; email: string } {
  const [, name, address] = from.match(/^\s*"?([^"<]*?)"?\s*<([^<>]+)>\s*$/) ?? []
  const email = address ?? from.trim()
  return { name: name || email, email }
}
