/** How much of a form the framework reads (its `serverActions.bodySizeLimit`), and whether a script may send one. */
import type { FormState } from './form-state.ts'

export const FORM_BYTES = 1024 * 1024

/**
 * The field that makes a form too long to be sent; null = it can be. The framework would answer a longer one with a fault, and
 * the page with everything typed in it would be gone. Half of what it reads, because a script wraps what it sends (each end
 * of a line becomes two signs); it sends the form's last answer along, with what was typed then.
 */
export function tooLongToSend(form: FormData, previous: FormState): string | null {
  const sizes = [...form].map(([name, value]) => ({ name, bytes: typeof value === 'string' ? bytesOf(value) : 0 }))
  const all = sizes.reduce((sum, { bytes }) => sum + bytes, bytesOf(JSON.stringify(previous)))
  if (all <= FORM_BYTES / 2) return null
  return sizes.toSorted((a, b) => b.bytes - a.bytes)[0]?.name ?? null
}

function bytesOf(text: string): number {
  return new TextEncoder().encode(text).length
}
