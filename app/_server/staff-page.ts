/**
 * The one place where the app asks whether a member of staff may see a page or do a deed. Every staff page, action and
 * route handler begins here; the use cases ask again for the record at hand.
 */

import { cookies } from 'next/headers'
import { redirect } from 'next/navigation'
import { cache } from 'react'
import { LOOKS_BY_ITSELF } from '#app/_ui/looks-by-itself.ts'
import { settings } from '#lib/adapters/settings.ts'
import type { StaffActor } from '#lib/domain/access/actor.ts'
import { type Action, MATRIX } from '#lib/domain/access/policy.ts'
import type { Ctx } from '#lib/usecases/context.ts'
import { readStaffSession, type StaffSession } from '#lib/usecases/read-staff-session.ts'
import { readSessionHandle } from './auth.ts'
import { contextOf, unsignedContext } from './runtime.ts'

export type StaffCtx = Ctx & { actor: StaffActor }

/** The context of a signed-in member of staff whose role may do this; otherwise they are sent to sign in, or told. */
export async function staffContext(action: Action): Promise<StaffCtx> {
  const { actor } = await signedInStaff()
  if (!mayEnter(actor, action)) redirect('/not-allowed')
  return contextOf(actor)
}

/** Who is signed in, for pages that everybody on the staff may see. */
export async function signedInStaff(): Promise<StaffSession> {
  return (await currentStaff()) ?? redirect('/sign-in')
}

/** Who is signed in, if anybody. Asked of the database once a request; a page that looks by itself keeps nothing alive. */
export const currentStaff = cache(async (): Promise<StaffSession | null> => {
  const handle = await readSessionHandle()
  const isActivity = !(await cookies()).has(LOOKS_BY_ITSELF)
  return handle && readStaffSession(unsignedContext(), { ...handle, isActivity })
})

/** Who is signed in, asked by a page on its own: looking keeps nothing alive. */
export async function peekStaff(): Promise<StaffSession | null> {
  const handle = await readSessionHandle()
  return handle && readStaffSession(unsignedContext(), { ...handle, isActivity: false })
}

/** Who is signed in, where a post of our own pages says that somebody is there. */
export async function staffOfPost(request: Request): Promise<StaffSession | null> {
  return isFromHere(request) ? currentStaff() : null
}

/**
 * The same for a route handler, which answers with a status instead of a page: 401 signed out, 403 not allowed. A handler
 * that changes something has no framework check of its origin, so a post from elsewhere is refused here.
 */
export async function staffRequest(
  request: Request,
  action: Action,
): Promise<{ ctx: StaffCtx } | { refusal: Response }> {
  if (!isFromHere(request)) return { refusal: refuse(403, 'This came from another site.') }
  return letIn(await currentStaff(), action)
}

/** The same for a handler that a page asks on its own: looking keeps nothing alive. */
export async function staffLook(action: Action): Promise<{ ctx: StaffCtx } | { refusal: Response }> {
  return letIn(await peekStaff(), action)
}

function letIn(session: StaffSession | null, action: Action): { ctx: StaffCtx } | { refusal: Response } {
  if (!session) return { refusal: refuse(401, 'Sign in first.') }
  if (!mayEnter(session.actor, action)) return { refusal: refuse(403, 'Your role may not do this.') }
  return { ctx: contextOf(session.actor) }
}

/** Whether the role does this at all. Whether this record is theirs (a clinician's own list) the use case decides. */
function mayEnter(actor: StaffActor, action: Action): boolean {
  return MATRIX[action][actor.role] !== 'never'
}

/** Looking is free; a change must come from a page of our own. */
function isFromHere(request: Request): boolean {
  return ['GET', 'HEAD'].includes(request.method) || request.headers.get('origin') === settings().baseUrl
}

function refuse(status: number, words: string): Response {
  return new Response(words, { status, headers: { 'content-type': 'text/plain; charset=utf-8' } })
}
