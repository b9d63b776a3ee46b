/** What differs between a version and the one it is compared to, in words, thing by thing. */
import type { Metadata } from 'next'
import Link from 'next/link'
import { Fragment } from 'react'
import { Actions, Button } from '#app/_ui/button.tsx'
import { DoneNotice } from '#app/_ui/done-notice.tsx'
import { EmptyState } from '#app/_ui/empty-state.tsx'
import { FormShell } from '#app/_ui/form-shell.tsx'
import { HiddenField } from '#app/_ui/hidden-field.tsx'
import { Mark } from '#app/_ui/mark.tsx'
import { Opener } from '#app/_ui/opener.tsx'
import { RuledTable } from '#app/_ui/ruled.tsx'
import { Section } from '#app/_ui/section.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { type ChangeGroup, changedTexts, type ReadText, tellChanges } from '#lib/domain/versions/change-words.ts'
import { diffOf } from '#lib/domain/versions/diff.ts'
import { LEAST_EASE, WORST_GRADE } from '#lib/domain/versions/reading-level.ts'
import { count } from '../../../../../referrals/words.ts'
import { type OpenVersion, openVersion } from '../../../open-version.ts'
import styles from '../../../protocol.module.css'
import { addressOf } from '../../../words.ts'
import { takeBack } from '../actions.ts'

export const metadata: Metadata = { title: 'What changes' }

const DONE = {
  retired: 'The station is retired in the draft. This is all that went with it.',
  taken_back: 'Taken back: that is as in the version in force again.',
  brought_in: 'The document is brought in. This is what it changes.',
}

export default async function ChangesPage({
  params,
  searchParams,
}: PageProps<'/clinic/protocol/[id]/[version]/changes'>) {
  const open = await openVersion(await params)
  const { done } = await searchParams
  const { version, protocol, base } = open
  const changes = base ? diffOf(base, protocol).filter(({ path }) => path[0] !== 'version') : []
  const groups = base ? tellChanges(changes, base, protocol) : []
  const texts = base ? changedTexts(changes, base, protocol) : []
  return (
    <>
      <BackLink href={addressOf(version)}>
        {protocol.title.en}, version {version.version}
      </BackLink>
      <Opener kicker="What changes">
        {base === null
          ? `Version ${version.version} has nothing before it to be compared with.`
          : groups.length === 0
            ? `Version ${version.version} says the same as version ${base.version}.`
            : `Version ${version.version} changes ${count(changes.length, 'value')} of ${count(groups.length, 'thing')} in version ${base.version}.`}
      </Opener>
      <DoneNotice words={DONE} done={done} />
      {groups.length === 0 && base !== null && (
        <EmptyState>Each value that differs appears here with what was and what is, once you change one.</EmptyState>
      )}
      {groups.map((group) => (
        <Group key={group.key} group={group} open={open} />
      ))}
      {texts.length > 0 && <Levels texts={texts} />}
    </>
  )
}

function Group({ group, open: { version, ctx, mark, mayWrite } }: { group: ChangeGroup; open: OpenVersion }) {
  const { part, id, heading, changes, key } = group
  return (
    <Section
      heading={heading}
      aside={
        part && id ? (
          <Link href={`${addressOf(version)}/${part}/${id}`}>
            Open it<span className={styles.hidden}>: {heading}</span>
          </Link>
        ) : undefined
      }
    >
      <div className={styles.changes}>
        <RuledTable caption={heading} isCaptionHidden head={['What', 'Was', 'Is']}>
          {changes.map(({ path, about, was, is, ...only }) => (
            <tr key={path}>
              <th scope="row">
                {about}
                <Path path={path} />
              </th>
              <td>
                {was ?? <span className={styles.soft}>Was not there</span>}
                {only.out.length > 0 && <div className={styles.name}>Taken out: {only.out.join('; ')}</div>}
              </td>
              <td>
                {is ?? <span className={styles.soft}>Taken out</span>}
                {only.new.length > 0 && <div className={styles.name}>New: {only.new.join('; ')}</div>}
              </td>
            </tr>
          ))}
        </RuledTable>
      </div>
      {mayWrite && (
        <div className={styles.space}>
          <FormShell
            action={takeBack.bind(null, { id: version.id, version: version.version }, key)}
            commandKey={ctx.newId('cmd')}
          >
            <HiddenField name="mark" value={mark} />
            <Actions>
              <Button look="plain" id={`back-${key}`}>
                Take this back<span className={styles.hidden}>: {heading}</span>
              </Button>
            </Actions>
          </FormShell>
        </div>
      )}
    </Section>
  )
}

/** Where it stands in the document: broken after a dot where the column is too narrow. */
function Path({ path }: { path: string }) {
  return (
    <div className={styles.path}>
      {path.split('.').map((name, at) => (
        // biome-ignore lint/suspicious/noArrayIndexKey: the names of one path never move
        <Fragment key={at}>
          {at > 0 && (
            <>
              .<wbr />
            </>
          )}
          {name}
        </Fragment>
      ))}
    </div>
  )
}

function Levels({ texts }: { texts: readonly ReadText[] }) {
  return (
    <Section heading="How hard the changed texts are to read">
      <p className={styles.prose}>
        For patients with six years of school: English at Flesch-Kincaid grade {WORST_GRADE} or below, Spanish at a
        Fernández Huerta ease of {LEAST_EASE} or above. Titles are too short to be measured.
      </p>
      <RuledTable caption="Reading level" isCaptionHidden head={['Text', 'Language', 'Level', '']}>
        {texts.map(({ path, about, text, level: { locale, figure, isEasy } }) => (
          <tr key={path}>
            <td>
              <span lang={locale}>{text}</span>
              <div className={styles.path}>{about}</div>
            </td>
            <td>{locale === 'en' ? 'English' : 'Spanish'}</td>
            <td className={styles.figure}>
              {locale === 'en' ? `Grade ${Math.max(0, figure).toFixed(1)}` : `Ease ${Math.round(figure)}`}
            </td>
            <td>
              <Mark state={isEasy ? 'done' : 'late'}>
                {isEasy ? 'Easy enough' : 'Too hard: shorter words, shorter sentences'}
              </Mark>
            </td>
          </tr>
        ))}
      </RuledTable>
    </Section>
  )
}
