'use client'

/** Whether the clinic has everything that was written, in words; heard when it changes. */
import { Mark } from '#app/_ui/mark.tsx'
import { useScript } from '#app/_ui/use-script.ts'
import { useRun } from './run-context.tsx'

export function LineState() {
  const { state } = useRun()
  const hasScript = useScript()
  const disputed = Object.values(state.slots).filter((slot) => slot.state === 'conflict').length
  const entries = state.waiting === 1 ? '1 entry waits' : `${state.waiting} entries wait`
  return (
    <span role="status">
      {!hasScript ? null : disputed > 0 ? (
        <Mark state="late">
          {disputed === 1 ? 'Two entries disagree: choose below' : `${disputed} entries disagree: choose below`}
        </Mark>
      ) : state.line === 'signed_out' ? (
        <Mark state="cannot">Signed out: {entries} here. Sign in again in another window.</Mark>
      ) : state.line === 'lost' ? (
        <Mark state="late">No line: {entries} here and will be sent. Don’t close this window.</Mark>
      ) : state.waiting > 0 ? (
        <Mark state="waiting">{entries} here</Mark>
      ) : (
        <Mark state="done">All written down</Mark>
      )}
    </span>
  )
}
