/** A sooner time is free: which, until when it is kept, and what they have if they don't want it. */
import { Text } from '@react-email/components'
import { invariant } from '#lib/base/invariant.ts'
import { clockWords, dayWords, instantWords, zoneWords } from '#lib/words/time-words.ts'
import { Frame, type TemplateProps } from './frame.tsx'
import * as look from './look.ts'
import { VisitTime } from './visit-time.tsx'

export function StandbyOffer(props: TemplateProps) {
  const { letter, say } = props
  const { offer, visit, locale } = letter
  invariant(offer && visit, 'a mail about an offer has one')
  const { answerBy, keepsAt } = offer
  const { timeZone } = visit
  return (
    <Frame {...props} heading={say('mail.standby_offer.heading')} button={say('mail.standby_offer.button')}>
      <Text style={look.text}>{say(keepsAt ? 'mail.standby_offer.body' : 'mail.standby_offer.bodyNew')}</Text>
      <VisitTime {...props} />
      <Text style={look.text}>
        {say('mail.standby_offer.until', {
          day: dayWords(answerBy, timeZone, locale),
          clock: clockWords(answerBy, timeZone, locale),
          zone: zoneWords(answerBy, timeZone, locale),
        })}
      </Text>
      {keepsAt && (
        <Text style={look.text}>
          {say('mail.standby_offer.keeps', { when: instantWords(keepsAt, timeZone, locale) })}
        </Text>
      )}
      <Text style={look.text}>{say('mail.standby_offer.no')}</Text>
    </Frame>
  )
}
