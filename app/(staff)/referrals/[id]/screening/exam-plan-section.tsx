/** The exam as it would be done: in order, with minutes, and when the helper is needed. */
import { SetUpFigures } from '#app/_ui/figures/set-up-figures.tsx'
import { RuledTable } from '#app/_ui/ruled.tsx'
import { Section } from '#app/_ui/section.tsx'
import { geometriesOf } from '#lib/domain/geometry/set-up-geometry.ts'
import type { ScreeningPage } from '#lib/usecases/read-screening.ts'
import { SIDE_WORDS } from '../../words.ts'
import styles from './screening.module.css'

export function ExamPlanSection({ page }: { page: ScreeningPage }) {
  const { protocol, assessment, disposition } = page
  const { plan } = assessment
  if (plan === null) {
    return (
      <Section heading="Exam plan">
        <p>None: no station can be done at this home as far as is known.</p>
      </Section>
    )
  }
  const { visitMin, examMin, helperWindow, helperCalls } = plan
  const geometries = geometriesOf(
    protocol,
    plan.steps.map(({ setUpId }) => setUpId),
    { facts: assessment.screening.facts, side: page.side },
  )
  const isByVideo = disposition === 'video' || disposition === 'video_with_gaps'
  return (
    <Section heading="Exam plan">
      <p>
        A visit of {visitMin} minutes, {Math.ceil(examMin)} of them exam.{' '}
        {helperWindow === null
          ? 'No helper is needed.'
          : `The helper is needed from minute ${Math.floor(helperWindow.fromMin)} to minute ${Math.ceil(helperWindow.toMin)}, called ${helperCalls === 1 ? 'once' : `${helperCalls} times`}.`}
        {!isByVideo && ' It holds only if the visit is by video, which is not what was decided.'}
      </p>
      <RuledTable
        caption="Stations in order"
        isCaptionHidden
        head={['Minute', 'Station', 'Set-up', 'Side', 'Who', 'Minutes']}
      >
        {plan.steps.map((step) => (
          <tr key={step.stationId}>
            <td className={styles.figure}>{Math.floor(step.atMin)}</td>
            <th scope="row">{protocol.stations.find(({ id }) => id === step.stationId)?.title}</th>
            <td>{protocol.setUps.find(({ id }) => id === step.setUpId)?.title.en}</td>
            <td>{step.sides.map((side) => SIDE_WORDS[side]).join(', then ')}</td>
            <td>{step.helper ? 'With helper' : 'Alone'}</td>
            <td className={styles.figure}>{step.minutes}</td>
          </tr>
        ))}
      </RuledTable>
      <SetUpFigures geometries={geometries} />
    </Section>
  )
}
