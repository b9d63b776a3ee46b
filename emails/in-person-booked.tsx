/** The visit is at the clinic: when, where, and why not at home, in words that name neither body part nor condition. */
import { Text } from '@react-email/components'
import { Frame, type TemplateProps } from './frame.tsx'
import * as look from './look.ts'
import { VisitTime } from './visit-time.tsx'

export function InPersonBooked(props: TemplateProps) {
  const { letter, say } = props
  return (
    <Frame {...props} heading={say('mail.in_person_booked.heading')} button={say('mail.in_person_booked.button')}>
      <Text style={look.text}>{say('mail.in_person_booked.body')}</Text>
      <VisitTime {...props} />
      {letter.inPersonReason && (
        <Text style={look.text}>{say(`mail.in_person_booked.reason.${letter.inPersonReason}`)}</Text>
      )}
      <Text style={look.text}>{say('mail.in_person_booked.worse')}</Text>
      <Text style={look.text}>{say('mail.in_person_booked.calendar')}</Text>
    </Frame>
  )
}
