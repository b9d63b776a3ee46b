/**
 * Who looks at which day of a board in this process, and what the database says of changes. One listening connection a
 * process, however many browsers look; what was said lately is remembered, so that nobody misses what was said between the
 * reading of their page and the opening of their stream.
 */
import { randomUUID } from 'node:crypto'
import { type Database, notify } from '#db/client.ts'

const CHANNEL = 'board_changes'
/** What a process says to itself begins with it, in the place of a clinic. */
const ECHO = '~'
/** An echo takes milliseconds. Where none comes, the connection is broken and does not know it yet. */
const ECHO_WITHIN_MS = 1000
/** Whoever asks about an earlier time than is remembered is told to look again. */
const MEMORY_MS = 10 * 60_000
/** Clocks of several processes, and the time between a page's clock reading and its first query. */
const SLACK_MS = 2000

/** Part of one clinic's calendar, in milliseconds since 1970: [from, to). */
export type Watched = { clinicId: string; fromMs: number; toMs: number }
type Change = { clinicId: string; startsAtMs: number | null; saidAtMs: number }
type Watcher = Watched & { tell: () => void; end: () => void }

export type BoardChanges = {
  /**
   * Calls `tell` at each change, and at once when there was one since `sinceMs`, or there may have been. `end` is called
   * when the process stops. Returns what ends the watching.
   */
  watch(watched: Watched, sinceMs: number, tell: () => void, end: () => void): () => void
  /**
   * A text that is another one after each change on any day of the clinic: the same twice means that nothing changed between
   * the two calls. Null where that can't be told, because the database is not heard just now.
   */
  standing(clinicId: string): Promise<string | null>
  close(): Promise<void>
}

/** Begins to listen. */
export async function listenForBoardChanges(database: Pick<Database, 'db' | 'listen'>): Promise<BoardChanges> {
  const watchers = new Set<Watcher>()
  let said: Change[] = []
  let listeningSinceMs = Number.POSITIVE_INFINITY
  let isClosed = false
  const counts = new Map<string, number>()
  let breaks = 0
  const echoes = new Map<string, () => void>()

  const hear = (payload: string) => {
    if (payload.startsWith(ECHO)) {
      echoes.get(payload)?.()
      return
    }
    const nowMs = Date.now()
    const change = { ...readChange(payload), saidAtMs: nowMs }
    if (said[0] && said[0].saidAtMs < nowMs - MEMORY_MS) {
      said = said.filter(({ saidAtMs }) => saidAtMs >= nowMs - MEMORY_MS / 2)
      listeningSinceMs = Math.max(listeningSinceMs, nowMs - MEMORY_MS / 2)
    }
    said.push(change)
    counts.set(change.clinicId, (counts.get(change.clinicId) ?? 0) + 1)
    for (const watcher of watchers) if (concerns(change, watcher)) watcher.tell()
  }
  // Whatever was said during a break is lost: everybody looks again.
  const begin = () => {
    said = []
    breaks += 1
    listeningSinceMs = Date.now()
    for (const watcher of watchers) watcher.tell()
  }
  const stop = await database.listen(CHANNEL, hear, begin)

  /**
   * True when all that was committed before the call has been heard: "messages from different transactions are delivered in
   * the order in which the transactions committed" (PostgreSQL's manual, NOTIFY), so an echo of our own comes after it.
   */
  const heardAll = async (): Promise<boolean> => {
    const payload = `${ECHO} ${randomUUID()}`
    const { promise, resolve } = Promise.withResolvers<boolean>()
    const tooLong = setTimeout(() => resolve(false), ECHO_WITHIN_MS)
    echoes.set(payload, () => resolve(true))
    try {
      await notify(database.db, CHANNEL, payload)
      return await promise
    } finally {
      clearTimeout(tooLong)
      echoes.delete(payload)
    }
  }

  return {
    watch(watched, sinceMs, tell, end) {
      const watcher = { ...watched, tell, end }
      if (isClosed) {
        end()
        return () => {}
      }
      watchers.add(watcher)
      const missed = said.some((change) => change.saidAtMs >= sinceMs - SLACK_MS && concerns(change, watched))
      if (missed || sinceMs < listeningSinceMs) tell()
      return () => watchers.delete(watcher)
    },
    async standing(clinicId) {
      return !isClosed && (await heardAll()) ? `${breaks} ${counts.get(clinicId) ?? 0}` : null
    },
    async close() {
      isClosed = true
      for (const watcher of [...watchers]) watcher.end()
      watchers.clear()
      // The database may be away already, and is left anyway.
      await stop().catch(() => {})
    },
  }
}

function concerns({ clinicId, startsAtMs }: Change, watched: Watched): boolean {
  if (clinicId !== watched.clinicId) return false
  return startsAtMs === null || (startsAtMs >= watched.fromMs && startsAtMs < watched.toMs)
}

/** As `farstep_say_board` writes it. */
function readChange(payload: string): Omit<Change, 'saidAtMs'> {
  const at = payload.lastIndexOf(' ')
  const seconds = payload.slice(at + 1)
  return { clinicId: payload.slice(0, at), startsAtMs: seconds === '*' ? null : Number(seconds) * 1000 }
}

const SHARED = Symbol.for('farstep.board-changes')
const processWide = globalThis as { [SHARED]?: BoardChanges }

export function shareBoardChanges(changes: BoardChanges): void {
  processWide[SHARED] = changes
}

export function sharedBoardChanges(): BoardChanges {
  const changes = processWide[SHARED]
  if (!changes) throw new Error('Nobody listens for changes: that begins when the server starts')
  return changes
}
