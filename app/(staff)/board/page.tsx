/**
 * The readiness board: one day of the clinic, line by line, so that a clinician sees at a glance who is ready, who isn't and
 * what to do about it, without leaving the page.
 */
import type { Metadata } from 'next'
import { buildId } from '#app/_server/build-id.ts'
import { type StaffCtx, staffContext } from '#app/_server/staff-page.ts'
import { Notice } from '#app/_ui/notice.tsx'
import { Temporal } from '#lib/base/time.ts'
import { MATRIX } from '#lib/domain/access/policy.ts'
import type { Board, ShownVisit } from '#lib/usecases/read-board.ts'
import { CallAct, ConfirmAct, InPersonAct, SendAct } from './acts.tsx'
import { ACTS, type Act, type BoardAddress, type Done, readAddress, readAskedWays } from './address.ts'
import { boardHref } from './board-href.ts'
import { BoardView } from './board-view.tsx'
import { OpenedVisit } from './opened-visit.tsx'
import { PlanAct } from './plan-act.tsx'
import { readSharedBoard } from './shared-board.ts'

export const metadata: Metadata = { title: 'Readiness board' }

export default async function BoardPage({ searchParams }: PageProps<'/board'>) {
  const ctx = await staffContext('board.read')
  const query = await searchParams
  const address = readAddress(query)
  // Before it is read, so that nothing that is said meanwhile is missed.
  const askedAtMs = ctx.now().epochMilliseconds
  const { board, words } = await readSharedBoard(ctx, address)
  const opened = board.visits.find(({ visitId }) => visitId === address.open)
  const closed = boardHref(address, { open: null, act: null, did: null })
  return (
    <BoardView
      reading={{ words, askedAtMs }}
      from={{ address: closed, build: buildId() }}
      address={address}
      openedId={opened?.visitId ?? null}
    >
      {opened && (
        <Opened
          ctx={ctx}
          visit={opened}
          board={board}
          address={address}
          asked={readAskedWays(query)}
          now={Temporal.Instant.from(board.now)}
        />
      )}
    </BoardView>
  )
}

const DONE_WORDS: Record<Done, string> = {
  confirmed: 'Written down as confirmed by phone.',
  sent: 'The patient is being asked again by mail.',
  planned: 'The exam is changed. It says above what the visit is now.',
  moved: 'This patient now comes to the clinic. The visit stands at its new time.',
  asked_for_start: 'Decided: in person. A task asks the desk to find a start.',
}

function Opened({
  ctx,
  visit,
  board,
  address,
  asked,
  now,
}: {
  ctx: StaffCtx
  visit: ShownVisit
  board: Board
  address: BoardAddress
  asked: Record<string, string | null> | null
  now: Temporal.Instant
}) {
  // At the clinic there is nothing to prepare at home, and no plan to change.
  const possible = visit.status !== 'booked' ? [] : visit.mode === 'video' ? ACTS : ACTS.filter((act) => act === 'call')
  const acts = possible.filter((act) => MATRIX[NEEDS[act]][ctx.actor.role] !== 'never')
  const act = address.act !== null && acts.includes(address.act) ? address.act : null
  const props = { ctx, visit, board, address }
  return (
    <OpenedVisit visit={visit} timeZone={board.timeZone} now={now} address={address} acts={acts}>
      {address.did !== null && (
        <div role="status">
          <Notice kind="note" heading={DONE_WORDS[address.did]} level={3} />
        </div>
      )}
      {act === 'call' && <CallAct {...props} />}
      {act === 'send' && <SendAct {...props} />}
      {act === 'confirm' && <ConfirmAct {...props} />}
      {act === 'plan' && <PlanAct ctx={ctx} visitId={visit.visitId} address={address} asked={asked} />}
      {act === 'in-person' && <InPersonAct {...props} />}
    </OpenedVisit>
  )
}

const NEEDS = {
  call: 'visit.read',
  send: 'missing.send',
  confirm: 'readiness.confirm',
  plan: 'plan.adjust',
  'in-person': 'screening.overrule',
} as const satisfies Record<Act, string>
