'use client'

/** How a field learns what was sent and what was wrong with it, so that pages need no client code of their own. */
import { createContext, useContext } from 'react'
import { EMPTY_FORM, errorFor, type FormState } from './form-state.ts'

/** The state of the form around a field. Outside a `FormShell` a field shows what its page gives it. */
export const FormContext = createContext<FormState>(EMPTY_FORM)

/** What a field shows: the value just sent or else the page's, and the message beside it. */
export function useField(name: string, value: string | undefined, error: string | undefined) {
  const state = useContext(FormContext)
  return {
    value: state.values[name] ?? (state.attempt > 0 ? '' : (value ?? '')),
    error: errorFor(state, name) ?? error,
  }
}
