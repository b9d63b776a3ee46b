/** Asks for the home check. Says nothing of why the patient was referred. */
import { Text } from '@react-email/components'
import { Frame, type TemplateProps } from './frame.tsx'
import * as look from './look.ts'

export function HomeCheckInvitation(props: TemplateProps) {
  const { letter, say } = props
  return (
    <Frame
      {...props}
      heading={say('mail.home_check_invitation.heading')}
      button={say('mail.home_check_invitation.button')}
    >
      <Text style={look.text}>{say('mail.home_check_invitation.body', { clinic: letter.clinic.name })}</Text>
      <Text style={look.text}>{say('mail.home_check_invitation.how')}</Text>
    </Frame>
  )
}
