/** The people of the demo clinic, as they come in: staff by e-mail and passphrase, patients by the link in their mail. */
import { expect, type Page } from '@playwright/test'
import type { Role } from '#lib/domain/access/actor.ts'
import { DEMO_CASES } from '#seed/demo-cases.ts'
import { DEMO_SIGN_INS } from '#seed/sign-ins.ts'
import { mailTo } from './mail-tray.ts'

/** Signs in and waits until it leads on. */
export async function signInAs(page: Page, role: Role): Promise<void> {
  const person = DEMO_SIGN_INS.find((one) => one.role === role)
  if (!person) throw new Error(`the demo has no ${role}`)
  await page.goto('/sign-in')
  await page.getByLabel('E-mail').fill(person.email)
  await page.getByLabel('Passphrase').fill(person.password)
  await page.getByRole('button', { name: 'Sign in' }).click()
  await expect(page).not.toHaveURL(/\/sign-in/)
}

export type DemoPatient = { name: string; email: string; born: string }

/** Somebody invented for one journey. `nth`: a number of their own, to choose among many by. */
export type TestPatient = DemoPatient & { given: string; family: string; phone: string; nth: number }

/** Patients of the demo who got a link by mail and have a date of birth, in the order of the seed. */
export function invitedPatients(): DemoPatient[] {
  return DEMO_CASES.flatMap((demo, index) =>
    demo.reach === 'invited' && demo.born !== null && demo.hasEmail !== false
      ? [
          {
            name: demo.given,
            born: demo.born,
            email: `${demo.given}.${demo.family}.${index}@patients.example.org`.toLowerCase(),
          },
        ]
      : [],
  )
}

/** The address of the personal link in the patient's newest mail; waits for it while the newest one carries none. */
export async function linkOf(patient: DemoPatient): Promise<string> {
  let link: string | undefined
  await expect
    .poll(
      async () => {
        const { links } = await mailTo(patient.email, /./)
        link = links.map((address) => new URL(address).pathname).find((path) => path.startsWith('/go/'))
        return link
      },
      { message: `a personal link in the newest mail to ${patient.email}`, timeout: 30_000 },
    )
    .toBeDefined()
  return link ?? ''
}

/** Opens the link with this date of birth. */
export async function openLink(page: Page, address: string, born: string): Promise<void> {
  const [year = '', month = '', day = ''] = born.split('-')
  await page.goto(address)
  // By the fields' names: the page may speak either language.
  await page.locator('[name="birthDate-month"]').fill(month)
  await page.locator('[name="birthDate-day"]').fill(day)
  await page.locator('[name="birthDate-year"]').fill(year)
  await page.getByRole('button').first().click()
}
