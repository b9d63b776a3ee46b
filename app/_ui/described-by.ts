/** Ties a field to its hint and its message for those who do not see them beside it. */

/** Ids for `aria-describedby`, or nothing when there is nothing to say. */
export function describedBy(
  id: string,
  parts: { hint: string | undefined; error: string | undefined },
): string | undefined {
  const ids = [parts.hint !== undefined && `${id}-hint`, parts.error !== undefined && `${id}-error`].filter(Boolean)
  return ids.length > 0 ? ids.join(' ') : undefined
}
