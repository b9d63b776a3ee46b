/** A referral typed in: from a fax, a letter, or with the sender on the phone. */
import type { Metadata } from 'next'
import { signedInStaff, staffContext } from '#app/_server/staff-page.ts'
import { Actions, Button } from '#app/_ui/button.tsx'
import { DateFields } from '#app/_ui/date-fields.tsx'
import { FormShell } from '#app/_ui/form-shell.tsx'
import { Opener } from '#app/_ui/opener.tsx'
import { RadioGroup } from '#app/_ui/radio-group.tsx'
import { Section } from '#app/_ui/section.tsx'
import { TextField } from '#app/_ui/text-field.tsx'
import { TextareaField } from '#app/_ui/textarea-field.tsx'
import { PRIORITIES } from '#lib/domain/desk/stages.ts'
import { SIDES } from '#lib/domain/protocol/schema.ts'
import { PatientFields } from '../patient-fields.tsx'
import styles from '../referral.module.css'
import { PRIORITY_WORDS, SIDE_WORDS } from '../words.ts'
import { addTyped } from './actions.ts'

export const metadata: Metadata = { title: null }

export default async function NewReferralPage() {
  const ctx = await staffContext('referral.add')
  const { clinic } = await signedInStaff()
  return (
    <>
      <Opener kicker="New referral">Type what the referral says. What it leaves out is asked for later.</Opener>
      <FormShell action={addTyped} title="New referral – Farstep" commandKey={ctx.newId('cmd')}>
        <Section heading="Who">
          <div className={styles.fields}>
            <PatientFields />
          </div>
        </Section>
        <Section heading="Why">
          <div className={styles.fields}>
            <TextareaField name="reason" label="Reason, in the referrer’s words" />
            <RadioGroup
              name="side"
              label="Side"
              layout="in_line"
              options={[
                ...SIDES.map((side) => ({ value: side, label: SIDE_WORDS[side] })),
                { value: '', label: 'Not told' },
              ]}
            />
            <TextField name="conditionText" label="What the referrer suspects" optional="optional" width={20} />
            <TextField
              name="icd10"
              label="ICD-10-CM codes"
              optional="optional"
              hint="With a space between two, like M76.821 M72.2."
              width={20}
              spellCheck={false}
            />
            <RadioGroup
              name="priority"
              label="Urgency on the referral"
              layout="in_line"
              value="routine"
              options={PRIORITIES.map((priority) => ({ value: priority, label: PRIORITY_WORDS[priority] }))}
            />
          </div>
        </Section>
        <Section heading="From whom">
          <div className={styles.fields}>
            <TextField name="referrerName" label="Who referred" optional="optional" width={20} />
            <TextField name="referrerPhone" label="Their phone number" type="tel" optional="optional" width={20} />
            <TextField
              name="externalId"
              label="Their number for this referral"
              optional="optional"
              hint="With it the same referral is recognised when it comes again."
              width={20}
              spellCheck={false}
            />
            <DateFields
              name="receivedOn"
              label="Day on which it reached the clinic"
              value={ctx.now().toZonedDateTimeISO(clinic.timeZone).toPlainDate().toString()}
            />
          </div>
        </Section>
        <Actions>
          <Button>Add this referral</Button>
        </Actions>
      </FormShell>
    </>
  )
}
