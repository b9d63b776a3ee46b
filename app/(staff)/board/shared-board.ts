/**
 * The board with the words of its lines. It is the same for everybody who may see it, so it is read for all of them at once,
 * and kept while nothing on it changes and its minute lasts: its words tell time in whole minutes.
 */
import { sharedBoardChanges } from '#app/_server/board-changes.ts'
import { keepReadings } from '#app/_server/keep-readings.ts'
import { shareReadings } from '#app/_server/share-readings.ts'
import type { StaffCtx } from '#app/_server/staff-page.ts'
import { invariant } from '#lib/base/invariant.ts'
import { Temporal } from '#lib/base/time.ts'
import { type Board, type ReadBoardInput, readBoard, type ShownVisit } from '#lib/usecases/read-board.ts'
import { type RowWords, rowWords } from './row-words.ts'

export type SharedBoard = { board: Board; groups: readonly BoardGroup[] }
/** `clinician` is null where all stand together; `rows` is `RowWords[]` of its visits, as JSON. */
export type BoardGroup = { clinician: Board['clinicians'][number] | null; visits: ShownVisit[]; rows: string }

const share = shareReadings<SharedBoard>()
const keep = keepReadings<SharedBoard>()

/** For whoever has been let in by `staffContext('board.read')`. */
export function readSharedBoard(ctx: StaffCtx, asked: ReadBoardInput): Promise<SharedBoard> {
  const { day, show, clinicianId, mode, missing, sort, page } = asked
  const { clinicId } = ctx.actor
  const key = JSON.stringify([clinicId, day, show, clinicianId, mode, missing, sort, page])
  return share(key, async () => {
    const changes = await sharedBoardChanges().standing(clinicId)
    const minute = Math.floor(ctx.now().epochMilliseconds / 60_000)
    return keep(key, changes && `${changes} ${minute}`, () => readNow(ctx, asked))
  })
}

async function readNow(ctx: StaffCtx, asked: ReadBoardInput): Promise<SharedBoard> {
  const result = await readBoard(ctx, asked)
  invariant(result.ok, 'whoever sees the page may read the board')
  const board = result.value
  return { board, groups: groupsOf(board, asked.sort === 'clinician') }
}

function groupsOf(board: Board, byClinician: boolean): BoardGroup[] {
  const now = Temporal.Instant.from(board.now)
  const group = (visits: ShownVisit[], clinician: BoardGroup['clinician']): BoardGroup => {
    const rows: RowWords[] = visits.map((visit) => rowWords(visit, board.timeZone, now))
    return { clinician, visits, rows: JSON.stringify(rows) }
  }
  if (!byClinician) return board.visits.length === 0 ? [] : [group(board.visits, null)]
  const byId = new Map(board.clinicians.map((clinician) => [clinician.id, clinician]))
  return [...Map.groupBy(board.visits, ({ clinicianId }) => clinicianId)].map(([id, visits]) => {
    const clinician = byId.get(id)
    invariant(clinician, 'whoever has a visit on the day is among its clinicians')
    return group(visits, clinician)
  })
}
