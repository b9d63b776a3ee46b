/** The packet: what this patient needs for exactly this visit. Reads without a script, and prints. */
import { headers } from 'next/headers'
import { notFound } from 'next/navigation'
import { currentPatientOrLink, patientContext } from '#app/_server/patient-page.ts'
import { SetUpFigure } from '#app/_ui/figures/set-up-figure.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { Temporal } from '#lib/base/time.ts'
import type { Locale } from '#lib/domain/protocol/schema.ts'
import { confirmItem } from '#lib/usecases/confirm-item.ts'
import { readPacket } from '#lib/usecases/read-packet.ts'
import { describePacket, type PacketItem, type PacketPart, partKey } from '#lib/words/packet-text.ts'
import { dayWords } from '#lib/words/time-words.ts'
import { wordsFor } from '#lib/words/words.ts'
import styles from './packet.module.css'

export default async function PacketPage() {
  const ctx = await patientContext()
  const { language, clinic } = await currentPatientOrLink()
  const say = wordsFor(language)
  const result = await readPacket(ctx, { referralId: ctx.actor.referralId })
  if (!result.ok) notFound()
  const packet = result.value
  if (packet === null) {
    return (
      <>
        <title>{say('packet.title')}</title>
        <BackLink href="/my">{say('common.back')}</BackLink>
        <h1>{say('packet.none.title')}</h1>
        <p>{say('packet.none.body', { clinic: clinic.name, phone: clinic.phone })}</p>
      </>
    )
  }
  // A browser that only fetches ahead has shown nobody anything.
  const isLooking = !(await headers()).has('next-router-prefetch')
  if (packet.isUnread && isLooking) {
    await confirmItem(ctx, { visitId: packet.visitId, item: 'packet_opened', state: 'confirmed' })
  }
  const { sections, youWord, helperWord, demonstration } = describePacket(packet.content, packet.changes, language)
  const day = dayWords(Temporal.Instant.from(packet.at), packet.content.visit.timeZone, language)
  return (
    <>
      <title>{say('packet.title')}</title>
      <BackLink href="/my">{say('common.back')}</BackLink>
      <h1>{say('packet.title')}</h1>
      <p>{say('packet.lead')}</p>
      <p className={styles.quiet}>
        {say('packet.revision', { number: packet.revision, day })}. {say('packet.print')}
      </p>
      {demonstration !== null && <p className={styles.quiet}>{demonstration}</p>}
      {sections.map(({ id, heading, parts }) => (
        <section key={id} id={id} className={styles.section}>
          <h2>{heading}</h2>
          {parts.map((part) => (
            <Part key={partKey(part)} part={part} locale={language} youWord={youWord} helperWord={helperWord} />
          ))}
        </section>
      ))}
    </>
  )
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

type PartProps = { part: PacketPart; locale: Locale; youWord: string; helperWord: string }

function Part({ part, locale, youWord, helperWord }: PartProps) {
  if ('text' in part) return <p>{part.text}</p>
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
      <ul>
        {part.list.map((item) => (
          <Item key={item.text} item={item} />
        ))}
      </ul>
    )
  }
  return (
    <section className={styles.setUp}>
      <h3>{part.heading}</h3>
      {part.notes.map((note) => (
        <p key={note}>{note}</p>
      ))}
      {part.geometry !== null && <SetUpFigure geometry={part.geometry} locale={locale} />}
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
