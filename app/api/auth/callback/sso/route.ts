/** Where the organisation's own sign-in sends the browser back to. It exists only where one is set up. */
import type { NextRequest } from 'next/server'
import { finishSingleSignOn } from '#app/_server/auth.ts'

export async function GET(request: NextRequest): Promise<Response> {
  return finishSingleSignOn(request)
}
