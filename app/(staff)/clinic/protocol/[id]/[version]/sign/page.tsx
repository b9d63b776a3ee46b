/** Sign-off: what is signed, by whom, and what follows from it. */
import Link from 'next/link'
import { redirect } from 'next/navigation'
import { Actions, Button } from '#app/_ui/button.tsx'
import { CheckboxGroup } from '#app/_ui/checkbox-group.tsx'
import { FormShell } from '#app/_ui/form-shell.tsx'
import { HiddenField } from '#app/_ui/hidden-field.tsx'
import { Notice } from '#app/_ui/notice.tsx'
import { Opener } from '#app/_ui/opener.tsx'
import { KeyValueList } from '#app/_ui/ruled.tsx'
import { Section } from '#app/_ui/section.tsx'
import { TextField } from '#app/_ui/text-field.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { changedTexts } from '#lib/domain/versions/change-words.ts'
import { diffOf } from '#lib/domain/versions/diff.ts'
import { hasPassphrase } from '#lib/usecases/read-protocol.ts'
import { count } from '../../../../../referrals/words.ts'
import { openVersion } from '../../../open-version.ts'
import styles from '../../../protocol.module.css'
import { addressOf, STATEMENT } from '../../../words.ts'
import { sign } from '../actions.ts'

export default async function SignPage({ params }: PageProps<'/clinic/protocol/[id]/[version]/sign'>) {
  const { ctx, version, protocol, base, faults, mark } = await openVersion(await params, 'protocol.sign')
  const here = addressOf(version)
  if (version.status !== 'draft') redirect(here)
  const changes = base ? diffOf(base, protocol).filter(({ path }) => path[0] !== 'version') : []
  const hard = base ? changedTexts(changes, base, protocol).filter(({ level }) => !level.isEasy).length : 0
  return (
    <>
      <BackLink href={here}>
        {protocol.title.en}, version {version.version}
      </BackLink>
      <Opener kicker="Sign-off">
        {faults.length > 0
          ? `Version ${version.version} can’t be signed off: ${count(faults.length, 'fault')} to mend.`
          : `Sign version ${version.version} off for this clinic?`}
      </Opener>
      {protocol.demonstration && (
        <div className={styles.space}>
          <Notice kind="caution" heading="A demonstration: it needs local clinical sign-off">
            <p>Its values are examples with their sources. Local rules and licensed practice come first.</p>
          </Notice>
        </div>
      )}
      <Section heading="What you sign">
        <KeyValueList
          items={[
            {
              name: base ? `Against version ${base.version}` : 'Against a version before',
              value: base ? <Link href={`${here}/changes`}>{count(changes.length, 'change')}</Link> : 'There is none',
            },
            ...(base
              ? [{ name: 'On past referrals', value: <Link href={`${here}/effect`}>See what would differ</Link> }]
              : []),
            {
              name: 'Changed texts that are hard to read',
              value: hard === 0 ? 'None' : <Link href={`${here}/changes`}>{hard}</Link>,
            },
            { name: 'Faults', value: faults.length === 0 ? 'None' : <Link href={here}>{faults.length}</Link> },
          ]}
        />
      </Section>
      <Section heading="Your signature">
        <p>
          From then on its words can’t change any more and new triages use it. Referrals and visits that are under way
          keep the version they were triaged with.
        </p>
        <div className={styles.space}>
          <FormShell
            action={sign.bind(null, { id: version.id, version: version.version })}
            commandKey={ctx.newId('cmd')}
            title="Sign-off"
          >
            <HiddenField name="mark" value={mark} />
            <TextField name="name" label="Your name" hint="As your account has it." autoComplete="off" width={20} />
            <TextField name="licence" label="Your licence" hint="State and number, such as OR 204417." width={20} />
            <CheckboxGroup name="agreed" label="Statement" options={[{ value: 'yes', label: STATEMENT }]} />
            {(await hasPassphrase(ctx)) && (
              <TextField
                name="passphrase"
                label="Your passphrase"
                hint="Once more, so that nobody signs at a desk you left."
                type="password"
                autoComplete="current-password"
                width={20}
              />
            )}
            <Actions>
              <Button id="sign">Sign version {String(version.version)} off</Button>
            </Actions>
          </FormShell>
        </div>
      </Section>
    </>
  )
}
