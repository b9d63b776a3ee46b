'use client'

/**
 * One form of the run sheet. Without a script it is sent as it is; with one every change is kept in the browser at once and
 * sent when there is a line, and what was kept is there again after a reload.
 */
import { type ReactNode, useActionState, useEffect, useRef, useState } from 'react'
import { EMPTY_FORM, type FormAction, valuesOf } from '#app/_ui/form-state.ts'
import { type EntryFault, readCheckEntry, readStationEntry } from '#lib/domain/outcomes/read-entry.ts'
import { sayEntry } from '#lib/domain/outcomes/say-entry.ts'
import type { Measure } from '#lib/domain/protocol/schema.ts'
import styles from './run.module.css'
import { useRun } from './run-context.tsx'
import { slotOf, type What } from './slot.ts'

/** A form without its fields: whose they are. */
type Subject =
  | { kind: 'check'; item: Extract<What, { kind: 'check' }>['item'] }
  | Omit<Extract<What, { kind: 'station' }>, 'fields'>

type Props = {
  action: FormAction
  subject: Subject
  /** Version that the page shows; 0 = nothing stands yet. */
  base: number
  /** What stands, in words, with who and when; null = nothing. */
  stands: string | null
  measures: readonly Measure[]
  entryId: string
  isLocked: boolean
  children: ReactNode
}

const WAIT_MS = 900

export function EntryForm({ action, subject, base, stands, measures, entryId, isLocked, children }: Props) {
  const { queue, state } = useRun()
  const [sent, submit] = useActionState(action, EMPTY_FORM)
  const form = useRef<HTMLFormElement>(null)
  const timer = useRef<ReturnType<typeof setTimeout>>(undefined)
  const [faults, setFaults] = useState<readonly EntryFault[]>([])
  const slot = slotOf({ ...subject, fields: {} })
  const now = state.slots[slot]
  const version = now?.version ?? base

  useEffect(() => {
    const waiting = queue.waitingFor(slot)
    if (waiting && form.current) fill(form.current, waiting.fields)
  }, [queue, slot])

  const keep = (isFinal: boolean) => {
    clearTimeout(timer.current)
    if (form.current === null || isLocked) return
    const {
      kind: _kind,
      item: _item,
      stationId: _station,
      side: _side,
      wayId: _way,
      base: _base,
      entryId: _id,
      ...fields
    } = valuesOf(new FormData(form.current))
    const read = subject.kind === 'check' ? readCheckEntry(fields) : readStationEntry(fields, measures)
    if (!read.ok) {
      // Half an entry is no fault while it is being made.
      if (isFinal) setFaults(read.error)
      return
    }
    setFaults([])
    const said =
      'state' in read.value
        ? read.value.state === 'confirmed'
          ? 'Confirmed'
          : `Skipped: ${read.value.because}`
        : sayEntry(read.value, measures)
    queue.add({ ...subject, fields }, version, said)
  }

  const shown = now?.faults ?? (faults.length > 0 ? faults : sent.errors)
  const words = {
    saved: 'Written down',
    waiting: 'Kept here, not sent yet',
    conflict: 'Two entries disagree',
    refused: 'Not taken',
    locked: 'The record is locked: nothing more is taken here',
  }
  return (
    <form
      ref={form}
      action={submit}
      noValidate
      className={styles.entry}
      onSubmit={(event) => {
        event.preventDefault()
        keep(true)
      }}
      onChange={(event) => {
        clearTimeout(timer.current)
        const isTyped = event.target instanceof HTMLInputElement && ['text', 'number'].includes(event.target.type)
        if (isTyped) timer.current = setTimeout(() => keep(false), WAIT_MS)
        else keep(false)
      }}
      onBlur={(event) => {
        if (event.target instanceof HTMLInputElement && timer.current !== undefined) keep(false)
      }}
    >
      <input type="hidden" name="kind" value={subject.kind} />
      {subject.kind === 'check' ? (
        <input type="hidden" name="item" value={subject.item} />
      ) : (
        <>
          <input type="hidden" name="stationId" value={subject.stationId} />
          <input type="hidden" name="side" value={subject.side} />
          <input type="hidden" name="wayId" value={subject.wayId} />
        </>
      )}
      <input type="hidden" name="base" value={base} />
      <input type="hidden" name="entryId" value={entryId} />
      <div className={styles.fields}>{children}</div>
      {shown.length > 0 && (
        <ul className={styles.faults} role="alert">
          {shown.map(({ field, message }) => (
            <li key={field + message}>{message}</li>
          ))}
        </ul>
      )}
      <p className={styles.stands} data-state={now?.state ?? (stands === null ? 'open' : 'saved')} role="status">
        {now ? (
          <>
            <strong>{words[now.state]}</strong>
            {now.said !== '' && `: ${now.said}`}
          </>
        ) : (
          stands
        )}
      </p>
      {now?.state === 'conflict' && now.standing && (
        <div className={styles.conflict} role="alert">
          <p>
            <strong>{now.standing.by} wrote meanwhile:</strong> {now.standing.said}
          </p>
          <p>
            <strong>You wrote:</strong> {now.said}
          </p>
          <p className={styles.row}>
            <button type="button" className={styles.small} onClick={() => queue.choose(slot, true)}>
              Write mine over it
            </button>
            <button type="button" className={styles.small} onClick={() => queue.choose(slot, false)}>
              Keep what {now.standing.by} wrote
            </button>
          </p>
        </div>
      )}
      {!isLocked && (
        <button type="submit" className={styles.small}>
          Write it down
        </button>
      )}
    </form>
  )
}

/** Puts what was kept back into the fields. */
function fill(form: HTMLFormElement, fields: Readonly<Record<string, string>>): void {
  for (const input of form.elements) {
    if (!(input instanceof HTMLInputElement || input instanceof HTMLSelectElement)) continue
    const value = fields[input.name]
    if (value === undefined || input.type === 'hidden') continue
    if (input instanceof HTMLInputElement && input.type === 'radio') input.checked = input.value === value
    else input.value = value
  }
}
