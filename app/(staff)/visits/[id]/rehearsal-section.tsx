/** What the patient's camera was like when they tried it. It clears nothing: on the day it may be another room and light. */
import { Mark } from '#app/_ui/mark.tsx'
import { RuledItem, RuledList } from '#app/_ui/ruled.tsx'
import { Section } from '#app/_ui/section.tsx'
import { TimeText } from '#app/_ui/time-text.tsx'
import type { Advice } from '#lib/domain/rehearsal/advice.ts'
import type { VisitView } from '#lib/usecases/read-visit.ts'
import { asLineStart } from '../../referrals/words.ts'

const ADVICE_WORDS: Record<Advice, string> = {
  turn_phone: 'the phone was held the wrong way round',
  too_dark: 'too dark',
  too_bright: 'too bright',
  pale: 'little contrast',
  blurred: 'not sharp',
  shakes: 'shaking',
  coarse: 'a small picture',
  jerky: 'few pictures a second',
  slow_line: 'a slow line',
  late_line: 'a line with long delays',
}

export function RehearsalSection({ view: { rehearsals, protocol, clinicTimeZone } }: { view: VisitView }) {
  if (rehearsals.length === 0) return null
  return (
    <Section heading="Camera rehearsal">
      <RuledList>
        {rehearsals.map(({ setUpId, at, advice, line, frame }) => (
          <RuledItem key={setUpId}>
            <p>
              <strong>{protocol.setUps.find(({ id }) => id === setUpId)?.title.en ?? setUpId}</strong>,{' '}
              <TimeText at={at} timeZone={clinicTimeZone} />
            </p>
            <p>
              {advice.length === 0 ? (
                <Mark state="done">A good picture</Mark>
              ) : (
                <Mark state="waiting">{asLineStart(advice.map((each) => ADVICE_WORDS[each]).join(', '))}</Mark>
              )}
            </p>
            <p>
              {frame.width} × {frame.height}, {Math.round(frame.perSecond)} pictures a second
              {line !== null &&
                `; line ${(line.downKbps / 1000).toFixed(1)} Mbit/s down, ${Math.round(line.roundTripMs)} ms there and back`}
            </p>
          </RuledItem>
        ))}
      </RuledList>
    </Section>
  )
}
