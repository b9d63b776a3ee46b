/** What a version would have changed for the last referrals. */
import type { Metadata } from 'next'
import Link from 'next/link'
import { notFound } from 'next/navigation'
import { EmptyState } from '#app/_ui/empty-state.tsx'
import { Notice } from '#app/_ui/notice.tsx'
import { Opener } from '#app/_ui/opener.tsx'
import { KeyValueList, RuledTable } from '#app/_ui/ruled.tsx'
import { Section } from '#app/_ui/section.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import type { Protocol } from '#lib/domain/protocol/schema.ts'
import type { Disposition } from '#lib/domain/screening/screening.ts'
import type { Said } from '#lib/domain/versions/effect.ts'
import { titleOf } from '#lib/domain/versions/parts.ts'
import { type EffectView, readEffect } from '#lib/usecases/read-effect.ts'
import { count, DISPOSITION_WORDS, limitWords } from '../../../../../referrals/words.ts'
import { openVersion } from '../../../open-version.ts'
import styles from '../../../protocol.module.css'
import { addressOf } from '../../../words.ts'

export const metadata: Metadata = { title: 'On past referrals' }

const HOW_MANY = [20, 50, 100, 200] as const

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
          <Opener kicker="On past referrals">{sentence(read.value)}</Opener>
          <p>
            Each was screened again from its answers as they are today, once by version {base.version} and once by
            version {version.version}. Nothing of it is written, and no patient is told. Which answer is the better one
            a count can’t say.
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
          {read.value.isPart && (
            <Notice kind="caution" heading="Only a part of them was reached in time">
              <p>Ask for fewer. What stands here is true of those that were reached.</p>
            </Notice>
          )}
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

function sentence({ effect, asked }: EffectView): string {
  if (effect.cases === 0) return 'No referral was triaged by this protocol yet.'
  const which = effect.cases < asked ? count(effect.cases, 'referral') : `the last ${effect.cases} referrals`
  return effect.changed === 0
    ? `Nothing would have been different for ${which}.`
    : `${effect.changed} of ${which} would have been different.`
}

function fromTo(before: string, after: string): string {
  return before === after ? `${after}, as before` : `${before} before, ${after} now`
}

type PartProps = { view: EffectView; protocol: Protocol; base: Protocol }

function Totals({ view: { effect }, protocol, base }: PartProps) {
  if (effect.cases === 0) return null
  const { coverage, visitMin } = effect
  const moved = effect.moves.reduce((sum, { count: number }) => sum + number, 0)
  const title = (id: string) =>
    titleOf(protocol.stations.some((each) => each.id === id) ? protocol : base, 'stations', id)
  return (
    <>
      <Section heading="In numbers">
        <KeyValueList
          items={[
            { name: 'Referrals screened again', value: effect.cases },
            { name: 'Another disposition', value: moved },
            { name: 'Another see-by limit', value: effect.seeByChanged },
            {
              name: 'Mean coverage',
              value: coverage ? fromTo(percent(coverage.before), percent(coverage.after)) : 'Not known',
            },
            {
              name: 'Mean length of a visit',
              value: visitMin
                ? fromTo(`${visitMin.before.toFixed(1)} minutes`, `${visitMin.after.toFixed(1)} minutes`)
                : 'Not known',
            },
          ]}
        />
      </Section>
      {effect.moves.length > 0 && (
        <Section heading="Dispositions">
          <RuledTable caption="Dispositions that change" isCaptionHidden head={['From', 'To', 'Referrals']}>
            {effect.moves.map(({ from, to, count: number }) => (
              <tr key={`${from} ${to}`}>
                <td>{dispositionWords(from)}</td>
                <td>{dispositionWords(to)}</td>
                <td className={styles.figure}>{number}</td>
              </tr>
            ))}
          </RuledTable>
        </Section>
      )}
      {effect.stations.length > 0 && (
        <Section heading="Stations">
          <RuledTable
            caption="Stations that open or close"
            isCaptionHidden
            head={['Station', 'Opens for', 'Closes for']}
          >
            {effect.stations.map(({ stationId, opened, closed }) => (
              <tr key={stationId}>
                <th scope="row">{title(stationId)}</th>
                <td className={styles.figure}>{opened}</td>
                <td className={styles.figure}>{closed}</td>
              </tr>
            ))}
          </RuledTable>
        </Section>
      )}
    </>
  )
}

function Referrals({ view: { changed }, protocol, base }: PartProps) {
  if (changed.length === 0) return null
  const title = (id: string) =>
    titleOf(protocol.stations.some((each) => each.id === id) ? protocol : base, 'stations', id)
  return (
    <Section heading="Which referrals">
      <RuledTable
        caption="Referrals that would have been different"
        isCaptionHidden
        head={['Patient', 'Disposition', 'Coverage', 'Minutes', 'See by', 'Stations']}
      >
        {changed.map(({ id, patient, before, after, opened, closed }) => (
          <tr key={id}>
            <th scope="row">
              <Link href={`/referrals/${id}`}>{patient}</Link>
            </th>
            <td>{between(before, after, ({ disposition }) => DISPOSITION_WORDS[disposition])}</td>
            <td className={styles.figure}>{between(before, after, ({ coverage }) => percent(coverage))}</td>
            <td className={styles.figure}>
              {between(before, after, ({ visitMin }) => (visitMin === null ? 'none' : String(visitMin)))}
            </td>
            <td>{between(before, after, ({ seeBy }) => (seeBy ? limitWords(seeBy) : 'its own'))}</td>
            <td>
              {opened.length > 0 && <div>Opens: {opened.map(title).join('; ')}</div>}
              {closed.length > 0 && <div>Closes: {closed.map(title).join('; ')}</div>}
              {opened.length + closed.length === 0 && 'The same'}
            </td>
          </tr>
        ))}
      </RuledTable>
    </Section>
  )
}

/** What was and what is, or one of them where both are the same. */
function between(before: Said | null, after: Said | null, words: (said: Said) => string): string {
  const [was, is] = [before, after].map((said) => (said ? words(said) : 'no such condition'))
  return was === is ? String(is) : `${was} → ${is}`
}

function dispositionWords(disposition: Disposition | null): string {
  return disposition === null ? 'No such condition' : DISPOSITION_WORDS[disposition]
}

function percent(share: number): string {
  return `${Math.round(share * 100)} %`
}
