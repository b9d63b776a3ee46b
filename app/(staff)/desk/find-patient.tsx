'use client'

/** The phone rings: one field that finds the patient, open referral or closed. It works without JavaScript. */
import Link from 'next/link'
import { useActionState } from 'react'
import { Button } from '#app/_ui/button.tsx'
import form from '#app/_ui/form.module.css'
import { RuledItem, RuledList } from '#app/_ui/ruled.tsx'
import type { FindState, FoundLine } from './actions.ts'
import styles from './desk.module.css'

type Props = {
  action: (previous: FindState, form: FormData) => Promise<FindState>
  /** The most that can be looked for, in characters. */
  longest: number
}

export function FindPatient({ action, longest }: Props) {
  const [{ typed, problem, found }, submit] = useActionState(action, { typed: '', problem: null, found: null })
  return (
    <search className={styles.find}>
      <form action={submit} noValidate className={styles.findForm}>
        <label htmlFor="who">Find a patient</label>
        <input
          id="who"
          name="who"
          className={form.control}
          data-width="20"
          key={typed}
          defaultValue={typed}
          // One more than what is looked for, so that a text pasted by mistake is answered here, however long it was.
          maxLength={longest + 1}
          autoComplete="off"
          spellCheck={false}
          aria-describedby={problem === null ? 'who-hint' : 'who-problem'}
          aria-invalid={problem === null ? undefined : true}
        />
        <Button look="plain">Find</Button>
        <span id="who-hint" className={styles.quiet}>
          Name, phone or date of birth
        </span>
      </form>
      <div role="status">
        {problem !== null && (
          <p id="who-problem" className={styles.problem}>
            {problem}
          </p>
        )}
        {found?.patients.length === 0 && <p>Nobody here is known by “{typed}”.</p>}
        {found && found.patients.length > 0 && (
          <p>
            {found.isCut
              ? `These are the first ${found.patients.length} of those known by “${typed}”. Type more to tell them apart.`
              : `${found.patients.length === 1 ? 'One patient is' : `${found.patients.length} patients are`} known by “${typed}”.`}
          </p>
        )}
      </div>
      {found && found.patients.length > 0 && (
        <RuledList label="Found">
          {found.patients.map((patient) => (
            <Found key={patient.referrals[0]?.referralId ?? patient.name} patient={patient} />
          ))}
        </RuledList>
      )}
    </search>
  )
}

function Found({ patient: { name, born, phone, referrals } }: { patient: FoundLine }) {
  return (
    <RuledItem end={<span className={styles.quiet}>{phone}</span>}>
      <p>
        <bdi className={styles.name}>{name}</bdi> <span className={styles.quiet}>{born}</span>
      </p>
      {referrals.map(({ referralId, complaint, isClosed }) => (
        <p key={referralId}>
          <Link href={`/referrals/${referralId}`}>{complaint}</Link>
          {isClosed && ', closed'}
        </p>
      ))}
    </RuledItem>
  )
}
