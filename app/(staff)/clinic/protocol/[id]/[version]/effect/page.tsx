/** What a version would have changed for the last referrals. */
import type { Metadata } from 'next'
import Link from 'next/link'
import { notFound } from 'next/navigation'
import { Fragment } from 'react'
import { EmptyState } from '#app/_ui/empty-state.tsx'
import { Mark } from '#app/_ui/mark.tsx'
import { Notice } from '#app/_ui/notice.tsx'
import { Figure, Opener } from '#app/_ui/opener.tsx'
import { KeyValueList, RuledTable } from '#app/_ui/ruled.tsx'
import { Section, Split } from '#app/_ui/section.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import type { Protocol } from '#lib/domain/protocol/schema.ts'
import type { Disposition } from '#lib/domain/screening/screening.ts'
import { DIFFERENCES, type Difference, type Said } from '#lib/domain/versions/effect.ts'
import { type PartList, titleOf } from '#lib/domain/versions/parts.ts'
import { type EffectView, type PatientEffect, readEffect } from '#lib/usecases/read-effect.ts'
import { complaintWords, count, DISPOSITION_WORDS, limitWords } from '../../../../../referrals/words.ts'
import { openVersion } from '../../../open-version.ts'
import styles from '../../../protocol.module.css'
import { addressOf } from '../../../words.ts'

export const metadata: Metadata = { title: 'On past referrals' }

const HOW_MANY = [20, 50, 100, 200] as const

/** How each kind of difference is counted in the sentence, and what stands above its referrals. */
const DIFFERENCE_WORDS: Record<Difference, { counted: string; heading: string }> = {
  disposition: { counted: 'with another disposition', heading: 'Another disposition' },
  see_by: { counted: 'with another see-by limit', heading: 'The same disposition, another see-by limit' },
  stations: { counted: 'with other stations', heading: 'Other stations' },
  extent: { counted: 'only in coverage or minutes', heading: 'Only coverage or minutes' },
}

export default async function EffectPage({
  params,
  searchParams,
}: PageProps<'/clinic/protocol/[id]/[version]/effect'>) {
  const { ctx, version, protocol, base } = await openVersion(await params, 'screening.read')
  const { last: asked } = await searchParams
  const last = HOW_MANY.find((number) => String(number) === asked) ?? 50
  const read = await readEffect(ctx, { id: version.id, version: version.version, last })
  if (!read.ok && read.error.code === 'not_found') notFound()
  const here = addressOf(version)
  return (
    <>
      <BackLink href={here}>
        {protocol.title.en}, version {version.version}
      </BackLink>
      {read.ok && base ? (
        <>
          <Opener kicker="On past referrals">
            <Sentence view={read.value} />
          </Opener>
          <LessUrgent view={read.value} version={version.version} />
          {read.value.isPart && (
            <Notice kind="caution" heading="Only a part of them was reached in time">
              <p>Ask for fewer. What stands here is true of those that were reached.</p>
            </Notice>
          )}
          <p className={styles.prose}>
            Each was screened again from its answers as they are today, once by version {base.version} and once by
            version {version.version}. {unansweredWords(read.value)} Nothing of it is written, and no patient is told.
            Which answer is the better one a count can’t say.
          </p>
          <nav aria-label="How many referrals">
            <ul className={styles.parts}>
              {HOW_MANY.map((number) => (
                <li key={number}>
                  <Link href={`${here}/effect?last=${number}`} aria-current={number === last ? 'page' : undefined}>
                    The last {number}
                  </Link>
                </li>
              ))}
            </ul>
          </nav>
          <Totals view={read.value} protocol={protocol} base={base} />
          <Referrals view={read.value} protocol={protocol} base={base} />
        </>
      ) : (
        <>
          <Opener kicker="On past referrals">
            {read.ok || read.error.code === 'nothing_to_compare'
              ? 'There is no version before it to be compared with.'
              : 'Mend the draft first: nobody can be screened by it as it is.'}
          </Opener>
          <EmptyState>What would have been different for the last referrals appears here.</EmptyState>
        </>
      )}
    </>
  )
}

function Sentence({ view: { effect, asked } }: { view: EffectView }) {
  if (effect.cases === 0) return 'No referral was triaged by this protocol yet.'
  const which = effect.cases < asked ? count(effect.cases, 'referral') : `the last ${effect.cases} referrals`
  if (effect.changed === 0) return `Nothing would have been different for ${which}.`
  const kinds = DIFFERENCES.filter((kind) => effect.differ[kind] > 0)
  return (
    <>
      {effect.changed} of {which} would have been different:{' '}
      {kinds.map((kind, index) => (
        <Fragment key={kind}>
          {index > 0 && (index === kinds.length - 1 ? ' and ' : ', ')}
          <Figure href={`#${kind}`}>{effect.differ[kind]}</Figure> {DIFFERENCE_WORDS[kind].counted}
        </Fragment>
      ))}
      .
    </>
  )
}

/** What must not be found out after it was signed: somebody would have waited longer. */
function LessUrgent({ view: { effect, changed }, version }: { view: EffectView; version: number }) {
  if (effect.lessUrgent === 0) return null
  return (
    <Notice
      kind="urgent"
      heading={`Version ${version} would have let ${count(effect.lessUrgent, 'patient')} wait longer`}
    >
      <p>
        {changed
          .filter((one) => one.isLessUrgent)
          .map((one, index) => (
            <Fragment key={one.id}>
              {index > 0 && ', '}
              <a href={`#${one.id}`}>{one.patient}</a>
            </Fragment>
          ))}
        : a less urgent disposition or a later see-by limit.
      </p>
    </Notice>
  )
}

function unansweredWords({ effect, unanswered }: EffectView): string {
  if (unanswered === 0) return ''
  const which = unanswered === effect.cases ? 'None of them has' : `${unanswered} of them have`
  return `${which} ${unanswered === effect.cases ? 'an' : 'no'} answer about the home on file, so nothing that hangs on one could differ for ${unanswered === 1 ? 'it' : 'them'}.`
}

function fromTo(before: string, after: string): string {
  return before === after ? `${after}, as before` : `${before} before, ${after} now`
}

type PartProps = { view: EffectView; protocol: Protocol; base: Protocol }

/** What it is called by the version at hand, or by the one before it where it is gone. */
function named({ protocol, base }: Omit<PartProps, 'view'>, list: PartList, id: string): string {
  return titleOf(protocol[list].some((each) => each.id === id) ? protocol : base, list, id)
}

function Totals({ view: { effect }, ...versions }: PartProps) {
  if (effect.cases === 0) return null
  const { coverage, visitMin } = effect
  return (
    <Split
      beside={
        <Section heading="On average">
          <KeyValueList
            items={[
              {
                name: 'Coverage, where anything can be done at home',
                value: coverage ? fromTo(percent(coverage.before), percent(coverage.after)) : 'Not known',
              },
              {
                name: 'Length of a visit',
                value: visitMin
                  ? fromTo(`${visitMin.before.toFixed(1)} minutes`, `${visitMin.after.toFixed(1)} minutes`)
                  : 'Not known',
              },
            ]}
          />
        </Section>
      }
    >
      <Section heading="Dispositions">
        {effect.moves.length === 0 ? (
          <EmptyState>No referral would have had another disposition.</EmptyState>
        ) : (
          <div className={styles.thirds}>
            <RuledTable caption="Dispositions that change" isCaptionHidden head={['Before', 'Now', 'Referrals']}>
              {effect.moves.map(({ from, to, count: number }) => (
                <tr key={`${from} ${to}`}>
                  <td>{dispositionWords(from)}</td>
                  <td>{dispositionWords(to)}</td>
                  <td className={styles.figure}>{number}</td>
                </tr>
              ))}
            </RuledTable>
          </div>
        )}
      </Section>
      <Section heading="Stations">
        {effect.stations.length === 0 ? (
          <EmptyState>No station would have opened or closed.</EmptyState>
        ) : (
          <div className={styles.thirds}>
            <RuledTable
              caption="Stations that open or close"
              isCaptionHidden
              head={['Station', 'Opens for', 'Closes for']}
            >
              {effect.stations.map(({ stationId, opened, closed }) => (
                <tr key={stationId}>
                  <th scope="row">{named(versions, 'stations', stationId)}</th>
                  <td className={styles.figure}>{opened === 0 ? 'nobody' : opened}</td>
                  <td className={styles.figure}>{closed === 0 ? 'nobody' : closed}</td>
                </tr>
              ))}
            </RuledTable>
          </div>
        )}
      </Section>
    </Split>
  )
}

/** The referrals that differ, by the first thing that one looks at. What stays as it was is written softly. */
function Referrals({ view: { effect, changed }, ...versions }: PartProps) {
  return DIFFERENCES.filter((kind) => effect.differ[kind] > 0).map((kind) => (
    <Section
      key={kind}
      id={kind}
      heading={`${DIFFERENCE_WORDS[kind].heading}: ${count(effect.differ[kind], 'referral')}`}
    >
      <div className={styles.effects}>
        <RuledTable
          caption={DIFFERENCE_WORDS[kind].heading}
          isCaptionHidden
          head={['Patient', 'Disposition, limit, stations', 'Coverage', 'Minutes']}
        >
          {changed
            .filter(({ differs }) => differs === kind)
            .map((one) => (
              <Referral key={one.id} one={one} {...versions} />
            ))}
        </RuledTable>
      </div>
    </Section>
  ))
}

function Referral({ one, ...versions }: { one: PatientEffect } & Omit<PartProps, 'view'>) {
  const { id, before, after, opened, closed } = one
  const title = (stationId: string) => named(versions, 'stations', stationId)
  const limits = between(before, after, ({ seeBy }) => (seeBy ? `within ${limitWords(seeBy)}` : 'no limit of its own'))
  return (
    <tr id={id}>
      <th scope="row">
        <Link href={`/referrals/${id}`}>{one.patient}</Link>
        <div className={styles.path}>{complaintWords(one.side, named(versions, 'conditions', one.conditionId))}</div>
      </th>
      <td>
        {one.isLessUrgent && <Mark state="late">Waits longer</Mark>}
        <Change {...between(before, after, ({ disposition }) => DISPOSITION_WORDS[disposition])} />
        {limits.was !== limits.is && <Change {...limits} />}
        {opened.length > 0 && <div>Opens: {opened.map(title).join('; ')}</div>}
        {closed.length > 0 && <div>Closes: {closed.map(title).join('; ')}</div>}
      </td>
      <td className={styles.figure}>
        <Change {...between(before, after, ({ coverage }) => percent(coverage))} />
      </td>
      <td className={styles.figure}>
        <Change {...between(before, after, ({ visitMin }) => (visitMin === null ? 'none' : String(visitMin)))} />
      </td>
    </tr>
  )
}

type WasAndIs = { was: string; is: string }

function between(before: Said | null, after: Said | null, words: (said: Said) => string): WasAndIs {
  const [was = '', is = ''] = [before, after].map((said) => (said ? words(said) : 'no such condition'))
  return { was, is }
}

function Change({ was, is }: WasAndIs) {
  if (was === is) return <div className={styles.soft}>{is}</div>
  return (
    <div>
      {was} → <strong>{is}</strong>
    </div>
  )
}

function dispositionWords(disposition: Disposition | null): string {
  return disposition === null ? 'No such condition' : DISPOSITION_WORDS[disposition]
}

function percent(share: number): string {
  return `${Math.round(share * 100)} %`
}
