'use client'

/** Whether a script runs here. What only a script can do is shown only then: without one it would stand there dead. */
import { useSyncExternalStore } from 'react'

export function useScript(): boolean {
  return useSyncExternalStore(
    () => () => {},
    () => true,
    () => false,
  )
}
