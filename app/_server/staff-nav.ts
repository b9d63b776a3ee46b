/** Which ways stand in the line at the top, and where does somebody begin? Only what their role may see. */
import type { StaffActor } from '#lib/domain/access/actor.ts'
import { type Action, may } from '#lib/domain/access/policy.ts'

const WAYS: readonly { href: string; words: string; needs: Action }[] = [
  { href: '/desk', words: 'Desk', needs: 'referral.read' },
  { href: '/board', words: 'Board', needs: 'board.read' },
  { href: '/referrals/new', words: 'New referral', needs: 'referral.add' },
  { href: '/referrals/import', words: 'Bring in a file', needs: 'referral.import' },
  { href: '/tray', words: 'Mail tray', needs: 'tray.read' },
]

/** At most six, in words. */
export function waysOf(actor: StaffActor): { href: string; words: string }[] {
  return WAYS.filter(({ needs }) => may(actor, needs)).map(({ href, words }) => ({ href, words }))
}

/** A clinician begins with the day's visits, everybody else with the first thing they may see. */
export function firstPageOf(actor: StaffActor): string {
  if (actor.role === 'clinician') return '/board'
  return waysOf(actor)[0]?.href ?? '/not-allowed'
}
