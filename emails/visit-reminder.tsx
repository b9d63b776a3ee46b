/** The day before and the hour before. */
import { Text } from '@react-email/components'
import { invariant } from '#lib/base/invariant.ts'
import { Frame, type TemplateProps } from './frame.tsx'
import * as look from './look.ts'
import { VisitTime } from './visit-time.tsx'

export function VisitReminder(props: TemplateProps & { kind: 'day_before' | 'hour_before' }) {
  const { letter, say, kind } = props
  invariant(letter.visit, 'a reminder is of a visit')
  return (
    <Frame {...props} heading={say(`mail.${kind}.heading`)} button={say(`mail.${kind}.button`)}>
      <VisitTime {...props} />
      <Text style={look.text}>{say(`mail.${kind}.${letter.visit.mode}`)}</Text>
    </Frame>
  )
}
