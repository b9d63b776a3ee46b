/** What was read once is kept for who asks next, as long as it is sure that reading it again would give the same. */

/** Those asked for longest ago are given up first. */
const KEPT_MOST = 100

/**
 * What it returns gives what was kept for that key when it was read at the same `standing`, and reads otherwise. Where the
 * standing is null, nothing is sure, and nothing is kept. Whoever calls it has found out the standing before, so what is
 * read is never older than that.
 */
export function keepReadings<Value>(): (
  key: string,
  standing: string | null,
  read: () => Promise<Value>,
) => Promise<Value> {
  const kept = new Map<string, { standing: string; value: Value }>()
  return async (key, standing, read) => {
    const known = kept.get(key)
    kept.delete(key)
    const isSame = known !== undefined && known.standing === standing
    const value = isSame ? known.value : await read()
    if (standing !== null) kept.set(key, { standing, value })
    for (const oldest of kept.keys()) {
      if (kept.size <= KEPT_MOST) break
      kept.delete(oldest)
    }
    return value
  }
}
