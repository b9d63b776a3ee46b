/** Whether two JSON values say the same, whatever the order of an object's names. */
export function saysTheSame(a: unknown, b: unknown): boolean {
  if (Object.is(a, b)) return true
  if (typeof a !== 'object' || typeof b !== 'object' || a === null || b === null) return false
  if (Array.isArray(a) !== Array.isArray(b)) return false
  const names = Object.keys(a)
  return (
    names.length === Object.keys(b).length &&
    names.every((name) => Object.hasOwn(b, name) && saysTheSame(a[name as never], b[name as never]))
  )
}

/** A copy in which nothing is shared, neither with the original nor between two of its places. */
export function copyOf<T>(value: T): T {
  return value === undefined ? value : JSON.parse(JSON.stringify(value))
}
