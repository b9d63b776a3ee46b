/** A new session: its fields, then what they mean, then it is saved. */
import type { Metadata } from 'next'
import { z } from 'zod'
import { staffContext } from '#app/_server/staff-page.ts'
import { ButtonLink } from '#app/_ui/button.tsx'
import { EmptyState } from '#app/_ui/empty-state.tsx'
import { FormShell } from '#app/_ui/form-shell.tsx'
import { Opener } from '#app/_ui/opener.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { readSession, readSessions } from '#lib/usecases/read-sessions.ts'
import { NEW_SESSION, typedFrom } from '../../session-form.ts'
import { keepSession } from '../actions.ts'
import { SessionFields } from '../session-fields.tsx'
import { SessionPreview } from '../session-preview.tsx'

export const metadata: Metadata = { title: null }

/** Anything that isn't one of ours counts as not given: an address may be typed. */
const query = z.object({ owner: z.string().catch(''), like: z.string().catch('') })

export default async function NewSessionPage({ searchParams }: PageProps<'/clinic/sessions/new'>) {
  const ctx = await staffContext('session.write')
  const { owner, like } = query.parse(await searchParams)
  const model = like === '' ? null : await readSession(ctx, { sessionId: like })
  const { session } = model?.ok ? model.value : { session: null }
  const asked = session ? `${session.owner.kind} ${session.owner.id}` : owner
  const { owners, sites, timeZone } = await readSessions(ctx)
  const known =
    owners.find((each) => `${each.owner.kind} ${each.owner.id}` === asked) ?? (owners.length === 1 ? owners[0] : null)
  return (
    <>
      <BackLink href="/clinic/sessions">Sessions</BackLink>
      <Opener kicker="New session">
        {known ? `When does ${known.name} work?` : 'Who works when?'} You see its dates before it is saved.
      </Opener>
      {owners.length === 0 ? (
        <EmptyState action={<ButtonLink href="/clinic/people">People</ButtonLink>}>
          A session belongs to a clinician or an interpreter. Nobody works here yet.
        </EmptyState>
      ) : (
        <FormShell action={keepSession.bind(null, null)} title="New session – Farstep" commandKey={ctx.newId('cmd')}>
          <SessionFields
            typed={
              session
                ? { ...typedFrom(session), startsOn: '', validTo: '' }
                : { ...NEW_SESSION, timeZone: known?.timeZone ?? timeZone }
            }
            sites={sites}
            owners={owners}
            owner={known ? `${known.owner.kind} ${known.owner.id}` : ''}
            isForInterpreter={false}
          />
          <SessionPreview />
        </FormShell>
      )}
    </>
  )
}
