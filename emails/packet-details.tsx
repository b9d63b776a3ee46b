/** The packet inside a mail: the same sections, in the same words, as on its page. */
import { Heading, Link, Section, Text } from '@react-email/components'
import type { Packet, PacketChange } from '#lib/domain/packet/packet.ts'
import type { Locale } from '#lib/domain/protocol/schema.ts'
import { describePacket, type PacketItem, type PacketPart, partKey } from '#lib/words/packet-text.ts'
import * as look from './look.ts'

type Props = { packet: Packet; changes: readonly PacketChange[]; locale: Locale }

export function PacketDetails({ packet, changes, locale }: Props) {
  const { sections, youWord, helperWord, demonstration } = describePacket(packet, changes, locale)
  return (
    <Section>
      {demonstration !== null && <Text style={look.small}>{demonstration}</Text>}
      {sections.map(({ id, heading, parts }) => (
        <Section key={id}>
          <Heading as="h2" style={look.subheading}>
            {heading}
          </Heading>
          {parts.map((part) => (
            <Part key={partKey(part)} part={part} youWord={youWord} helperWord={helperWord} />
          ))}
        </Section>
      ))}
    </Section>
  )
}

function Item({ item: { text, also } }: { item: PacketItem }) {
  return (
    <li>
      {text}
      {also.length > 0 && (
        <ul style={look.list}>
          {also.map((each) => (
            <li key={each}>{each}</li>
          ))}
        </ul>
      )}
    </li>
  )
}

function Part({ part, youWord, helperWord }: { part: PacketPart; youWord: string; helperWord: string }) {
  if ('text' in part) return <Text style={look.text}>{part.text}</Text>
  if ('address' in part)
    return (
      <Text style={look.text}>
        <Link href={part.address} style={look.link} className="accent">
          {part.address}
        </Link>
      </Text>
    )
  if ('list' in part)
    return (
      <>
        {part.lead !== null && <Text style={look.text}>{part.lead}</Text>}
        <ul style={look.list}>
          {part.list.map((item) => (
            <Item key={item.text} item={item} />
          ))}
        </ul>
      </>
    )
  return (
    <Section>
      <Heading as="h3" style={look.minor}>
        {part.heading}
      </Heading>
      <Text style={look.text}>
        <strong>{part.from}</strong> {[...part.notes, ...(part.asIn === null ? [] : [part.asIn.words])].join(' ')}
      </Text>
      {part.measures !== null && <Text style={look.text}>{part.measures}</Text>}
      {part.stations.map(({ title, sides, you, helper }) => (
        <Section key={title} style={look.marked}>
          <Heading as="h4" style={look.minor}>
            {title}
          </Heading>
          {sides !== null && <Text style={look.text}>{sides}</Text>}
          <Text style={look.text}>{helper === null ? you : `${youWord}: ${you}`}</Text>
          {helper !== null && <Text style={look.text}>{`${helperWord}: ${helper}`}</Text>}
        </Section>
      ))}
    </Section>
  )
}
