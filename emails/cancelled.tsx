/** The visit will not take place, and how to get another one. */
import { Text } from '@react-email/components'
import { Frame, type TemplateProps } from './frame.tsx'
import * as look from './look.ts'
import { VisitTime } from './visit-time.tsx'

export function Cancelled(props: TemplateProps) {
  const { say } = props
  return (
    <Frame {...props} heading={say('mail.cancelled.heading')}>
      <Text style={look.text}>{say('mail.cancelled.body')}</Text>
      <VisitTime {...props} />
      <Text style={look.text}>{say('mail.cancelled.next')}</Text>
      <Text style={look.text}>{say('mail.cancelled.calendar')}</Text>
    </Frame>
  )
}
