/** The protocol desk: what is in force, what is being drafted, and every version there was. */
import type { Metadata } from 'next'
import Link from 'next/link'
import { type StaffCtx, signedInStaff, staffContext } from '#app/_server/staff-page.ts'
import { Actions, Button, ButtonLink } from '#app/_ui/button.tsx'
import { DoneNotice } from '#app/_ui/done-notice.tsx'
import { EmptyState } from '#app/_ui/empty-state.tsx'
import { FormShell } from '#app/_ui/form-shell.tsx'
import { Mark } from '#app/_ui/mark.tsx'
import { Opener } from '#app/_ui/opener.tsx'
import { RuledItem, RuledList } from '#app/_ui/ruled.tsx'
import { Section } from '#app/_ui/section.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { invariant } from '#lib/base/invariant.ts'
import { MATRIX } from '#lib/domain/access/policy.ts'
import { readProtocols, type VersionView } from '#lib/usecases/read-protocol.ts'
import { beginDraft } from './actions.ts'
import styles from './protocol.module.css'
import { addressOf, dateWords, standingWords } from './words.ts'

export const metadata: Metadata = { title: 'Protocol' }

const DONE = { dropped: 'The draft is dropped. Its whole text stays in the audit.' }

export default async function ProtocolPage({ searchParams }: PageProps<'/clinic/protocol'>) {
  const ctx = await staffContext('protocol.read')
  const { done } = await searchParams
  const read = await readProtocols(ctx)
  invariant(read.ok, 'the page has asked for the same permission')
  const { timeZone } = (await signedInStaff()).clinic
  const protocols = [...Map.groupBy(read.value, ({ id }) => id).values()]
  const inForce = read.value.filter(({ isInForce }) => isInForce)
  return (
    <>
      <BackLink href="/clinic">Clinic</BackLink>
      <Opener kicker="Protocol">
        {inForce.length === 0
          ? 'No protocol is in force: nobody can be triaged.'
          : inForce.map(({ title, version }) => `${title}: version ${version} is in force.`).join(' ')}
      </Opener>
      <DoneNotice words={DONE} done={done} />
      {protocols.length === 0 && <EmptyState>A clinic’s protocol appears here when the clinic is set up.</EmptyState>}
      {protocols.map((versions) => (
        <ProtocolVersions key={versions[0]?.id} ctx={ctx} versions={versions} timeZone={timeZone} />
      ))}
    </>
  )
}

type Props = { ctx: StaffCtx; versions: VersionView[]; timeZone: string }

function ProtocolVersions({ ctx, versions, timeZone }: Props) {
  const [newest] = versions
  if (!newest) return null
  const current = versions.find(({ isInForce }) => isInForce)
  const draft = versions.find(({ status }) => status === 'draft')
  const mayWrite = MATRIX['protocol.write'][ctx.actor.role] !== 'never'
  return (
    <Section heading={newest.title}>
      <Actions>
        {current && <ButtonLink href={addressOf(current)}>Read the version in force</ButtonLink>}
        {draft && <ButtonLink href={addressOf(draft)}>Open the draft of version {draft.version}</ButtonLink>}
      </Actions>
      {mayWrite && !draft && current && (
        <div className={styles.space}>
          <FormShell action={beginDraft.bind(null, newest.id)}>
            <p>
              A change is made on a draft of the next version. Patients and visits are not touched by it before it is
              signed off.
            </p>
            <Actions>
              <Button look="plain" id="begin">
                Make a draft of the next version
              </Button>
            </Actions>
          </FormShell>
        </div>
      )}
      <h3 className={styles.list}>Versions</h3>
      <RuledList label={`Versions of ${newest.title}`}>
        {versions.map((one) => (
          <RuledItem
            key={one.version}
            end={
              one.status !== 'draft' && one.version > 1 ? (
                <Link href={`${addressOf(one)}/changes`}>What changed in version {one.version}</Link>
              ) : undefined
            }
          >
            <p>
              <Mark state={one.isInForce ? 'done' : one.status === 'draft' ? 'waiting' : 'not_needed'}>
                <Link href={addressOf(one)} className={styles.name}>
                  Version {one.version}
                </Link>{' '}
                {standingWords(one, timeZone)}
              </Mark>
            </p>
            {one.statement !== null && one.signedOffAt !== null && (
              <p className={styles.soft}>
                “{one.statement}” {one.signedOffBy}, licence {one.licence}, {dateWords(one.signedOffAt, timeZone)}
              </p>
            )}
          </RuledItem>
        ))}
      </RuledList>
    </Section>
  )
}
