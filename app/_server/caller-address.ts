/** Where did a request come from? Counted, hashed, and never logged. */
import { headers } from 'next/headers'

/** The last address is the one that the server in front of us saw itself; earlier ones are the visitor's own word. */
export async function callerAddress(): Promise<string | null> {
  const chain = (await headers()).get('x-forwarded-for')
  return chain?.split(',').at(-1)?.trim().slice(0, 100) || null
}
