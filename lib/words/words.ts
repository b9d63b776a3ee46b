/**
 * Every word a patient reads outside the exam protocol, in one catalogue (ICU
 * message format). Pages, mails and the packet all speak through it, so that a
 * language is a set of files and nothing else.
 */
import { createTranslator } from 'use-intl/core'
import type { Locale } from '#lib/domain/protocol/schema.ts'
import board from './en/board.json' with { type: 'json' }
import booking from './en/booking.json' with { type: 'json' }
import common from './en/common.json' with { type: 'json' }
import home from './en/home.json' with { type: 'json' }
import mail from './en/mail.json' with { type: 'json' }
import packet from './en/packet.json' with { type: 'json' }
import rehearsal from './en/rehearsal.json' with { type: 'json' }
import standby from './en/standby.json' with { type: 'json' }
import boardEs from './es/board.json' with { type: 'json' }
import bookingEs from './es/booking.json' with { type: 'json' }
import commonEs from './es/common.json' with { type: 'json' }
import homeEs from './es/home.json' with { type: 'json' }
import mailEs from './es/mail.json' with { type: 'json' }
import packetEs from './es/packet.json' with { type: 'json' }
import rehearsalEs from './es/rehearsal.json' with { type: 'json' }
import standbyEs from './es/standby.json' with { type: 'json' }

const en = { board, booking, common, home, mail, packet, rehearsal, standby }
export type Catalogue = typeof en

const es: Catalogue = {
  board: boardEs,
  booking: bookingEs,
  common: commonEs,
  home: homeEs,
  mail: mailEs,
  packet: packetEs,
  rehearsal: rehearsalEs,
  standby: standbyEs,
}
const CATALOGUES: Record<Locale, Catalogue> = { en, es }

/** The translator of one language: `wordsFor('en')('common.continue')`. */
export function wordsFor(locale: Locale): Words {
  const words = made.get(locale) ?? translator(locale)
  made.set(locale, words)
  return words
}
export type Words = ReturnType<typeof translator>

/** A translator keeps every message it has parsed; a packet says hundreds. */
const made = new Map<Locale, Words>()

function translator(locale: Locale) {
  return createTranslator({ locale, messages: CATALOGUES[locale] })
}
