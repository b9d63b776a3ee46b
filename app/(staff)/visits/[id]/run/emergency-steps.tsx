/** What to do when it is not safe to go on, with the patient's stated place and numbers. Local rules come first. */
import Link from 'next/link'
import { PhoneNumber } from '#app/_ui/phone-link.tsx'
import type { RunSheet } from '#lib/usecases/read-run-sheet.ts'
import styles from './run.module.css'

export function EmergencySteps({ sheet: { visit, clinic } }: { sheet: RunSheet }) {
  const phone = visit.callbackPhone ?? visit.patientPhone
  const unknown = <strong>not given: ask now</strong>
  return (
    <>
      <h2>Stopped for safety</h2>
      <dl className={styles.where}>
        <div>
          <dt>Patient is at</dt>
          <dd>{visit.placeAddress === null ? unknown : `${visit.placeAddress}, ${visit.placeState}`}</dd>
        </div>
        <div>
          <dt>Their phone</dt>
          <dd>{phone === null ? unknown : <PhoneNumber number={phone} />}</dd>
        </div>
        <div>
          <dt>Someone close</dt>
          <dd>
            {visit.contactPhone === null ? (
              unknown
            ) : (
              <>
                {visit.contactName}, <PhoneNumber number={visit.contactPhone} />
              </>
            )}
          </dd>
        </div>
      </dl>
      <details open>
        <summary>What to do, step by step</summary>
        <ol className={styles.steps}>
          <li>Have the patient sit or lie down where they are. Stay on the line.</li>
          <li>
            If life or limb may be in danger: the patient or whoever is with them calls {clinic.emergencyNumber} from
            there. A call from here may reach the wrong dispatch: say at once that the patient is at the address above.
          </li>
          <li>Ask who is with them. Call the person named above if nobody is.</li>
          <li>If the line breaks off, call their phone at once.</li>
          <li>
            Stay until help is there or the danger is over. Then{' '}
            <Link href={`/visits/${visit.visitId}/after`}>write down what happened and sign</Link>.
          </li>
        </ol>
        <p className={styles.soft}>Common practice. The clinic’s own rules and the clinician’s judgement come first.</p>
      </details>
    </>
  )
}
