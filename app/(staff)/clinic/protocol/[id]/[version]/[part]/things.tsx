/** The things of one part as a lead reads them: each with its figures, needs and words in both languages. */
import Link from 'next/link'
import type { ReactNode } from 'react'
import { RuledItem, RuledList } from '#app/_ui/ruled.tsx'
import { IMPORTANCES, type Protocol, type Text } from '#lib/domain/protocol/schema.ts'
import { setUpOf } from '#lib/domain/protocol/set-up-of.ts'
import { referenceList } from '#lib/domain/versions/change-words.ts'
import { FLAG_LEVEL_WORDS, MEASURE_UNIT_WORDS, wayWords } from '#lib/domain/versions/fields.ts'
import { factWords, needWords } from '#lib/domain/versions/need-words.ts'
import { capital, PARTS, type Part, titleOf } from '#lib/domain/versions/parts.ts'
import { AREA_WORDS, count, limitWords } from '../../../../../referrals/words.ts'
import styles from '../../../protocol.module.css'

type Props = {
  part: Part
  protocol: Protocol
  here: string
  mayWrite: boolean
  /** What was just done to one of them is said there: a list is long. The id stands in the address, which may be typed. */
  changed: { id: unknown; said: ReactNode }
}

export function Things({ part, protocol, here, mayWrite, changed }: Props) {
  const { list, heading } = PARTS[part]
  return (
    <RuledList label={heading}>
      {protocol[list].map(({ id, source }, index) => {
        const title = titleOf(protocol, list, id)
        return (
          <RuledItem
            key={id}
            id={id}
            end={
              <Link href={`${here}/${part}/${id}`} aria-label={`${mayWrite ? 'Change' : 'Read all of'} ${title}`}>
                {mayWrite ? 'Change' : 'Read all'}
              </Link>
            }
          >
            {id === changed.id && changed.said}
            <h2 className={styles.name}>{title}</h2>
            {SAID[part](protocol, index)}
            <p className={styles.soft}>Source: {source}</p>
          </RuledItem>
        )
      })}
    </RuledList>
  )
}

const SIDES = { together: 'both at once', affected: 'the side of the referral', compare: 'one side after the other' }

const SAID: Record<Part, (protocol: Protocol, index: number) => ReactNode> = {
  stations: (protocol, index) => {
    const station = protocol.stations[index]
    if (!station) return null
    return (
      <>
        <p>
          {count(station.minutes, 'minute')}, {SIDES[station.sides]}. {station.looksFor}
        </p>
        <Both text={station.plain} />
        {needWords(station.safety, protocol) !== 'nothing' && <p>Safe with: {needWords(station.safety, protocol)}.</p>}
        <ul className={styles.ways}>
          {station.ways.map((way) => (
            <li key={way.id}>
              {capital(wayWords(way.id))}, value {way.value}, in “{setUpOf(protocol, station, way).title.en}”
              {way.helper ? ', with a helper' : ''}. Needs {needWords(way.needs, protocol)}.
              {way.misses !== undefined && <span className={styles.soft}> Misses: {way.misses}</span>}
            </li>
          ))}
        </ul>
        {station.measures?.map(({ id, title, unit, min, max, references }) => (
          <p key={id}>
            Measured: {title}, plausible from {min} to {max} {MEASURE_UNIT_WORDS[unit]}.
            {references.length > 0 && <span className={styles.soft}> Published: {referenceList(references)}.</span>}
          </p>
        ))}
      </>
    )
  },
  'set-ups': (protocol, index) => {
    const setUp = protocol.setUps[index]
    if (!setUp) return null
    const { camera } = setUp
    return (
      <>
        <p>
          {capital(setUp.position)}. Camera {camera.handheld ? 'in the hand' : `at ${camera.heightCm} cm`},{' '}
          {camera.orientation}, sees up to {camera.mustSeeUpToCm} cm. Needs {needWords(setUp.needs, protocol)}.
        </p>
        <Both text={setUp.instructions} />
      </>
    )
  },
  conditions: (protocol, index) => {
    const condition = protocol.conditions[index]
    if (!condition) return null
    const named = (ids: readonly string[]) => ids.map((id) => titleOf(protocol, 'stations', id)).join('; ')
    return (
      <>
        {IMPORTANCES.map(
          (importance) =>
            condition.stations[importance].length > 0 && (
              <p key={importance}>
                {capital(importance)}: {named(condition.stations[importance])}.
              </p>
            ),
        )}
        {condition.forbids.length > 0 && <p>Never at home: {named(condition.forbids)}.</p>}
        {condition.inPerson && (
          <>
            <p>
              Seen in person within {limitWords(condition.inPerson.seeBy)}
              {condition.earlyLook ? ', with an early video look beside it' : ''}.
            </p>
            <Both text={condition.inPerson.because} />
          </>
        )}
        {condition.imageFirst && <p>An image must have been seen first.</p>}
      </>
    )
  },
  'red-flags': (protocol, index) => {
    const flag = protocol.redFlags[index]
    if (!flag) return null
    return (
      <>
        <p>
          {FLAG_LEVEL_WORDS[flag.level]}
          {flag.seeBy ? `, seen within ${limitWords(flag.seeBy)}` : ''}. Raised with: {needWords(flag.when, protocol)}.
        </p>
        <Both text={flag.advice} />
      </>
    )
  },
  safety: (protocol, index) => {
    const rule = protocol.homeRules[index]
    if (!rule) return null
    return (
      <>
        <p>Applies with: {needWords(rule.when, protocol)}.</p>
        <Both text={rule.because} />
      </>
    )
  },
  'worked-out': (protocol, index) => {
    const derived = protocol.derived[index]
    if (!derived) return null
    return (
      <>
        <p>True with: {needWords(derived.when, protocol)}.</p>
        <Both text={derived.plain} />
      </>
    )
  },
  questions: (protocol, index) => {
    const fact = protocol.facts[index]
    if (!fact) return null
    const kind = fact.kind === 'number' ? `A number from ${fact.min} to ${fact.max} ${fact.unit}` : 'Yes or no'
    return (
      <>
        <Both text={fact.ask} />
        <p>
          {AREA_WORDS[fact.area]}. {kind}, asked of {fact.askedOf === 'patient' ? 'the patient' : 'staff'}
          {fact.askWhen ? `, only with: ${needWords(fact.askWhen, protocol)}` : ''}.
          {fact.change ? ` A household can change it (trouble ${fact.change.cost} of 5).` : ''}
        </p>
      </>
    )
  },
  things: (protocol, index) => {
    const thing = protocol.equipment[index]
    if (!thing) return null
    return (
      <>
        <Both text={thing.title} />
        <ul className={styles.ways}>
          {thing.anyOf.map(({ fact, title }, at) => (
            <li key={fact}>
              {at === 0 ? 'The thing itself' : 'Stand-in'}: {title.en} (answered by “{factWords(fact, protocol)}”)
            </li>
          ))}
        </ul>
      </>
    )
  },
}

function Both({ text }: { text: Text }) {
  return (
    <div className={styles.said}>
      <p lang="en">{text.en}</p>
      <p lang="es">{text.es}</p>
    </div>
  )
}
