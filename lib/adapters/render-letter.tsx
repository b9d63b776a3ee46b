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
import type { CalendarInvite, Letter, LetterPort } from '#lib/domain/messages/mail.ts'
import { type Words, wordsFor } from '#lib/words/words.ts'
import { calendarInvite } from './calendar-invite.ts'

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
      const link = letter.linkPath === null ? null : new URL(letter.linkPath, baseUrl).href
      const html = await render(templateFor({ letter, say, link }))
      return {
        subject: say(`mail.${letter.kind}.subject`),
        html,
        // The button and the address beside it are one link: said once is enough where there are no buttons.
        text: toPlainText(html, { wordwrap: 72 }),
        invite: inviteFor(letter, say, { from, to }),
      }
    },
  }
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
