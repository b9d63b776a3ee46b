/**
 * What does one say on the phone to have a visit ready? Plain words for each item that is still open and that patient or
 * helper can settle, in the order of the items. It asks and tells; it judges nothing and gives no advice but the one that
 * always holds: whoever is worse calls for help now.
 */
import { isOpen } from './board-view.ts'
import type { ItemReadiness, ReadinessItem } from './items.ts'

export type CallScript = {
  /** Before anything is said about the visit. */
  first: string[]
  asks: { item: ReadinessItem; say: string }[]
  last: string[]
}

/** As they are said: `when` is the start on the patient's own clock, `helperWindow` too. */
export type CallFacts = {
  clinicName: string
  emergencyNumber: string
  givenName: string
  clinicianName: string
  mode: 'video' | 'in_person'
  when: string
  helperWindow: string | null
}

const CLINIC_SETTLES: readonly ReadinessItem[] = ['licence', 'interpreter', 'image', 'rehearsal']

export function callScript(items: readonly ItemReadiness[], facts: CallFacts): CallScript {
  const { clinicName, givenName, clinicianName, mode, when, emergencyNumber } = facts
  const what = mode === 'video' ? 'video visit' : 'visit at the clinic'
  return {
    first: [
      `Hello, this is ${clinicName}. May I speak to ${givenName}?`,
      'So that I know I speak to the right person: what is your full name, and when were you born?',
      `I am calling about your ${what} with ${clinicianName}, ${when}. Is this a good moment, and can you talk freely?`,
      'Before we go on: has anything become worse since we last heard from you?',
    ],
    asks: items
      .filter(({ item, state }) => isOpen(state) && !CLINIC_SETTLES.includes(item))
      .map(({ item }) => ({ item, say: ask(item, facts) })),
    last: [
      'Thank you. Is there anything that would make this visit hard for you?',
      `If you get much worse before then, do not wait for the visit: call ${emergencyNumber} or us.`,
    ],
  }
}

function ask(item: ReadinessItem, { helperWindow }: CallFacts): string {
  switch (item) {
    case 'home_check':
      return 'We still need your answers about your home. I can go through the questions with you now, or send you the link again. Which is better for you?'
    case 'equipment':
      return 'We sent you a list of things to have ready. Do you have them all within reach? If one is missing, tell me which.'
    case 'helper':
      return helperWindow === null
        ? 'Somebody should be there to help you. Who will it be, and will they be with you for the whole visit?'
        : `Somebody should be with you ${helperWindow}. Who will it be, and can they be there then?`
    case 'packet_opened':
      return 'We sent you a page that shows how to get ready. Have you opened it? If not, I can send it again, or read it to you now.'
    case 'place_and_contact':
      return 'Where exactly will you be during the visit: street, city and state? Which number do we call if the line breaks? And whom may we call for you in an emergency?'
    case 'consent':
      return 'We need your agreement to be seen by video. I can read to you what that means. Do you agree?'
    case 'image':
    case 'interpreter':
    case 'licence':
    case 'rehearsal':
      return ''
  }
}
