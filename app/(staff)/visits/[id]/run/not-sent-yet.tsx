'use client'

/** Beside the signature: entries of this visit that still wait in this browser. A signed record takes them no more. */
import Link from 'next/link'
import { useRouter } from 'next/navigation'
import { useEffect, useRef } from 'react'
import { Notice } from '#app/_ui/notice.tsx'
import { LineState } from './line-state.tsx'
import { useRun } from './run-context.tsx'

export function NotSentYet({ runSheet }: { runSheet: string }) {
  const { state } = useRun()
  const router = useRouter()
  const waited = useRef(false)
  useEffect(() => {
    // Once all are sent, the page is read again: it shows them, and what is signed is what it shows.
    if (waited.current && state.waiting === 0) router.refresh()
    waited.current = state.waiting > 0
  }, [state.waiting, router])
  if (state.waiting === 0) return null
  return (
    <Notice kind="caution" heading="Not everything has reached the record: do not sign yet">
      <p>
        <LineState />
      </p>
      <p>
        <Link href={runSheet}>Look at it on the run sheet</Link>
      </p>
    </Notice>
  )
}
