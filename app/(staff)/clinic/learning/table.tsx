/** A table of what was learned, with its plot: counts first, then what they say and how surely. */

import { EmptyState } from '#app/_ui/empty-state.tsx'
import { DaysStrip, daysScale, ShareStrip, StripAxis, shareScale } from '#app/_ui/plots/strip.tsx'
import { TrendPlot } from '#app/_ui/plots/trend-plot.tsx'
import { RuledTable } from '#app/_ui/ruled.tsx'
import { Section } from '#app/_ui/section.tsx'
import {
  type DaysTable,
  isEmpty,
  type LearningTable,
  type ShareTable,
  type TrendTable,
} from '#lib/domain/learning/report.ts'
import styles from './learning.module.css'
import { percent } from './words.ts'

type Props<T> = { table: T; smallBelow: number }

export function LearningSection({ table, smallBelow, csv }: Props<LearningTable> & { csv: string }) {
  return (
    <Section
      heading={table.caption}
      id={table.id}
      aside={
        isEmpty(table) ? undefined : (
          <a href={csv} className={styles.csv}>
            As a CSV file<span className={styles.hidden}>: {table.caption}</span>
          </a>
        )
      }
    >
      <div className={styles.stack}>
        {isEmpty(table) ? (
          <EmptyState>Nothing of this in these days.</EmptyState>
        ) : (
          <Body table={table} smallBelow={smallBelow} />
        )}
        {table.note !== undefined && <p className={styles.note}>{table.note}</p>}
      </div>
    </Section>
  )
}

function Body({ table, smallBelow }: Props<LearningTable>) {
  switch (table.kind) {
    case 'share':
      return <Shares table={table} smallBelow={smallBelow} />
    case 'days':
      return <Days table={table} smallBelow={smallBelow} />
    case 'trend':
      return <Trend table={table} />
  }
}

function Shares({ table, smallBelow }: Props<ShareTable>) {
  const { by, counted, whole, also, lines, caption } = table
  const scale = shareScale(lines.map(({ share }) => share))
  return (
    <RuledTable
      caption={caption}
      isCaptionHidden
      head={[
        ...by,
        words(counted),
        `Of ${words(whole, false)}`,
        ...also.map((head) => words(head)),
        'Share',
        '95 % between',
        <StripAxis key="axis" scale={scale} />,
      ]}
    >
      {lines.map(({ names, share, also: more }) => (
        <tr key={names.join(' ')}>
          <Names names={names} />
          <td className={styles.number}>{share.count}</td>
          <td className={styles.number}>{share.of}</td>
          {more.map((count, index) => (
            <td key={also[index]} className={styles.number}>
              {count}
            </td>
          ))}
          <td className={styles.number}>{share.share === null ? 'none' : percent(share.share)}</td>
          <td className={styles.number}>
            {share.share === null ? 'not known' : `${percent(share.low)} to ${percent(share.high)}`}
            {share.of > 0 && share.of < smallBelow && <span className={styles.few}> of few</span>}
          </td>
          <td>
            <ShareStrip scale={scale} share={share} isFew={share.of < smallBelow} />
          </td>
        </tr>
      ))}
    </RuledTable>
  )
}

function Days({ table, smallBelow }: Props<DaysTable>) {
  const { by, lines, caption } = table
  const scale = daysScale(lines.map(({ spread }) => spread))
  return (
    <RuledTable
      caption={caption}
      isCaptionHidden
      head={[
        ...by,
        'Referrals',
        'Still open',
        'A quarter by',
        'Median',
        'Three quarters by',
        'Nine in ten by',
        <StripAxis key="axis" scale={scale} />,
      ]}
    >
      {lines.map(({ names, spread }) => (
        <tr key={names.join(' ')}>
          <Names names={names} />
          <td className={styles.number}>
            {spread.of}
            {spread.of > 0 && spread.of < smallBelow && <span className={styles.few}> few</span>}
          </td>
          <td className={styles.number}>{spread.pending}</td>
          {[spread.quarter, spread.median, spread.threeQuarters, spread.nineTenths].map((days, index) => (
            // biome-ignore lint/suspicious/noArrayIndexKey: columns neither move nor change
            <td key={index} className={styles.number}>
              {days === null ? 'none' : `${days} days`}
            </td>
          ))}
          <td>
            <DaysStrip scale={scale} spread={spread} />
          </td>
        </tr>
      ))}
    </RuledTable>
  )
}

function Trend({ table }: { table: TrendTable }) {
  const { by, series, unit, lines, caption } = table
  return (
    <>
      <TrendPlot table={table} />
      <RuledTable caption={caption} isCaptionHidden head={[...by, ...series.map((name) => `${name}, ${unit}`)]}>
        {lines.map(({ on, values }) => (
          <tr key={on}>
            <th scope="row">{on}</th>
            {values.map((value, index) => (
              <td key={series[index]} className={styles.number}>
                {value ?? 'none'}
              </td>
            ))}
          </tr>
        ))}
      </RuledTable>
    </>
  )
}

function Names({ names }: { names: readonly string[] }) {
  const [first, ...rest] = names
  return (
    <>
      <th scope="row" className={styles.name}>
        {first}
      </th>
      {rest.map((name) => (
        <td key={name}>{name}</td>
      ))}
    </>
  )
}

/** `took_place` as a head: "Took place". */
function words(code: string, isStart = true): string {
  const text = code.replaceAll('_', ' ')
  return isStart ? text.charAt(0).toUpperCase() + text.slice(1) : text
}
