/** One part of a version, to be read; a lead goes on from here to change a thing of a draft. */
import type { Metadata } from 'next'
import Link from 'next/link'
import { notFound } from 'next/navigation'
import { ButtonLink } from '#app/_ui/button.tsx'
import { DoneNotice } from '#app/_ui/done-notice.tsx'
import { Opener } from '#app/_ui/opener.tsx'
import { KeyValueList, RuledTable } from '#app/_ui/ruled.tsx'
import { Section } from '#app/_ui/section.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import type { Protocol } from '#lib/domain/protocol/schema.ts'
import { figureFields } from '#lib/domain/versions/fields.ts'
import { capital, PART_NAMES, PARTS, type Part, titleOf } from '#lib/domain/versions/parts.ts'
import { count } from '../../../../../referrals/words.ts'
import { openVersion } from '../../../open-version.ts'
import styles from '../../../protocol.module.css'
import { addressOf, PART_HEADINGS, READ_PARTS, type ReadPart, standingWords } from '../../../words.ts'
import { Things } from './things.tsx'

export const metadata: Metadata = { title: 'Protocol' }

export default async function PartPage({ params, searchParams }: PageProps<'/clinic/protocol/[id]/[version]/[part]'>) {
  const { part: asked, ...which } = await params
  const open = await openVersion(which)
  const part = READ_PARTS.find((each) => each === asked)
  if (!part) notFound()
  const { done, at } = await searchParams
  const said = <DoneNotice words={{ saved: 'Saved in the draft.' }} done={done} />
  const { version, protocol, timeZone, mayWrite } = open
  const here = addressOf(version)
  return (
    <>
      <BackLink href={here}>
        {protocol.title.en}, version {version.version}
      </BackLink>
      <Opener kicker={PART_HEADINGS[part]}>
        {sizeWords(part, protocol)} Version {version.version} {standingWords(version, timeZone)}
      </Opener>
      {!isList(part) && said}
      <nav aria-label="Parts">
        <ul className={styles.parts}>
          {READ_PARTS.map((each) => (
            <li key={each}>
              <Link href={`${here}/${each}`} aria-current={each === part ? 'page' : undefined}>
                {PART_HEADINGS[each]}
              </Link>
            </li>
          ))}
        </ul>
      </nav>
      {isList(part) && (
        <Things part={part} protocol={protocol} here={here} mayWrite={mayWrite} changed={{ id: at, said }} />
      )}
      {part === 'figures' && <Figures protocol={protocol} here={here} mayWrite={mayWrite} />}
      {part === 'order' && <Order protocol={protocol} />}
      {part === 'sources' && <Sources protocol={protocol} here={here} />}
    </>
  )
}

function isList(part: ReadPart): part is Part {
  return part in PARTS
}

function sizeWords(part: ReadPart, protocol: Protocol): string {
  if (part === 'order') return `${capital(count(protocol.precedence.length, 'rule'))}.`
  return isList(part) ? `${capital(count(protocol[PARTS[part].list].length, PARTS[part].one.toLowerCase()))}.` : ''
}

function Figures({ protocol, here, mayWrite }: { protocol: Protocol; here: string; mayWrite: boolean }) {
  return (
    <>
      {mayWrite && (
        <p className={styles.space}>
          <ButtonLink href={`${here}/figures/all`}>Change thresholds and costs</ButtonLink>
        </p>
      )}
      {figureFields(protocol).map(({ heading, fields }) => (
        <Section key={heading} heading={heading}>
          <KeyValueList
            items={fields.map(({ label, value, unit, hint }) => ({
              name: label,
              value: `${value}${unit ? ` ${unit}` : ''}${hint ? `. ${hint}` : ''}`,
            }))}
          />
        </Section>
      ))}
    </>
  )
}

function Order({ protocol }: { protocol: Protocol }) {
  const title = (id: string) => titleOf(protocol, 'stations', id)
  return (
    <RuledTable caption="What comes before what" isCaptionHidden head={['First', 'Then', 'Why']}>
      {protocol.precedence.map(({ first, second, why }) => (
        <tr key={`${first} ${second}`}>
          <td>{title(first)}</td>
          <td>{title(second)}</td>
          <td>{why}</td>
        </tr>
      ))}
    </RuledTable>
  )
}

function Sources({ protocol, here }: { protocol: Protocol; here: string }) {
  const cited = PART_NAMES.flatMap((part) =>
    protocol[PARTS[part].list].map(({ id, source }) => ({
      part,
      id,
      source,
      title: titleOf(protocol, PARTS[part].list, id),
    })),
  )
  const bySource = [...Map.groupBy(cited, ({ source }) => source)].sort(([a], [b]) => a.localeCompare(b))
  return (
    <div className={styles.thirds}>
      <RuledTable caption="Sources" isCaptionHidden head={['Source', 'Cited by']}>
        {bySource.map(([source, things]) => (
          <tr key={source}>
            <th scope="row">{capital(source)}</th>
            <td>
              <ul className={styles.ways}>
                {things.map(({ part, id, title }) => (
                  <li key={`${part} ${id}`}>
                    {PARTS[part].one}: <Link href={`${here}/${part}/${id}`}>{title}</Link>
                  </li>
                ))}
              </ul>
            </td>
          </tr>
        ))}
      </RuledTable>
    </div>
  )
}
