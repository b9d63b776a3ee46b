'use client'

/**
 * One click stops the visit for safety: the steps, the place and the numbers are on the page already and are shown at once,
 * with or without a line; the stop is recorded like any other entry.
 */
import { type ReactNode, useActionState, useEffect, useRef, useState } from 'react'
import { EMPTY_FORM, type FormAction } from '#app/_ui/form-state.ts'
import { useScript } from '#app/_ui/use-script.ts'
import styles from './run.module.css'
import { useRun } from './run-context.tsx'

type Props = { action: FormAction; entryId: string; isStopped: boolean; isLocked: boolean; children: ReactNode }

export function SafetyStop({ action, entryId, isStopped, isLocked, children }: Props) {
  const { queue, state } = useRun()
  const [sent, submit] = useActionState(action, EMPTY_FORM, '#safety')
  const [isPressed, setPressed] = useState(false)
  const panel = useRef<HTMLDivElement>(null)
  const isWaiting = state.slots.safety !== undefined
  // The steps are shown however the stop fares.
  const isOpen = isStopped || isPressed || isWaiting || sent.attempt > 0
  useEffect(() => {
    if (isPressed) panel.current?.focus()
  }, [isPressed])
  const form = useRef<HTMLFormElement>(null)
  const hasScript = useScript()
  useEffect(() => {
    // From deep down the sheet the button is a hundred stops of the Tab key away.
    const press = (event: KeyboardEvent) => {
      if (!(event.altKey && event.shiftKey && event.code === 'KeyS')) return
      event.preventDefault()
      if (form.current) form.current.requestSubmit()
      else panel.current?.focus()
    }
    window.addEventListener('keydown', press)
    return () => window.removeEventListener('keydown', press)
  }, [])
  return (
    <div id="safety">
      {!isOpen && !isLocked && (
        <form
          ref={form}
          action={submit}
          className={styles.row}
          onSubmit={(event) => {
            event.preventDefault()
            setPressed(true)
            queue.add({ kind: 'stop', fields: {} }, 0, '')
          }}
        >
          <input type="hidden" name="kind" value="stop" />
          <input type="hidden" name="base" value="0" />
          <input type="hidden" name="entryId" value={entryId} />
          <button type="submit" className={styles.stop} aria-keyshortcuts="Alt+Shift+S">
            Stop for safety
            {hasScript && (
              <span className={styles.keys} aria-hidden="true">
                Alt+Shift+S
              </span>
            )}
          </button>
        </form>
      )}
      <div ref={panel} tabIndex={-1} className={styles.emergency} hidden={!isOpen} role="alert">
        {children}
        <p>
          {isStopped || state.slots.safety?.state === 'saved'
            ? 'The stop is recorded, and the desk has a task to call.'
            : state.slots.safety?.state === 'waiting'
              ? 'The stop is kept here and told to the desk as soon as there is a line. Tell the desk yourself meanwhile.'
              : 'The stop could not be recorded: it is too early, or the record is signed. Tell the desk yourself.'}
        </p>
      </div>
    </div>
  )
}
