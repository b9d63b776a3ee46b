/**
 * The board and its words. It is the same for everybody who may see it, so it is read for all of them at once, and kept while
 * nothing on it changes and its minute lasts: its words tell time in whole minutes.
 */
import { sharedBoardChanges } from '#app/_server/board-changes.ts'
import { keepReadings } from '#app/_server/keep-readings.ts'
import { shareReadings } from '#app/_server/share-readings.ts'
import type { StaffCtx } from '#app/_server/staff-page.ts'
import { invariant } from '#lib/base/invariant.ts'
import { type Board, type ReadBoardInput, readBoard } from '#lib/usecases/read-board.ts'
import { boardWords } from './board-words.ts'

/** `words`: `BoardWords` as JSON. One text is passed on much faster than the many values in it. */
export type SharedBoard = { board: Board; words: string }

const share = shareReadings<SharedBoard>()
const keep = keepReadings<SharedBoard>()

/** For whoever has been let in to `board.read`. */
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
  return { board, words: JSON.stringify(boardWords(board, asked.sort === 'clinician')) }
}
