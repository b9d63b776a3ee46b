/** Asks again, and offers the phone: whoever has not answered may not be able to. */
import { Text } from '@react-email/components'
import { Frame, type TemplateProps } from './frame.tsx'
import * as look from './look.ts'

export function HomeCheckChaser(props: TemplateProps) {
  const { say } = props
  return (
    <Frame {...props} heading={say('mail.home_check_chaser.heading')} button={say('mail.home_check_chaser.button')}>
      <Text style={look.text}>{say('mail.home_check_chaser.body')}</Text>
      <Text style={look.text}>{say('mail.home_check_chaser.how')}</Text>
    </Frame>
  )
}
