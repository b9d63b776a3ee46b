/**
 * The log says what happened and when, never to whom. One JSON object a line, times in UTC (ASVS 5.0 16.2.1, 16.2.2);
 * of an error only what `safeError` lets through.
 */
import { safeError } from './safe-error.ts'

type Facts = Record<string, string | number | boolean | null>

/** Something an operator may want to know. `facts` hold counts, kinds and ids, never what a person wrote. */
export function logEvent(event: string, facts: Facts = {}): void {
  console.log(JSON.stringify({ at: new Date().toISOString(), event, ...facts }))
}

/** Something that went wrong. */
export function logFailure(event: string, error: unknown, facts: Facts = {}): void {
  const { at: where, ...safe } = safeError(error)
  console.error(JSON.stringify({ at: new Date().toISOString(), event, ...safe, ...(where && { where }), ...facts }))
}

/**
 * Makes the console itself safe: a framework that prints an error it caught would print a failed query with all its
 * parameters. Call once, when a server process starts.
 */
export function keepErrorsOutOfConsole(): void {
  for (const method of ['error', 'warn'] as const) {
    const original = console[method].bind(console)
    console[method] = (...parts: unknown[]) =>
      original(...parts.map((part) => (part instanceof Error ? JSON.stringify(safeError(part)) : part)))
  }
}
