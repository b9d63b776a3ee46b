/** Names only what is missing, so that somebody who is nearly ready is not sent through everything again. */
import { Text } from '@react-email/components'
import { Frame, type TemplateProps } from './frame.tsx'
import * as look from './look.ts'
import { VisitTime } from './visit-time.tsx'

export function StillMissing(props: TemplateProps) {
  const { letter, say } = props
  return (
    <Frame {...props} heading={say('mail.still_missing.heading')} button={say('mail.still_missing.button')}>
      <VisitTime {...props} />
      <Text style={look.text}>{say('mail.still_missing.body')}</Text>
      <ul style={look.list}>
        {letter.missing.map((item) => (
          <li key={item}>{say(`mail.still_missing.items.${item}`)}</li>
        ))}
      </ul>
    </Frame>
  )
}
