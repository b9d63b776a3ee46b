'use client'

/** The queue of this visit in this window, for every form of the run sheet. */
import { createContext, type ReactNode, use, useEffect, useState, useSyncExternalStore } from 'react'
import { EntryQueue, type QueueState } from './entry-queue.ts'

const RunContext = createContext<EntryQueue | null>(null)

export function RunProvider({ visitId, staffId, children }: { visitId: string; staffId: string; children: ReactNode }) {
  const [queue] = useState(() => new EntryQueue(visitId, staffId))
  useEffect(() => queue.start(), [queue])
  return <RunContext value={queue}>{children}</RunContext>
}

export function useRun(): { queue: EntryQueue; state: QueueState } {
  const queue = use(RunContext)
  if (queue === null) throw new Error('outside of a run sheet')
  return { queue, state: useSyncExternalStore(queue.subscribe, queue.snapshot, queue.serverSnapshot) }
}
