/** The packet has a new revision. What is new stands in the mail only where the patient agreed to details. */
import { Text } from '@react-email/components'
import { Frame, type TemplateProps } from './frame.tsx'
import * as look from './look.ts'
import { PacketDetails } from './packet-details.tsx'
import { VisitTime } from './visit-time.tsx'

export function PacketChanged(props: TemplateProps) {
  const { letter, say } = props
  return (
    <Frame {...props} heading={say('mail.packet_changed.heading')} button={say('mail.packet_changed.button')}>
      <Text style={look.text}>{say('mail.packet_changed.body')}</Text>
      <VisitTime {...props} />
      {letter.details && <PacketDetails {...letter.details} locale={letter.locale} />}
    </Frame>
  )
}
