/** Correcting and completing what is known of a patient. */
import type { Metadata } from 'next'
import { notFound } from 'next/navigation'
import { staffContext } from '#app/_server/staff-page.ts'
import { Actions, Button } from '#app/_ui/button.tsx'
import { CheckboxGroup } from '#app/_ui/checkbox-group.tsx'
import { FormShell } from '#app/_ui/form-shell.tsx'
import { HiddenField } from '#app/_ui/hidden-field.tsx'
import { Opener } from '#app/_ui/opener.tsx'
import { SelectField } from '#app/_ui/select-field.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { MISSING_WORDS } from '#lib/domain/intake/referral-draft.ts'
import { readReferral } from '#lib/usecases/read-referral.ts'
import { PatientFields } from '../../patient-fields.tsx'
import { saveDetails } from './actions.ts'

export const metadata: Metadata = { title: null }

export default async function PatientDetailsPage({ params }: PageProps<'/referrals/[id]/patient'>) {
  const ctx = await staffContext('patient.edit')
  const { id: referralId } = await params
  const result = await readReferral(ctx, { referralId })
  if (!result.ok) notFound()
  const { patient, missing, sites } = result.value
  return (
    <>
      <BackLink href={`/referrals/${referralId}`}>Referral</BackLink>
      <Opener kicker="Patient">
        {missing.length === 0
          ? 'Everything that is needed is known.'
          : `Still to find out: ${missing.map((one) => MISSING_WORDS[one].what.toLowerCase()).join(', ')}.`}
      </Opener>
      <FormShell action={saveDetails.bind(null, referralId)} title="Patient – Farstep">
        <HiddenField name="version" value={String(patient.version)} />
        <PatientFields patient={patient} />
        <SelectField
          name="preferredSiteId"
          label="Site they would rather come to"
          hint="Starts at the clinic are offered there first."
          none="Not said"
          value={patient.preferredSiteId ?? ''}
          options={sites.map(({ id, name }) => ({ value: id, label: name }))}
        />
        <CheckboxGroup
          name="mayEmailDetails"
          label="Details by e-mail"
          values={patient.mayEmailDetails ? ['yes'] : []}
          options={[{ value: 'yes', label: 'The patient agreed to get the whole preparation by e-mail' }]}
        />
        <Actions>
          <Button>Save these details</Button>
        </Actions>
      </FormShell>
    </>
  )
}
