'use client'

/**
 * Warns before idle time runs out and lets one go on, with everything that was typed still in the page (WCAG 2.2 SC
 * 2.2.1). Once time has run out one signs in again in a new tab and comes back to the same page. Nothing typed is stored
 * anywhere meanwhile: a store would outlive the person at the screen (ASVS 5.0 14.3.3).
 */
import { useCallback, useEffect, useRef, useState } from 'react'
import { Button } from '#app/_ui/button.tsx'
import styles from './staff.module.css'

type Phase = 'quiet' | 'warning' | 'ended'

const KEEP_ALIVE = '/api/keep-alive'
const MINUTE_MS = 60_000

type Props = {
  /** Time left when the page was made. A length, not a moment: this machine's clock may be wrong. */
  leftMs: number
  warnBeforeMin: number
}

export function IdleWarning({ leftMs, warnBeforeMin }: Props) {
  const dialog = useRef<HTMLDialogElement>(null)
  const [phase, setPhase] = useState<Phase>('quiet')
  /** By this page's own running clock. */
  const [endsAt, setEndsAt] = useState<number | null>(null)

  const learn = useCallback((left: number | 'ended' | 'no_line') => {
    // Without a line nobody knows; nothing is said, and above all nothing is put over the page.
    if (left === 'no_line') return
    if (left === 'ended') return setPhase('ended')
    setPhase('quiet')
    setEndsAt(performance.now() + left)
  }, [])

  useEffect(() => learn(leftMs), [leftMs, learn])

  // Typing is activity that the server cannot see: it is told, at most once a minute.
  useEffect(() => {
    let toldAt = performance.now()
    const tell = async () => {
      if (performance.now() - toldAt < MINUTE_MS || dialog.current?.open) return
      toldAt = performance.now()
      learn(await ask('POST'))
    }
    const signs = ['keydown', 'pointerdown'] as const
    for (const sign of signs) window.addEventListener(sign, tell, { passive: true })
    return () => {
      for (const sign of signs) window.removeEventListener(sign, tell)
    }
  }, [learn])

  // The server is asked before anything is said: another tab may have kept the session, or ended it.
  useEffect(() => {
    if (endsAt === null) return
    const look = async () => {
      const left = await ask('GET')
      // Asked again a minute later.
      if (left === 'no_line') setEndsAt(performance.now() + (warnBeforeMin + 1) * MINUTE_MS)
      else if (left === 'ended' || left > warnBeforeMin * MINUTE_MS) learn(left)
      else setPhase('warning')
    }
    const after = (moment: number) => window.setTimeout(look, Math.max(0, moment - performance.now()))
    const warning = after(endsAt - warnBeforeMin * MINUTE_MS)
    const end = after(endsAt + SECOND_MS)
    return () => {
      window.clearTimeout(warning)
      window.clearTimeout(end)
    }
  }, [endsAt, warnBeforeMin, learn])

  useEffect(() => {
    if (phase === 'quiet') dialog.current?.close()
    else if (!dialog.current?.open) dialog.current?.showModal()
  }, [phase])

  const goOn = async () => learn(await ask('POST'))

  return (
    <dialog
      ref={dialog}
      className={styles.warning}
      aria-labelledby="idle-heading"
      onCancel={(event) => event.preventDefault()}
    >
      {phase === 'ended' ? (
        <>
          <h2 id="idle-heading">You were signed out</h2>
          <p>What you typed is still here. Sign in again in a new tab, then come back to this one and go on.</p>
          <p>
            <a href="/sign-in" target="_blank" rel="noopener">
              Sign in in a new tab
            </a>
          </p>
          <Button type="button" onClick={goOn}>
            I have signed in, go on
          </Button>
        </>
      ) : (
        <>
          <h2 id="idle-heading">Are you still there?</h2>
          <p>
            Nothing was done here for a while. In {warnBeforeMin} minutes you will be signed out. What you typed stays
            in this page.
          </p>
          <Button type="button" onClick={goOn}>
            Stay signed in
          </Button>
        </>
      )}
    </dialog>
  )
}

const SECOND_MS = 1000

/** Milliseconds left; or the session has ended; or the server cannot be reached. */
async function ask(method: 'GET' | 'POST'): Promise<number | 'ended' | 'no_line'> {
  const response = await fetch(KEEP_ALIVE, { method, cache: 'no-store' }).catch(() => null)
  if (response === null || response.status >= 500) return 'no_line'
  if (!response.ok) return 'ended'
  const { leftMs } = (await response.json()) as { leftMs: number }
  return leftMs
}
