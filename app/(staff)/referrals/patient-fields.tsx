/** What is known of a patient, as fields: the same for a new referral and for a correction. */
import { DateFields } from '#app/_ui/date-fields.tsx'
import { SelectField } from '#app/_ui/select-field.tsx'
import { TextField } from '#app/_ui/text-field.tsx'
import { US_STATES } from '#lib/domain/intake/us-states.ts'
import type { PatientDetails } from '#lib/usecases/edit-patient.ts'

export function PatientFields({ patient }: { patient?: PatientDetails }) {
  return (
    <>
      <TextField name="givenName" label="First and middle names" value={patient?.givenName} width={20} />
      <TextField name="familyName" label="Last name or names" value={patient?.familyName} width={20} />
      <DateFields
        name="birthDate"
        label="Date of birth"
        hint="The patient opens the home check with it."
        optional="if known"
        value={patient?.birthDate ?? undefined}
      />
      <TextField
        name="phone"
        label="Phone number"
        type="tel"
        optional="if known"
        value={patient?.phone ?? undefined}
        width={20}
      />
      <TextField
        name="email"
        label="E-mail address"
        type="email"
        optional="if they have one"
        value={patient?.email ?? undefined}
        width={20}
        spellCheck={false}
      />
      <SelectField
        name="language"
        label="What they read"
        value={patient?.language ?? 'en'}
        options={[
          { value: 'en', label: 'English' },
          { value: 'es', label: 'Spanish' },
        ]}
      />
      <TextField
        name="interpreterLanguage"
        label="Language of the interpreter, if one is needed"
        hint="A language tag, like es, vi or ase."
        optional="optional"
        value={patient?.interpreterLanguage ?? undefined}
        width={10}
        spellCheck={false}
      />
      <TextField
        name="addressLine"
        label="Street and number"
        optional="if known"
        value={patient?.addressLine ?? undefined}
        width={20}
      />
      <TextField name="city" label="City" optional="if known" value={patient?.city ?? undefined} width={20} />
      <SelectField
        name="state"
        label="State where they will be during the visit"
        optional="if known"
        none="Not known"
        value={patient?.state ?? undefined}
        options={US_STATES.map(({ code, name }) => ({ value: code, label: name }))}
      />
      <TextField
        name="postalCode"
        label="ZIP code"
        optional="if known"
        value={patient?.postalCode ?? undefined}
        width={10}
      />
      <TextField
        name="timeZone"
        label="Time zone"
        hint="Its full name, like America/Denver. Empty is fine in states that have only one."
        optional="if known"
        value={patient?.timeZone ?? undefined}
        width={20}
        spellCheck={false}
      />
    </>
  )
}
