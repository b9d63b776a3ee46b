import type { Metadata } from 'next'
import { redirect } from 'next/navigation'
import { unsignedContext } from '#app/_server/runtime.ts'
import { currentStaff } from '#app/_server/staff-page.ts'
import { Actions, Button } from '#app/_ui/button.tsx'
import { FormShell } from '#app/_ui/form-shell.tsx'
import { Notice } from '#app/_ui/notice.tsx'
import { SelectField } from '#app/_ui/select-field.tsx'
import { TextField } from '#app/_ui/text-field.tsx'
import { Wordmark } from '#app/_ui/wordmark.tsx'
import { settings } from '#lib/adapters/settings.ts'
import { readClinics } from '#lib/usecases/read-clinics.ts'
import { signIn, signInElsewhere } from './actions.ts'
import { refusalWords } from './refusal-words.ts'
import styles from './sign-in.module.css'

export const metadata: Metadata = { title: null }

export default async function SignInPage({ searchParams }: PageProps<'/sign-in'>) {
  if (await currentStaff()) redirect('/')
  const query = await searchParams
  const clinics = await readClinics(unsignedContext())
  const { oidc, isDemo } = settings()
  return (
    <main id="main" className={styles.sheet}>
      <p className={styles.brand}>
        <Wordmark />
      </p>
      <h1>Sign in</h1>
      {'signed-out' in query && <p role="status">You are signed out.</p>}
      {typeof query.error === 'string' && <Notice kind="caution" heading={refusalWords(query.error)} />}
      <FormShell action={signIn} title="Sign in – Farstep">
        {clinics.length > 1 && (
          <SelectField
            name="clinicId"
            label="Clinic"
            none="Choose your clinic"
            options={clinics.map(({ id, name }) => ({ value: id, label: name }))}
          />
        )}
        <TextField name="email" label="E-mail" type="email" autoComplete="username" spellCheck={false} />
        <TextField name="passphrase" label="Passphrase" type="password" autoComplete="current-password" />
        <Actions>
          <Button>Sign in</Button>
        </Actions>
      </FormShell>
      {oidc && (
        <form action={signInElsewhere} className={styles.elsewhere}>
          <Button look="plain">Sign in through your organisation</Button>
        </form>
      )}
      {isDemo && (
        <p className={styles.demo}>This is an invented clinic. Its sign-ins stand where the demo was started.</p>
      )}
      <p className={styles.demo}>For people who work at the clinic. Patients come in by their personal link.</p>
    </main>
  )
}
