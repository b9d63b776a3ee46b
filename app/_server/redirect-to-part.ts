/**
 * Leads from an action to a part of a page (`#part`), with everything on it as it is now. The router takes an address that
 * differs from the present one in its part alone for a jump on the same page and would show what it showed before: the
 * very sign that was just answered would not be there.
 */
import { refresh } from 'next/cache'
import { redirect } from 'next/navigation'

export function redirectToPart(address: `${string}#${string}`): never {
  refresh()
  redirect(address)
}
