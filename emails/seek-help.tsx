/** Help first: no link, nothing to read, a number to call. */
import { Text } from '@react-email/components'
import { Frame, type TemplateProps } from './frame.tsx'
import * as look from './look.ts'

export function SeekHelp(props: TemplateProps) {
  const { letter, say } = props
  const { name: clinic, phone, emergencyNumber: number } = letter.clinic
  return (
    <Frame {...props} heading={say('mail.seek_help.heading')}>
      <Text style={look.text}>{say('mail.seek_help.body')}</Text>
      <Text style={look.text}>
        <strong>{say('mail.seek_help.now', { number })}</strong>
      </Text>
      <Text style={look.text}>{say('mail.seek_help.call', { clinic, phone })}</Text>
    </Frame>
  )
}
