/** The packet: what this patient needs for exactly this visit. Reads without a script, and prints. */
import { headers } from 'next/headers'
import { notFound } from 'next/navigation'
import { currentPatientOrLink, patientContext } from '#app/_server/patient-page.ts'
import { PacketSections } from '#app/_ui/packet-sections.tsx'
import { PhoneSentence } from '#app/_ui/phone-link.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { Temporal } from '#lib/base/time.ts'
import { confirmItem } from '#lib/usecases/confirm-item.ts'
import { readPacket } from '#lib/usecases/read-packet.ts'
import { describePacket } from '#lib/words/packet-text.ts'
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
        <p>
          <PhoneSentence number={clinic.phone}>
            {say('packet.none.body', { clinic: clinic.name, phone: clinic.phone })}
          </PhoneSentence>
        </p>
      </>
    )
  }
  // A browser that only fetches ahead has shown nobody anything.
  const isLooking = !(await headers()).has('next-router-prefetch')
  if (packet.isUnread && isLooking) {
    await confirmItem(ctx, { visitId: packet.visitId, item: 'packet_opened', state: 'confirmed' })
  }
  const described = describePacket(packet.content, packet.changes, language)
  const day = dayWords(Temporal.Instant.from(packet.at), packet.content.visit.timeZone, language)
  return (
    <>
      <title>{say('packet.title')}</title>
      <BackLink href="/my">{say('common.back')}</BackLink>
      <h1>{say('packet.title')}</h1>
      <p>{say('packet.lead')}</p>
      <p className={styles.quiet}>{say('packet.revision', { number: packet.revision, day })}</p>
      {described.demonstration !== null && <p className={styles.quiet}>{described.demonstration}</p>}
      <p className={styles.onScreen}>
        <a href="/my/packet.pdf">{say('packet.pdf')}</a>
      </p>
      <PacketSections described={described} locale={language} setUps="drawn" phone={packet.content.clinic.phone} />
    </>
  )
}
