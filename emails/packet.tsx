/** The video visit is booked: when it is, and the way to the packet; the packet itself only where the patient agreed. */
import { Text } from '@react-email/components'
import { Frame, type TemplateProps } from './frame.tsx'
import * as look from './look.ts'
import { PacketDetails } from './packet-details.tsx'
import { VisitTime } from './visit-time.tsx'

export function PacketMail(props: TemplateProps) {
  const { letter, say } = props
  return (
    <Frame {...props} heading={say('mail.packet.heading')} button={say('mail.packet.button')}>
      <VisitTime {...props} />
      <Text style={look.text}>{say('mail.packet.body')}</Text>
      <Text style={look.text}>{say('mail.packet.calendar')}</Text>
      {letter.details && <PacketDetails packet={letter.details.packet} changes={[]} locale={letter.locale} />}
    </Frame>
  )
}
