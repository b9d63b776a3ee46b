/** The packet to be read out on the phone, in the patient's language, to somebody without e-mail. */
import type { Metadata } from 'next'
import { notFound } from 'next/navigation'
import { staffContext } from '#app/_server/staff-page.ts'
import { ButtonLink } from '#app/_ui/button.tsx'
import { Opener } from '#app/_ui/opener.tsx'
import { PacketSections } from '#app/_ui/packet-sections.tsx'
import { PhoneNumber } from '#app/_ui/phone-link.tsx'
import { Section } from '#app/_ui/section.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { readPacket } from '#lib/usecases/read-packet.ts'
import { describePacket } from '#lib/words/packet-text.ts'
import styles from './read-out.module.css'

export const metadata: Metadata = { title: 'Packet by phone' }

const LANGUAGES = { en: 'English', es: 'Spanish' } as const

export default async function ReadOutPage({ params }: PageProps<'/referrals/[id]/read-out'>) {
  const ctx = await staffContext('packet.read')
  const { id } = await params
  const result = await readPacket(ctx, { referralId: id })
  if (!result.ok || result.value === null) notFound()
  const { content, changes, revision, reader, visitId } = result.value
  const described = describePacket(content, changes, reader.language)
  return (
    <>
      <BackLink href={`/visits/${visitId}`}>Visit</BackLink>
      <Opener kicker={`Packet by phone, revision ${revision}, in ${LANGUAGES[reader.language]}`}>
        Read this out to {reader.name}
        {reader.phone === null ? (
          ', who has no phone number on file'
        ) : (
          <>
            , <PhoneNumber number={reader.phone} />
          </>
        )}
        .
      </Opener>
      <Section heading="Before you read">
        <ol>
          <li>
            Say who you are and where you call from. Say nothing of the visit yet, and leave nothing on a machine.
          </li>
          <li>Ask for their full name and date of birth, and check both against the referral.</li>
          <li>Ask for pen and paper, or offer to post the packet as well.</li>
        </ol>
      </Section>
      <div lang={reader.language} className={styles.words}>
        <PacketSections described={described} locale={reader.language} setUps="said" />
      </div>
      <Section heading="Before you hang up">
        <ol>
          <li>Do they have everything that is to be close by? What do they use instead?</li>
          {content.helper !== null && <li>Can their helper be there at that time?</li>}
          <li>Can they say when they would not wait for the visit, and whom they would call?</li>
        </ol>
        <p className={styles.ways}>
          <ButtonLink href={`/visits/${visitId}`}>Write down what was said</ButtonLink>{' '}
          <a href={`/referrals/${id}/packet.pdf`}>Print the packet (PDF)</a>
        </p>
      </Section>
    </>
  )
}
