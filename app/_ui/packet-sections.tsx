/** The packet's sections, for the patient who reads them and for whoever reads them out. Needs no script, and prints. */
import type { Locale } from '#lib/domain/protocol/schema.ts'
import { type describePacket, isLongList, type PacketItem, type PacketPart, partKey } from '#lib/words/packet-text.ts'
import { SetUpFigure } from './figures/set-up-figure.tsx'
import styles from './packet-sections.module.css'
import { PhoneSentence } from './phone-link.tsx'

type Props = {
  described: Pick<ReturnType<typeof describePacket>, 'sections' | 'youWord' | 'helperWord'>
  locale: Locale
  /** `said`: in words alone, where nobody can look. */
  setUps: 'drawn' | 'said'
  /** The clinic's, to be dialled; left out where it is only read out. */
  phone?: string
}

export function PacketSections({ described: { sections, ...words }, ...rest }: Props) {
  return sections.map(({ id, heading, parts }) => (
    <section key={id} id={id} className={styles.section}>
      <h2>{heading}</h2>
      {parts.map((part) => (
        <Part key={partKey(part)} part={part} {...words} {...rest} />
      ))}
    </section>
  ))
}

function Item({ item: { text, also } }: { item: PacketItem }) {
  return (
    <li>
      {text}
      {also.length > 0 && (
        <ul>
          {also.map((each) => (
            <li key={each}>{each}</li>
          ))}
        </ul>
      )}
    </li>
  )
}

type PartProps = { part: PacketPart; youWord: string; helperWord: string } & Pick<Props, 'locale' | 'setUps' | 'phone'>

function Part({ part, locale, youWord, helperWord, setUps, phone }: PartProps) {
  const sentence = (text: string) => (phone === undefined ? text : <PhoneSentence number={phone}>{text}</PhoneSentence>)
  if ('text' in part) return <p>{sentence(part.text)}</p>
  if ('address' in part) {
    return (
      <p>
        <a href={part.address} className={styles.join}>
          {part.address}
        </a>
      </p>
    )
  }
  if ('list' in part) {
    return (
      <>
        {part.lead !== null && <p className={styles.lead}>{sentence(part.lead)}</p>}
        <ul className={isLongList(part.list) ? styles.long : undefined}>
          {part.list.map((item) => (
            <Item key={item.text} item={item} />
          ))}
        </ul>
      </>
    )
  }
  return (
    <section className={styles.setUp} id={`setUp${part.number}`}>
      <h3>{part.heading}</h3>
      <p>
        <strong>{part.from}</strong> {part.notes.join(' ')}
      </p>
      {part.asIn !== null && (
        <p>
          <a href={`#setUp${part.asIn.number}`} className={styles.asIn}>
            {part.asIn.words}
          </a>
        </p>
      )}
      {setUps === 'said' && part.measures !== null && <p>{part.measures}</p>}
      {setUps === 'drawn' && part.geometry !== null && (
        <SetUpFigure geometry={part.geometry} locale={locale} caption={part.measures} />
      )}
      <ol className={styles.stations}>
        {part.stations.map(({ title, sides, you, helper }) => (
          <li key={title} className={styles.station}>
            <h4>{title}</h4>
            {sides !== null && <p className={styles.sides}>{sides}</p>}
            {helper === null ? (
              <p>{you}</p>
            ) : (
              <dl className={styles.parts}>
                <dt>{youWord}</dt>
                <dd>{you}</dd>
                <dt>{helperWord}</dt>
                <dd>{helper}</dd>
              </dl>
            )}
          </li>
        ))}
      </ol>
    </section>
  )
}
