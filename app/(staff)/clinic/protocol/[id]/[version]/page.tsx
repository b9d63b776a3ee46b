/** One version of a protocol: where it stands, its parts, and what can be done with it. */
import type { Metadata } from 'next'
import Link from 'next/link'
import { Actions, Button, ButtonLink } from '#app/_ui/button.tsx'
import { DoneNotice } from '#app/_ui/done-notice.tsx'
import { FormShell } from '#app/_ui/form-shell.tsx'
import { HiddenField } from '#app/_ui/hidden-field.tsx'
import { Notice } from '#app/_ui/notice.tsx'
import { Figure, Opener } from '#app/_ui/opener.tsx'
import { RuledItem, RuledList } from '#app/_ui/ruled.tsx'
import { Section, Split } from '#app/_ui/section.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { MATRIX } from '#lib/domain/access/policy.ts'
import type { Protocol } from '#lib/domain/protocol/schema.ts'
import { groupKeyOf } from '#lib/domain/versions/change-words.ts'
import { diffOf } from '#lib/domain/versions/diff.ts'
import { allThresholds } from '#lib/domain/versions/fields.ts'
import { mendingOf, PARTS, placeOf } from '#lib/domain/versions/parts.ts'
import { asLineStart, count } from '../../../../referrals/words.ts'
import { type OpenVersion, openVersion } from '../../open-version.ts'
import styles from '../../protocol.module.css'
import { addressOf, dateWords, PART_HEADINGS, READ_PARTS, type ReadPart, standingWords } from '../../words.ts'
import { bringIn, drop } from './actions.ts'
import { DocumentField } from './document-field.tsx'

export const metadata: Metadata = { title: 'Protocol version' }

export default async function VersionPage({ params, searchParams }: PageProps<'/clinic/protocol/[id]/[version]'>) {
  const open = await openVersion(await params)
  const { done } = await searchParams
  const { version, protocol, base, faults, timeZone, mayWrite, ctx } = open
  const here = addressOf(version)
  const changed = base
    ? new Set(
        diffOf(base, protocol)
          .map(groupKeyOf)
          .filter((key) => key !== 'version'),
      ).size
    : 0
  return (
    <>
      <BackLink href="/clinic/protocol">Protocol</BackLink>
      <Opener kicker={`${protocol.title.en}, version ${version.version}`}>
        {version.status === 'draft' ? (
          <>
            Version {version.version} is a draft:{' '}
            <Figure href={`${here}/changes`}>
              {changed === 0 ? 'nothing differs yet' : `${count(changed, 'thing')} changed`}
            </Figure>
            {faults.length === 0 ? ', nothing wrong with it.' : `, ${count(faults.length, 'fault')} to mend.`}
          </>
        ) : (
          `Version ${version.version} ${standingWords(version, timeZone)}`
        )}
      </Opener>
      <DoneNotice words={{ signed: `Version ${version.version} is signed off and in force` }} done={done}>
        <p>New triages use it. Referrals and visits that are under way keep the version they were triaged with.</p>
      </DoneNotice>
      {protocol.demonstration && (
        <div className={styles.space}>
          <Notice kind="caution" heading="A demonstration: it needs local clinical sign-off">
            <p>
              The clinic’s licensed lead signs a version off before it is used on patients, can change every threshold,
              and local rules come first.
            </p>
          </Notice>
        </div>
      )}
      {faults.length > 0 && (
        <div className={styles.space}>
          <Faults open={open} />
        </div>
      )}
      <Split beside={<Beside open={open} />}>
        <Section heading="What it says">
          <RuledList label="Parts">
            {READ_PARTS.map((part) => (
              <RuledItem key={part} end={<span className={styles.soft}>{sizeOf(part, protocol)}</span>}>
                <p>
                  <Link href={`${here}/${part}`} className={styles.name}>
                    {PART_HEADINGS[part]}
                  </Link>
                </p>
                <p className={styles.soft}>{WHAT[part]}</p>
              </RuledItem>
            ))}
          </RuledList>
        </Section>
      </Split>
      {mayWrite && (
        <Section heading="The whole document">
          <p className={styles.prose}>
            What has no form of its own (a new station, a new way, what a way needs) is changed in the whole document:{' '}
            <a href={`${here}/document.json`}>take it as a JSON file</a>, change it, and bring it in again. It is
            checked like every change, and a file with a fault changes nothing.
          </p>
          <FormShell
            action={bringIn.bind(null, { id: version.id, version: version.version })}
            commandKey={ctx.newId('cmd')}
          >
            <HiddenField name="mark" value={open.mark} />
            <DocumentField />
            <Actions>
              <Button look="plain">Bring this file in</Button>
            </Actions>
          </FormShell>
        </Section>
      )}
    </>
  )
}

function Faults({ open: { faults, protocol, version } }: { open: OpenVersion }) {
  return (
    <Notice
      kind="caution"
      heading={`${asLineStart(count(faults.length, 'fault'))} to mend before it can be signed off`}
    >
      <RuledList label="Faults">
        {faults.map((fault) => {
          const place = placeOf(protocol, fault)
          return (
            <RuledItem key={`${fault.path} ${fault.message}`}>
              <p>
                {place ? (
                  <Link href={`${addressOf(version)}/${place.part}/${place.id}`}>
                    {PARTS[place.part].one}: {place.title}
                  </Link>
                ) : (
                  fault.path
                )}
                : {fault.message}. {mendingOf(fault)}
              </p>
              <p className={styles.path}>{fault.path}</p>
            </RuledItem>
          )
        })}
      </RuledList>
    </Notice>
  )
}

function Beside({ open }: { open: OpenVersion }) {
  const { version, base, faults, mayWrite, ctx, timeZone, mark } = open
  const here = addressOf(version)
  const maySeePatients = MATRIX['screening.read'][ctx.actor.role] !== 'never'
  const isDraft = version.status === 'draft'
  return (
    <>
      {base && (
        <Section heading={isDraft ? `Against version ${base.version}, in force` : `Against version ${base.version}`}>
          <Actions>
            <ButtonLink href={`${here}/changes`}>See what {isDraft ? 'changes' : 'changed'}</ButtonLink>
            {maySeePatients && faults.length === 0 && (
              <ButtonLink href={`${here}/effect`}>See it on past referrals</ButtonLink>
            )}
          </Actions>
        </Section>
      )}
      {isDraft && MATRIX['protocol.sign'][ctx.actor.role] !== 'never' && (
        <Section heading="Sign-off">
          <p>Once signed off, its words can’t change any more, and new triages use it.</p>
          <Actions>
            <ButtonLink href={`${here}/sign`}>Go on to sign-off</ButtonLink>
          </Actions>
        </Section>
      )}
      {version.statement !== null && version.signedOffAt !== null && (
        <Section heading="Signed off">
          <p>“{version.statement}”</p>
          <p className={styles.soft}>
            {version.signedOffBy}, licence {version.licence}, {dateWords(version.signedOffAt, timeZone)}
          </p>
        </Section>
      )}
      {!mayWrite && (
        <Section heading="The whole document">
          <p>
            <a href={`${here}/document.json`}>Take it as a JSON file</a>
          </p>
        </Section>
      )}
      {mayWrite && base && (
        <Section heading="Drop it">
          <FormShell
            action={drop.bind(null, { id: version.id, version: version.version })}
            commandKey={ctx.newId('cmd')}
          >
            <HiddenField name="mark" value={mark} />
            <p>Version {base.version} stays in force. What is on the draft stays in the audit alone.</p>
            <Actions>
              <Button look="grave" id="drop">
                Drop the draft of version {version.version}
              </Button>
            </Actions>
          </FormShell>
        </Section>
      )}
    </>
  )
}

const WHAT: Record<ReadPart, string> = {
  stations: 'The steps of the exam, with their ways, needs and minutes.',
  'set-ups': 'Where the camera stands and how the patient is.',
  conditions: 'Which stations each suspicion calls for, and what goes to the clinic anyway.',
  'red-flags': 'What must not wait, its see-by time and its advice.',
  safety: 'When a visit at home is not safe or not wanted.',
  'worked-out': 'What follows from several answers.',
  questions: 'What is asked of the patient and of the referral.',
  things: 'What is fetched, and what serves instead.',
  figures: 'Every threshold, the time between stations, the weights.',
  order: 'What comes before what, and why.',
  sources: 'Where it all comes from.',
}

function sizeOf(part: ReadPart, protocol: Protocol): string {
  if (part === 'figures') return count(allThresholds(protocol).length, 'threshold')
  if (part === 'order') return count(protocol.precedence.length, 'rule')
  if (part === 'sources') return ''
  return String(protocol[PARTS[part].list].length)
}
