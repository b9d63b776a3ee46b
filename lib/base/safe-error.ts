/**
 * What may be logged of an error. Database errors carry query parameters in
 * their message and row values in their detail; those are patient data, so only
 * the name, the code and the constraint survive.
 */
export type SafeError = { name: string; code?: string; constraint?: string; at?: string }

export function safeError(error: unknown): SafeError {
  if (!(error instanceof Error)) return { name: typeof error }
  const cause = (error.cause ?? error) as Record<string, unknown>
  const code = text(cause.code) ?? text((error as unknown as Record<string, unknown>).code)
  const constraint = text(cause.constraint) ?? text(cause.constraint_name)
  const at = error.stack
    ?.split('\n')
    .find((line) => /^\s+at /.test(line))
    ?.trim()
  return {
    name: error.name,
    ...(code !== undefined && { code }),
    ...(constraint !== undefined && { constraint }),
    ...(at !== undefined && { at }),
  }
}

function text(value: unknown): string | undefined {
  return typeof value === 'string' ? value : undefined
}
