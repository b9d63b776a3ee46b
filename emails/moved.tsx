/** The visit is at another time now. */
import { Text } from '@react-email/components'
import { Frame, type TemplateProps } from './frame.tsx'
import * as look from './look.ts'
import { VisitTime } from './visit-time.tsx'

export function Moved(props: TemplateProps) {
  const { say } = props
  return (
    <Frame {...props} heading={say('mail.moved.heading')} button={say('mail.moved.button')}>
      <Text style={look.text}>{say('mail.moved.body')}</Text>
      <VisitTime {...props} />
      <Text style={look.text}>{say('mail.moved.calendar')}</Text>
    </Frame>
  )
}
