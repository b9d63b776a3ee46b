/** A change to a session: the same fields as a new one, and what the change does to visits that are booked. */
import type { Metadata } from 'next'
import Link from 'next/link'
import { notFound } from 'next/navigation'
import { staffContext } from '#app/_server/staff-page.ts'
import { FormShell } from '#app/_ui/form-shell.tsx'
import { HiddenField } from '#app/_ui/hidden-field.tsx'
import { Opener } from '#app/_ui/opener.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { readSession } from '#lib/usecases/read-sessions.ts'
import styles from '../../../clinic.module.css'
import { typedFrom } from '../../../session-form.ts'
import { keepSession } from '../../actions.ts'
import { SessionFields } from '../../session-fields.tsx'
import { SessionPreview } from '../../session-preview.tsx'

export const metadata: Metadata = { title: null }

export default async function ChangeSessionPage({ params }: PageProps<'/clinic/sessions/[id]/change'>) {
  const ctx = await staffContext('session.write')
  const { id } = await params
  const read = await readSession(ctx, { sessionId: id })
  if (!read.ok) notFound()
  const { session, version, ownerName, sites } = read.value
  return (
    <>
      <BackLink href={`/clinic/sessions/${id}`}>Session</BackLink>
      <Opener kicker={`Session of ${ownerName}`}>What you change here holds for every date to come.</Opener>
      <p className={styles.above}>
        To change it from one day on, end this session and{' '}
        <Link href={`/clinic/sessions/new?like=${id}`}>add one like it</Link>.
      </p>
      <FormShell action={keepSession.bind(null, id)} title="Change a session – Farstep" commandKey={ctx.newId('cmd')}>
        <HiddenField name="version" value={String(version)} />
        <SessionFields
          typed={typedFrom(session)}
          sites={sites}
          owners={null}
          owner=""
          isForInterpreter={session.owner.kind === 'interpreter'}
        />
        <SessionPreview />
      </FormShell>
    </>
  )
}
