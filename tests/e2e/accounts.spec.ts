/** The accounts of the clinic: one is added, its person signs in and changes the passphrase, and it closes again. */
import { checkPage } from './page-checks.ts'
import { expect, problems, test } from './watched.ts'

test('somebody new can sign in, gives themselves a passphrase, and no longer can once the account is closed', async ({
  open,
  newPatient,
}) => {
  const { name, family } = newPatient()
  const email = `${family}@larkfield.example.org`.toLowerCase()
  const [first, second] = ['a lane of four steps', 'a strap and a tall stool']
  const admin = await open({ as: 'admin' })
  await admin.goto('/clinic')
  await admin.getByRole('link', { name: 'Accounts' }).click()
  await expect(admin.getByRole('heading', { level: 1 })).toContainText('people can sign in.')
  await checkPage(admin)
  await admin.getByRole('link', { name: 'Add an account' }).click()
  await admin.getByLabel('Name').fill(name)
  await admin.getByLabel('E-mail').fill(email)
  await admin.getByLabel('Works as').selectOption('Clinician')
  await admin.getByLabel('First passphrase').fill('too short')
  await admin.getByRole('button', { name: 'Add this account' }).click()
  await expect(problems(admin)).toContainText('Choose which clinician they are')
  await expect(problems(admin)).toContainText('A passphrase has at least 15 characters')
  await expect(admin.getByLabel('First passphrase')).toHaveValue('')
  await checkPage(admin)
  await admin.getByLabel('Which clinician they are').selectOption('Imogen Slate')
  await admin.getByLabel('First passphrase').fill(first)
  await admin.getByRole('button', { name: 'Add this account' }).click()
  await expect(admin.getByRole('heading', { name: 'Added. They can sign in now.' })).toBeVisible()
  await expect(admin.getByRole('heading', { level: 1 })).toHaveText(`${name} signs in as clinician.`)

  const person = await open()
  const signIn = async (passphrase: string) => {
    await person.goto('/sign-in')
    await person.getByLabel('E-mail').fill(email)
    await person.getByLabel('Passphrase').fill(passphrase)
    await person.getByRole('button', { name: 'Sign in' }).click()
  }
  await signIn(first)
  await expect(person).toHaveURL(/\/board/)
  await person.goto('/clinic/passphrase')
  await checkPage(person)
  await person.getByLabel('The passphrase you have').fill(first)
  await person.getByLabel('The new one', { exact: true }).fill(second)
  await person.getByLabel('The new one once more').fill(`${second} `)
  await person.getByRole('button', { name: 'Change it and sign in again' }).click()
  await expect(problems(person)).toContainText('This differs from the new one')
  await person.getByLabel('The passphrase you have').fill(first)
  await person.getByLabel('The new one', { exact: true }).fill(second)
  await person.getByLabel('The new one once more').fill(second)
  await person.getByRole('button', { name: 'Change it and sign in again' }).click()
  await expect(person.getByRole('status')).toHaveText('Your passphrase is changed. Sign in with the new one.')
  await signIn(second)
  await expect(person).toHaveURL(/\/board/)

  await admin.getByRole('button', { name: `Close the account of ${name}` }).click()
  await expect(admin.getByRole('heading', { name: 'Closed: nobody signs in with it' })).toBeVisible()
  await person.reload()
  await expect(person).toHaveURL(/\/sign-in/)
  await signIn(second)
  await expect(problems(person)).toContainText('The e-mail or the passphrase is not right')
})
