'use client'

/** Signs out. Entries of a visit that wait in this browser for a line would be lost with it, so that is asked first. */
import { countWaiting, forgetEntries } from './visits/[id]/run/entry-queue.ts'

export function SignOutButton({ className }: { className: string | undefined }) {
  return (
    <button
      type="submit"
      className={className}
      onClick={(event) => {
        const waiting = countWaiting()
        const isSure =
          waiting === 0 ||
          window.confirm(`Entries of a visit that are not sent yet: ${waiting}. Sign out and lose them for good?`)
        if (isSure) forgetEntries()
        else event.preventDefault()
      }}
    >
      Sign out
    </button>
  )
}
