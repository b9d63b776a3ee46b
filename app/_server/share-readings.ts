/**
 * Those who ask for the same at the same time are answered by one reading: many browsers look at one board, and all look
 * again at each change.
 */

/**
 * What it returns gives `read()`, called once for everybody who asks for that key while another reading of it is under way.
 * Theirs begins when that one has ended, so after they asked: nobody is told less than was true when they asked.
 */
export function shareReadings<Value>(): (key: string, read: () => Promise<Value>) => Promise<Value> {
  const underWay = new Map<string, { reading: Promise<Value>; next: Promise<Value> | null }>()
  const begin = (key: string, read: () => Promise<Value>): Promise<Value> => {
    const entry: { reading: Promise<Value>; next: Promise<Value> | null } = { reading: read(), next: null }
    underWay.set(key, entry)
    const end = () => {
      if (entry.next === null) underWay.delete(key)
    }
    entry.reading.then(end, end)
    return entry.reading
  }
  return (key, read) => {
    const entry = underWay.get(key)
    if (!entry) return begin(key, read)
    const after = () => begin(key, read)
    entry.next ??= entry.reading.then(after, after)
    return entry.next
  }
}
