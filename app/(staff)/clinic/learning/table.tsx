/** A table of what was learned, with its plot: counts first, then what they say and how surely. */

import type { ReactNode } from 'react'
import { EmptyState } from '#app/_ui/empty-state.tsx'
import {
  DaysStrip,
  daysScale,
  RowAxis,
  ShareStrip,
  StripAxis,
  type StripScale,
  shareScale,
} from '#app/_ui/plots/strip.tsx'
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
import { monthWords, percent } from './words.ts'

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
          <EmptyState>Nothing of this in these days. Choose others above.</EmptyState>
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
  const { id, by, counted, whole, also, lines, caption } = table
  const scale = shareScale(lines.map(({ share }) => share))
  const names = [...by, words(counted), `Of ${words(whole, false)}`, ...also.map((head) => words(head))]
  return (
    <Drawn id={id} caption={caption} names={[...names, 'Share', '95 % between']} scale={scale}>
      {lines.map(({ names, share, also: more }) => (
        <tr key={names.join(' ')}>
          <Names by={by} names={names} />
          <Count name={words(counted)}>{share.count}</Count>
          <Count name={`Of ${words(whole, false)}`}>{share.of}</Count>
          {more.map((count, index) => (
            <Count key={also[index]} name={words(also[index] ?? '')}>
              {count}
            </Count>
          ))}
          <Count name="Share">{share.share === null ? 'none' : percent(share.share)}</Count>
          <Count name="95 % between" look={styles.between}>
            {share.share === null ? 'not known' : `${percent(share.low)} and ${percent(share.high)}`}
            {share.of > 0 && share.of < smallBelow && <span className={styles.few}> (few)</span>}
          </Count>
          <td className={styles.strip}>
            <RowAxis id={id} />
            <ShareStrip scale={scale} share={share} isFew={share.of < smallBelow} />
          </td>
        </tr>
      ))}
    </Drawn>
  )
}

const QUANTILES = ['A quarter by', 'Median', 'Three quarters by', 'Nine in ten by'] as const

function Days({ table, smallBelow }: Props<DaysTable>) {
  const { id, by, lines, caption } = table
  const scale = daysScale(lines.map(({ spread }) => spread))
  return (
    <Drawn id={id} caption={caption} names={[...by, 'Referrals', 'Still open', ...QUANTILES]} scale={scale}>
      {lines.map(({ names, spread }) => (
        <tr key={names.join(' ')}>
          <Names by={by} names={names} />
          <Count name="Referrals">
            {spread.of}
            {spread.of > 0 && spread.of < smallBelow && <span className={styles.few}> (few)</span>}
          </Count>
          <Count name="Still open">{spread.pending}</Count>
          {[spread.quarter, spread.median, spread.threeQuarters, spread.nineTenths].map((days, index) => (
            <Count key={QUANTILES[index]} name={QUANTILES[index] ?? ''}>
              {days === null ? 'none' : `${days} days`}
            </Count>
          ))}
          <td className={styles.strip}>
            <RowAxis id={id} />
            <DaysStrip scale={scale} spread={spread} />
          </td>
        </tr>
      ))}
    </Drawn>
  )
}

type DrawnProps = { id: string; caption: string; names: readonly string[]; scale: StripScale; children: ReactNode }

/** A table whose last column is its plot. Where it does not fit, each row is a block of its own, with its names in it. */
function Drawn({ id, caption, names, scale, children }: DrawnProps) {
  return (
    <div className={styles.drawn} data-columns={names.length > 8 ? 'many' : names.length > 5 ? 'some' : 'few'}>
      <RuledTable caption={caption} isCaptionHidden head={[...names, <StripAxis key="axis" id={id} scale={scale} />]}>
        {children}
      </RuledTable>
    </div>
  )
}

/** A figure. Its column's name is drawn beside it where the head is out of sight. */
function Count({ name, look = '', children }: { name: string; look?: string | undefined; children: ReactNode }) {
  return (
    <td className={`${styles.number} ${look}`} data-name={name}>
      {children}
    </td>
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

function Names({ by, names }: { by: readonly string[]; names: readonly string[] }) {
  const [first, ...rest] = names
  return (
    <>
      <th scope="row" className={styles.name}>
        {by[0] === 'Month' && first !== undefined ? monthWords(first) : first}
      </th>
      {rest.map((name, index) => (
        <td key={name} data-name={by[index + 1]}>
          {name}
        </td>
      ))}
    </>
  )
}

/** `took_place` as a head: "Took place". */
function words(code: string, isStart = true): string {
  const text = code.replaceAll('_', ' ')
  return isStart ? text.charAt(0).toUpperCase() + text.slice(1) : text
}
