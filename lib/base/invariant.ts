/** States that cannot happen. Reaching one is a bug: it throws and is never caught as an expected refusal. */
export function invariant(condition: unknown, why: string): asserts condition {
  if (!condition) throw new Error(`Impossible state: ${why}`)
}

/** Ends a switch over a closed union, so that a new member fails to compile. */
export function unreachable(value: never): never {
  throw new Error(`Unreachable: ${JSON.stringify(value)}`)
}
