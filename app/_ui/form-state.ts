/**
 * What passes between a form and its server action. Plain data: it crosses to the
 * browser and back, so a failed submit shows everything as the person left it.
 */

/** What a form action hands back to its form. */
export type FormState = {
  /** Rises on each answer, so fields remount with the values just sent. */
  attempt: number
  /** As sent. Several choices of one name stand in one string, see `joinChoices`. */
  values: Record<string, string>
  /** In page order. `field` is the field's name. */
  errors: readonly FormError[]
}
export type FormError = { field: string; message: string }

/** A server action with its page arguments already bound (in the page, never in a client component). */
export type FormAction = (previous: FormState, form: FormData) => Promise<FormState>

export const EMPTY_FORM: FormState = { attempt: 0, values: {}, errors: [] }

/** The message to show beside a field. */
export function errorFor(state: FormState, field: string): string | undefined {
  return state.errors.find((error) => error.field === field)?.message
}

/** The answer to a submit that did not go through: the same form, as it was left, with what is wrong. */
export function refuse(previous: FormState, form: FormData, errors: readonly FormError[]): FormState {
  return { attempt: previous.attempt + 1, values: valuesOf(form), errors }
}

/** Every typed value by field name, trimmed. Files and the framework's own fields are left out. */
export function valuesOf(form: FormData): Record<string, string> {
  const values: Record<string, string> = {}
  for (const name of new Set(form.keys())) {
    if (name.startsWith('$ACTION') || NEVER_SENT_BACK.test(name)) continue
    values[name] = joinChoices(
      form
        .getAll(name)
        .filter((value) => typeof value === 'string')
        .map((value) => value.trim()),
    )
  }
  return values
}

/** A passphrase is typed again rather than written into a page. */
const NEVER_SENT_BACK = /passphrase$/i

/** Unit separator (U+001F): no keyboard types it, so it can part choices. */
const BETWEEN_CHOICES = '\u001f'

export function joinChoices(choices: readonly string[]): string {
  return choices.join(BETWEEN_CHOICES)
}

export function splitChoices(value: string | undefined): string[] {
  return value ? value.split(BETWEEN_CHOICES) : []
}
