/** Phone numbers: dialled when they are touched, and not broken at the end of a line. */
import { Fragment } from 'react'
import { phoneAddress, phoneWords } from '#lib/domain/intake/phone-number.ts'
import styles from './phone-link.module.css'

type Props = {
  number: string
  /** What is read; the number stands in it or not. */
  children: string
}

/** A number with the words that belong to it, on a line of its own: touched like a button. */
export function PhoneLink({ number, children }: Props) {
  return (
    <a href={phoneAddress(number)} className={styles.alone}>
      {/* One element, so that words and number flow as one line inside the link. */}
      <span>
        {piecesAround(number, children).map(({ at, words }) => (
          <Fragment key={at}>
            {at > 0 && <Whole number={number} />}
            {words}
          </Fragment>
        ))}
      </span>
    </a>
  )
}

/** A number as it is kept, said as people read it. */
export function PhoneNumber({ number }: { number: string }) {
  return (
    <a href={phoneAddress(number)}>
      <Whole number={phoneWords(number)} />
    </a>
  )
}

/** A sentence in which the number, wherever it stands, is a link. */
export function PhoneSentence({ number, children }: Props) {
  return piecesAround(number, children).map(({ at, words }) => (
    <Fragment key={at}>
      {at > 0 && (
        <a href={phoneAddress(number)}>
          <Whole number={number} />
        </a>
      )}
      {words}
    </Fragment>
  ))
}

/** In one piece where the line is long enough for it, and nowhere broken at a hyphen. */
function Whole({ number }: { number: string }) {
  return (
    <span className={styles.number}>
      {number.split(' ').map((group, at) => (
        // biome-ignore lint/suspicious/noArrayIndexKey: the groups of one number never move
        <Fragment key={at}>
          {at > 0 && ' '}
          <span>{group}</span>
        </Fragment>
      ))}
    </span>
  )
}

/** Before each piece but the first, the number stands once. */
function piecesAround(number: string, text: string): { at: number; words: string }[] {
  return text.split(number).map((words, at) => ({ at, words }))
}
