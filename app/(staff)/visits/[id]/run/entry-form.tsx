'use client'

/**
 * One form of the run sheet. Without a script it is sent as it is; with one every change is kept in the browser soon after
 * and sent when there is a line, and what was kept is there again after a reload. Soon, not at once: arrow keys pass over
 * answers that nobody means.
 */
import { type ReactNode, useActionState, useEffect, useEffectEvent, useRef, useState } from 'react'
import { FormContext } from '#app/_ui/form-context.ts'
import { EMPTY_FORM, type FormAction, valuesOf } from '#app/_ui/form-state.ts'
import { type EntryFault, readCheckEntry, readStationEntry } from '#lib/domain/outcomes/read-entry.ts'
import { sayEntry } from '#lib/domain/outcomes/say-entry.ts'
import type { Measure } from '#lib/domain/protocol/schema.ts'
import { faultId } from './entry-fields.tsx'
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
  /** What stands, in words; null = nothing. */
  stands: string | null
  /** Who wrote that, and when. */
  writtenBy: ReactNode
  measures: readonly Measure[]
  entryId: string
  isLocked: boolean
  children: ReactNode
}

const WAIT_MS = 900

const WORDS = {
  saved: 'Written down',
  waiting: 'Kept here, not sent yet',
  conflict: 'Two entries disagree',
  refused: 'Not taken',
  locked: 'The record is locked: nothing more is taken here',
}

export function EntryForm({ action, subject, base, stands, writtenBy, measures, entryId, isLocked, children }: Props) {
  const { queue, state } = useRun()
  const slot = slotOf({ ...subject, fields: {} })
  // Without a script the page comes back at this form, and at what is wrong with it.
  const [sent, submit] = useActionState(action, EMPTY_FORM, `#${slot}`)
  const form = useRef<HTMLFormElement>(null)
  const deed = useRef<HTMLButtonElement>(null)
  const timer = useRef<ReturnType<typeof setTimeout>>(undefined)
  /** What is missing in what was entered here; null = nothing was entered since the page came. */
  const [missing, setMissing] = useState<readonly EntryFault[] | null>(null)
  /** Somebody asked to write it down as it is. */
  const [isAsked, setAsked] = useState(false)
  const now = state.slots[slot]

  useEffect(() => {
    const waiting = queue.waitingFor(slot)
    if (waiting && form.current) fill(form.current, waiting.fields)
  }, [queue, slot])

  const keep = (asked: boolean) => {
    clearTimeout(timer.current)
    timer.current = undefined
    if (form.current === null || isLocked) return
    const fields = entered(form.current)
    const isEmpty = Object.values(fields).every((value) => value === '')
    const read = subject.kind === 'check' ? readCheckEntry(fields) : readStationEntry(fields, measures)
    setAsked(asked)
    if (!read.ok) {
      setMissing(isEmpty && !asked ? null : read.error)
      if (asked) focusFirst(form.current, read.error)
      return
    }
    setMissing([])
    const said =
      'state' in read.value
        ? read.value.state === 'confirmed'
          ? 'Confirmed'
          : `Skipped: ${read.value.because}`
        : sayEntry(read.value, measures)
    // As it stands now, not as it stood when the change was made: what went before may have been written meanwhile.
    queue.add({ ...subject, fields }, queue.snapshot().slots[slot]?.version ?? base, said)
  }
  const keepPending = () => {
    if (timer.current !== undefined) keep(false)
  }
  const onLeave = useEffectEvent(keepPending)
  useEffect(() => {
    window.addEventListener('pagehide', onLeave)
    return () => window.removeEventListener('pagehide', onLeave)
  }, [])

  const choose = (mine: boolean) => {
    if (!mine && now?.standing && form.current) fill(form.current, now.standing.fields)
    queue.choose(slot, mine)
    // The button that was pressed goes.
    deed.current?.focus()
  }

  const isHalf = missing !== null && missing.length > 0
  const faults = isHalf ? (isAsked ? missing : []) : (now?.faults ?? (missing === null ? sent.errors : []))
  const stood = now?.said || stands
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
      onChange={() => {
        clearTimeout(timer.current)
        timer.current = setTimeout(() => keep(false), WAIT_MS)
      }}
      onBlur={(event) => {
        if (!event.currentTarget.contains(event.relatedTarget)) keepPending()
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
      {faults.length > 0 && (
        <ul className={styles.faults} role="alert">
          {faults.map(({ field, message }) => (
            <li key={field + message} id={faultId(slot, field)}>
              {message}
            </li>
          ))}
        </ul>
      )}
      <FormContext value={{ ...sent, errors: faults }}>
        <div className={styles.fields}>{children}</div>
      </FormContext>
      {now?.state === 'conflict' && now.standing && (
        <div className={styles.conflict} role="alert">
          <p>
            <strong>{now.standing.by} wrote meanwhile:</strong> {now.standing.said}
          </p>
          <p>
            <strong>You wrote:</strong> {now.said}
          </p>
          <p className={styles.row}>
            <button type="button" className={styles.small} onClick={() => choose(true)}>
              Write mine over it
            </button>
            <button type="button" className={styles.small} onClick={() => choose(false)}>
              Keep what {now.standing.by} wrote
            </button>
          </p>
        </div>
      )}
      <div className={styles.foot}>
        {!isLocked && (
          <button ref={deed} type="submit" className={styles.small}>
            Write it down
          </button>
        )}
        <p
          className={styles.stands}
          data-state={isHalf ? 'half' : (now?.state ?? (stands === null ? 'open' : 'saved'))}
          role="status"
        >
          {isHalf ? (
            <>
              <strong>Not written down yet</strong>
              {!isAsked && `: ${missing.map(({ message }) => lowerFirst(message)).join('; ')}`}.
              {stood !== null && ` Until then: ${stood}`}
            </>
          ) : now ? (
            <>
              <strong>{WORDS[now.state]}</strong>
              {now.said !== '' && `: ${now.said}`}
            </>
          ) : (
            <>
              {stands} {writtenBy}
            </>
          )}
        </p>
      </div>
    </form>
  )
}

/** What stands in the form's own fields, without what says whose they are. */
function entered(form: HTMLFormElement): Record<string, string> {
  const {
    kind: _kind,
    item: _item,
    stationId: _station,
    side: _side,
    wayId: _way,
    base: _base,
    entryId: _id,
    ...fields
  } = valuesOf(new FormData(form))
  return fields
}

/** Leads to the first field, as they stand on the page, that has to be put right. */
function focusFirst(form: HTMLFormElement, faults: readonly EntryFault[]): void {
  const wrong = [...form.elements].find((input) => faults.some(({ field }) => field === input.getAttribute('name')))
  if (wrong instanceof HTMLElement) wrong.focus()
}

/** Puts what was kept, or what somebody else wrote, into the fields. */
function fill(form: HTMLFormElement, fields: Readonly<Record<string, string>>): void {
  for (const input of form.elements) {
    if (!(input instanceof HTMLInputElement || input instanceof HTMLSelectElement) || input.type === 'hidden') continue
    const value = fields[input.name] ?? ''
    if (input instanceof HTMLInputElement && input.type === 'radio') input.checked = input.value === value
    else input.value = value
  }
}

function lowerFirst(words: string): string {
  return words.charAt(0).toLowerCase() + words.slice(1)
}
