/** Where the rules and numbers of this page come from; closed until somebody wants to know. */
import { RuledTable } from '#app/_ui/ruled.tsx'
import { Section } from '#app/_ui/section.tsx'
import { sourcesOf } from '#lib/domain/screening/sources.ts'
import type { ScreeningPage } from '#lib/usecases/read-screening.ts'

export function SourcesSection({ page: { assessment, protocol, visitSource } }: { page: ScreeningPage }) {
  return (
    <Section heading="Sources">
      <details>
        <summary>Where the rules and numbers of this page come from</summary>
        <p>
          Protocol “{protocol.title.en}”, version {protocol.version}. None of the published rules was validated with
          self-palpation or over video: a remote screen may raise the urgency, never lower it.
        </p>
        <RuledTable caption="Source by source" head={['Source', 'What rests on it']}>
          {sourcesOf(assessment.screening, protocol, visitSource).map(({ source, restOnIt }) => (
            <tr key={source}>
              <th scope="row">{source}</th>
              <td>{restOnIt.join('; ')}</td>
            </tr>
          ))}
        </RuledTable>
      </details>
    </Section>
  )
}
