'use client'

/**
 * The frame of every form: title, error summary, fields, deed. It works without
 * JavaScript: the server renders the same page again with what was sent.
 */
import { type FormEvent, type ReactNode, useActionState, useEffect, useState } from 'react'
import { ErrorSummary } from './error-summary.tsx'
import styles from './form.module.css'
import { FormContext } from './form-context.ts'
import { tooLongToSend } from './form-size.ts'
import { EMPTY_FORM, type FormAction } from './form-state.ts'
import { wordsHere } from './words-here.ts'

type Props = {
  /** Already bound by the page. Binding in a client component would hang a submit without JavaScript. */
  action: FormAction
  children: ReactNode
  /** The page's whole title, when this is the page's only form; leave it out of `metadata` then. */
  title?: string | undefined
  /** Makes a submit that is sent twice one command (`once`). The page makes it: `ctx.newId('cmd')`. */
  commandKey?: string | undefined
  /** The heading of the summary and the word before the title, in the reader's language. */
  problem?: string | undefined
  errorWord?: string | undefined
}

/** A form with its answer. Fields inside show the values sent and their messages by themselves. */
export function FormShell({ action, children, title, commandKey, problem, errorWord = 'Error' }: Props) {
  const [answered, submit] = useActionState(action, EMPTY_FORM)
  /** The field that was too long to be sent at all, and the how manieth time. */
  const [tooLong, setTooLong] = useState<{ field: string | null; times: number }>({ field: null, times: 0 })
  const state =
    tooLong.field === null
      ? answered
      : { ...answered, errors: [{ field: tooLong.field, message: wordsHere().tooLong.toSend }] }
  const hasFailed = state.errors.length > 0

  // Nothing is sent then, so everything stays as it was typed.
  const check = (event: FormEvent<HTMLFormElement>) => {
    const field = tooLongToSend(new FormData(event.currentTarget), answered)
    setTooLong(({ times }) => ({ field, times: times + 1 }))
    if (field !== null) event.preventDefault()
  }

  // Where several forms share a page its title is not ours to render, only to mark.
  useEffect(() => {
    if (title !== undefined || !hasFailed) return
    const before = document.title
    document.title = `${errorWord}: ${before}`
    return () => {
      document.title = before
    }
  }, [title, hasFailed, errorWord])

  return (
    <FormContext value={state}>
      {title !== undefined && <title>{hasFailed ? `${errorWord}: ${title}` : title}</title>}
      <ErrorSummary
        key={`summary ${state.attempt} ${tooLong.field === null ? '' : tooLong.times}`}
        errors={state.errors}
        heading={problem}
      />
      <form action={submit} onSubmit={check} noValidate className={styles.form}>
        {commandKey !== undefined && <input type="hidden" name="commandKey" value={commandKey} />}
        <div key={state.attempt} className={styles.fields}>
          {children}
        </div>
      </form>
    </FormContext>
  )
}
