/**
 * What did the database refuse? PGlite and node-postgres spell it differently and Drizzle wraps both in `cause`. Only the
 * code and the constraint's name may be read: the rest of the error carries rows and parameters.
 */

/** The name of the constraint a failed query violated, or null. */
export function violatedConstraint(error: unknown): string | null {
  return textField(error, 'constraint') ?? textField(error, 'constraint_name')
}

/** The SQLSTATE of a failed query, or null. */
export function sqlState(error: unknown): string | null {
  const code = textField(error, 'code')
  return code !== null && /^[0-9A-Z]{5}$/.test(code) ? code : null
}

/** 40001 serialization_failure and 40P01 deadlock_detected (PostgreSQL manual, appendix A): run it again. */
export function isWorthRetrying(error: unknown): boolean {
  return ['40001', '40P01'].includes(sqlState(error) ?? '')
}

function textField(error: unknown, field: string): string | null {
  for (let at = error; typeof at === 'object' && at !== null; at = (at as { cause?: unknown }).cause) {
    const value = (at as Record<string, unknown>)[field]
    if (typeof value === 'string') return value
  }
  return null
}
