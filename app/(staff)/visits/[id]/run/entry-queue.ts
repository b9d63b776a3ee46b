/**
 * Entries that wait in this browser until the clinic has them. They are kept in `localStorage`, without names, by the
 * person who is signed in; taken out when the server has answered, and all of them at sign-out. One entry a slot waits: a
 * newer one takes its place. Sent one after another, oldest first, each with an id of its own, so that an answer that got
 * lost on the way back makes no second entry.
 */
import type { EntryFault } from '#lib/domain/outcomes/read-entry.ts'
import type { RecordEntryError, Standing } from '#lib/usecases/record-entry.ts'
import { slotOf, type What } from './slot.ts'

type Waiting = { visitId: string; slot: string; entryId: string; base: number; what: What; said: string }

/** How one slot stands in this window. */
export type SlotState = {
  version: number
  state: 'saved' | 'waiting' | 'conflict' | 'refused' | 'locked'
  said: string
  standing?: Standing
  faults?: readonly EntryFault[]
}

export type QueueState = {
  /** `lost`: no answer came; it is tried again. `signed_out`: somebody has to sign in again. */
  line: 'open' | 'lost' | 'signed_out'
  waiting: number
  slots: Readonly<Record<string, SlotState>>
}

const PREFIX = 'farstep-entries:'
const RETRY_MS = 4000
const NOTHING: QueueState = { line: 'open', waiting: 0, slots: {} }

/** Forgets everything that waits in this browser, whoever wrote it. Returns how many entries that were. */
export function countWaiting(): number {
  return keys().reduce((sum, key) => sum + readKey(key).length, 0)
}
export function forgetEntries(): void {
  for (const key of keys()) localStorage.removeItem(key)
}

function keys(): string[] {
  return Object.keys(localStorage).filter((key) => key.startsWith(PREFIX))
}

function readKey(key: string): Waiting[] {
  try {
    return JSON.parse(localStorage.getItem(key) ?? '[]') as Waiting[]
  } catch {
    return []
  }
}

/** The queue of one visit in one window. */
export class EntryQueue {
  private readonly visitId: string
  private readonly key: string
  private readonly listeners = new Set<() => void>()
  private state: QueueState = NOTHING
  private isSending = false
  private timer: ReturnType<typeof setTimeout> | undefined

  constructor(visitId: string, staffId: string) {
    this.visitId = visitId
    this.key = `${PREFIX}${staffId}`
  }

  readonly subscribe = (listener: () => void): (() => void) => {
    this.listeners.add(listener)
    return () => this.listeners.delete(listener)
  }
  readonly snapshot = (): QueueState => this.state
  readonly serverSnapshot = (): QueueState => NOTHING

  /** Begins with what waited from before, and with the line as the browser sees it. */
  start(): () => void {
    for (const entry of this.mine())
      this.setSlot(entry.slot, { version: entry.base, state: 'waiting', said: entry.said })
    const send = () => void this.send()
    window.addEventListener('online', send)
    send()
    return () => {
      window.removeEventListener('online', send)
      clearTimeout(this.timer)
    }
  }

  /** What waits for a slot. */
  waitingFor(slot: string): What | null {
    return this.mine().find((entry) => entry.slot === slot)?.what ?? null
  }

  /** Keeps an entry and sends it as soon as there is a line. */
  add(what: What, base: number, said: string): void {
    const slot = slotOf(what)
    const entry = { visitId: this.visitId, slot, entryId: crypto.randomUUID(), base, what, said }
    this.write((list) => [...list.filter((each) => each.visitId !== this.visitId || each.slot !== slot), entry])
    this.setSlot(slot, { version: base, state: 'waiting', said })
    void this.send()
  }

  /** Two wrote: mine is written over theirs, or given up. */
  choose(slot: string, mine: boolean): void {
    const entry = this.mine().find((each) => each.slot === slot)
    const standing = this.state.slots[slot]?.standing
    if (entry === undefined || standing === undefined) return
    if (mine) this.add(entry.what, standing.version, entry.said)
    else {
      this.take(entry)
      this.setSlot(slot, { version: standing.version, state: 'saved', said: standing.said })
    }
  }

  private mine(): Waiting[] {
    return readKey(this.key).filter(({ visitId }) => visitId === this.visitId)
  }

  private write(change: (list: Waiting[]) => Waiting[]): void {
    const list = change(readKey(this.key))
    if (list.length === 0) localStorage.removeItem(this.key)
    else localStorage.setItem(this.key, JSON.stringify(list))
  }

  private take({ entryId }: Waiting): void {
    this.write((list) => list.filter((each) => each.entryId !== entryId))
  }

  private async send(): Promise<void> {
    if (this.isSending) return
    this.isSending = true
    clearTimeout(this.timer)
    try {
      for (;;) {
        const next = this.mine().find(({ slot }) => {
          const state = this.state.slots[slot]?.state
          return state !== 'conflict' && state !== 'refused' && state !== 'locked'
        })
        if (next === undefined) break
        if (!(await this.deliver(next))) break
      }
    } finally {
      this.isSending = false
      this.publish({})
    }
  }

  /** Whether the next one may be tried. */
  private async deliver(entry: Waiting): Promise<boolean> {
    const { slot, entryId, base, what, said } = entry
    let response: Response
    try {
      response = await fetch(`/visits/${this.visitId}/run/entries`, {
        method: 'POST',
        headers: { 'content-type': 'application/json' },
        body: JSON.stringify({ entryId, base, what }),
      })
    } catch {
      return this.tryLater('lost')
    }
    if (response.status === 401 || response.status === 403) return this.tryLater('signed_out')
    if (response.status >= 500) return this.tryLater('lost')
    this.publish({ line: 'open' })
    if (response.ok) {
      const done = (await response.json()) as { version: number; said: string }
      this.take(entry)
      // Whatever was typed while this was on its way builds on what stands now.
      const newer = this.mine().find((each) => each.slot === slot)
      if (newer)
        this.write((list) =>
          list.map((each) =>
            each === newer || each.entryId === newer.entryId ? { ...each, base: done.version } : each,
          ),
        )
      this.setSlot(slot, { version: done.version, state: newer ? 'waiting' : 'saved', said: newer?.said ?? done.said })
      return true
    }
    const refusal = await refusalOf(response)
    if (refusal?.code === 'conflict')
      this.setSlot(slot, { version: base, state: 'conflict', said, standing: refusal.standing })
    else if (refusal?.code === 'refused')
      this.setSlot(slot, { version: base, state: 'refused', said, faults: refusal.faults })
    else this.setSlot(slot, { version: base, state: 'locked', said })
    return true
  }

  private tryLater(line: 'lost' | 'signed_out'): false {
    this.publish({ line })
    this.timer = setTimeout(() => void this.send(), RETRY_MS)
    return false
  }

  private setSlot(slot: string, state: SlotState): void {
    this.publish({ slots: { ...this.state.slots, [slot]: state } })
  }

  private publish(change: Partial<QueueState>): void {
    this.state = { ...this.state, ...change, waiting: this.mine().length }
    for (const listener of this.listeners) listener()
  }
}

async function refusalOf(response: Response): Promise<RecordEntryError | null> {
  try {
    return (await response.json()) as RecordEntryError
  } catch {
    return null
  }
}
