/** Which ways stand in the line at the top, and where does somebody begin? Only what their role may see. */
import type { StaffActor } from '#lib/domain/access/actor.ts'
import { type Action, MATRIX } from '#lib/domain/access/policy.ts'

type Way = { href: string; words: string; needs: Action }

const WAYS: readonly Way[] = [
  { href: '/desk', words: 'Desk', needs: 'referral.read' },
  { href: '/board', words: 'Board', needs: 'board.read' },
  { href: '/referrals/new', words: 'New referral', needs: 'referral.add' },
  { href: '/referrals/import', words: 'Bring in a file', needs: 'referral.import' },
  { href: '/tray', words: 'Mail tray', needs: 'tray.read' },
  { href: '/clinic', words: 'Clinic', needs: 'session.write' },
]

const CLINIC_WAYS: readonly (Way & { what: string })[] = [
  {
    href: '/clinic/sessions',
    words: 'Sessions',
    what: 'When people work, and so when visits can be booked.',
    needs: 'session.write',
  },
  {
    href: '/clinic/people',
    words: 'People',
    what: 'Clinicians with their licences, interpreters with their languages.',
    needs: 'people.write',
  },
  { href: '/clinic/places', words: 'Places', what: 'Sites and their rooms.', needs: 'place.write' },
  {
    href: '/clinic/holidays',
    words: 'Holidays',
    what: 'Days on which the clinic is closed.',
    needs: 'place.write',
  },
  {
    href: '/clinic/standby',
    words: 'Standby list',
    what: 'Who would come sooner, and who is being asked.',
    needs: 'standby.read',
  },
  {
    href: '/clinic/waits',
    words: 'Waits',
    what: 'How long a routine patient waits for each clinician.',
    needs: 'waits.read',
  },
  {
    href: '/clinic/learning',
    words: 'What the clinic learns',
    what: 'What came of visits and of what screening promised, counted.',
    needs: 'learning.read',
  },
  {
    href: '/clinic/protocol',
    words: 'Protocol',
    what: 'What is examined and when it is safe: the version in force, and the next one.',
    needs: 'protocol.read',
  },
  {
    href: '/clinic/calendar',
    words: 'Calendars',
    what: 'Each clinician’s visits in their own calendar program.',
    needs: 'feed.write',
  },
  {
    href: '/clinic/accounts',
    words: 'Accounts',
    what: 'Who can sign in, and as what.',
    needs: 'account.write',
  },
  {
    href: '/clinic/passphrase',
    words: 'Your passphrase',
    what: 'The one you sign in with.',
    needs: 'passphrase.write',
  },
]

/** At most six, in words. */
export function waysOf(actor: StaffActor): { href: string; words: string }[] {
  return open(WAYS, actor).map(({ href, words }) => ({ href, words }))
}

/** What of the clinic itself somebody may keep or look at. */
export function clinicWaysOf(actor: StaffActor): { href: string; words: string; what: string }[] {
  return open(CLINIC_WAYS, actor).map(({ href, words, what }) => ({ href, words, what }))
}

/** A clinician begins with the day's visits, everybody else with the first thing they may see. */
export function firstPageOf(actor: StaffActor): string {
  if (actor.role === 'clinician') return '/board'
  return waysOf(actor)[0]?.href ?? '/not-allowed'
}

/** A way is open to a role that may do it at all, also where that is for its own list alone. */
function open<W extends Way>(ways: readonly W[], { role }: StaffActor): W[] {
  return ways.filter(({ needs }) => MATRIX[needs][role] !== 'never')
}
