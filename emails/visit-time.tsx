/** When and where, on the patient's clock, with the clinic's beside it where the two differ. */
import { Section, Text } from '@react-email/components'
import { invariant } from '#lib/base/invariant.ts'
import { clockWords, dayWords, isSameClock, zoneWords } from '#lib/words/time-words.ts'
import type { TemplateProps } from './frame.tsx'
import * as look from './look.ts'

export function VisitTime({ letter, say }: TemplateProps) {
  const { visit, clinic, locale } = letter
  invariant(visit, 'a mail about a visit has one')
  const { startsAt, endsAt, timeZone, place } = visit
  return (
    <Section style={look.marked}>
      <Text style={{ ...look.text, margin: 0 }}>
        <strong>
          {say('mail.visit.when', {
            day: dayWords(startsAt, timeZone, locale),
            from: clockWords(startsAt, timeZone, locale),
            to: clockWords(endsAt, timeZone, locale),
            zone: zoneWords(startsAt, timeZone, locale),
          })}
        </strong>
      </Text>
      {!isSameClock(startsAt, timeZone, clinic.timeZone) && (
        <Text style={{ ...look.small, margin: 0 }}>
          {say('mail.visit.clinicClock', {
            from: clockWords(startsAt, clinic.timeZone, locale),
            zone: zoneWords(startsAt, clinic.timeZone, locale),
          })}
        </Text>
      )}
      <Text style={{ ...look.text, margin: 0 }}>
        {place === null
          ? say('mail.visit.byVideo')
          : say('mail.visit.at', { place: place.name, address: place.address })}
      </Text>
    </Section>
  )
}
