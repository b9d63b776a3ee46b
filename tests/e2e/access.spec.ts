/**
 * Everybody knocks at every door: each page, route handler and server action of the app, as each role, as a patient and as
 * nobody, against the written-down matrix. A refusal is the same for everything behind a door: sign in, not your role, or
 * open your link.
 */
import { readFileSync } from 'node:fs'
import { type APIRequestContext, type Browser, expect, request, test } from '@playwright/test'
import { ROLES, type Role } from '#lib/domain/access/actor.ts'
import { ACTIONS, HANDLERS, PAGES, type Who } from '#tests/access/matrix.ts'
import { invitedPatients, linkOf, openLink, signInAs } from './people.ts'

type Visitor = Role | 'patient' | 'nobody'
const VISITORS: readonly Visitor[] = [...ROLES, 'patient', 'nobody']

/** in: whatever happens next is the page's own business. The others are refusals at the door. */
type Outcome = 'in' | 'sign-in' | 'not-allowed' | 'link-needed'

function expected(who: Who, visitor: Visitor): Outcome {
  if (who === 'everybody') return 'in'
  if (who === 'patient') return visitor === 'patient' ? 'in' : 'link-needed'
  if (visitor === 'nobody' || visitor === 'patient') return 'sign-in'
  return who.includes(visitor) ? 'in' : 'not-allowed'
}

/** Ids that are nobody's: the door must refuse before it looks. */
const filled = (address: string) => address.replace(/\[\w+\]/g, 'nobodys-id')

test.skip(({ isMobile }) => isMobile, 'doors are the same for every screen')

const visitors = new Map<Visitor, APIRequestContext>()

test.beforeAll(async ({ browser, baseURL }) => {
  for (const visitor of VISITORS) visitors.set(visitor, await arrive(browser, baseURL ?? '', visitor))
})

test.afterAll(async () => {
  for (const context of visitors.values()) await context.dispose()
})

async function arrive(browser: Browser, baseURL: string, visitor: Visitor): Promise<APIRequestContext> {
  const context = await browser.newContext({ baseURL })
  const page = await context.newPage()
  if (visitor === 'patient') {
    // The last of them: other journeys begin with the first.
    const patient = invitedPatients().at(-1)
    if (!patient) throw new Error('the demo has nobody with a link')
    await openLink(page, await linkOf(patient), patient.born)
    await expect(page).toHaveURL(/\/my$/)
  } else if (visitor !== 'nobody') {
    await signInAs(page, visitor)
  }
  const storageState = await context.storageState()
  await context.close()
  return request.newContext({ baseURL, storageState })
}

function by(visitor: Visitor): APIRequestContext {
  const context = visitors.get(visitor)
  if (!context) throw new Error(`${visitor} did not arrive`)
  return context
}

function outcomeOf(status: number, location: string | undefined): Outcome {
  const path = location === undefined ? '' : new URL(location, 'http://here').pathname
  if (path === '/sign-in') return 'sign-in'
  if (path === '/not-allowed') return 'not-allowed'
  if (path === '/link-needed') return 'link-needed'
  if (status === 401) return 'sign-in'
  if (status === 403) return 'not-allowed'
  return 'in'
}

for (const [row, who] of Object.entries(PAGES)) {
  test(`${row} lets in ${words(who)} only`, async () => {
    const address = filled(row.replace('GET ', ''))
    for (const visitor of VISITORS) {
      const response = await by(visitor).get(address, { maxRedirects: 0 })
      expect(response.status(), `${visitor} at ${address}`).toBeLessThan(500)
      // The bare address and the sign-in page lead on by themselves.
      if (who === 'everybody') continue
      expect(outcomeOf(response.status(), response.headers().location), `${visitor} at ${address}`).toBe(
        expected(who, visitor),
      )
    }
  })
}

for (const [row, who] of Object.entries(HANDLERS)) {
  test(`${row} answers ${words(who)} only`, async ({ baseURL }) => {
    const [method = '', pattern = ''] = row.split(' ')
    for (const visitor of VISITORS) {
      const response = await by(visitor).fetch(filled(pattern), {
        method,
        maxRedirects: 0,
        headers: { origin: baseURL ?? '' },
      })
      expect(response.status(), `${visitor} at ${row}`).toBeLessThan(500)
      if (who === 'everybody') continue
      expect(outcomeOf(response.status(), response.headers().location), `${visitor} at ${row}`).toBe(
        expected(who, visitor),
      )
    }
  })

  if (who !== 'everybody' && row.startsWith('POST ')) {
    test(`${row} refuses what another site sends in a signed-in browser`, async () => {
      const [, pattern = ''] = row.split(' ')
      const response = await by('coordinator').post(filled(pattern), {
        headers: { origin: 'https://elsewhere.example.org' },
      })
      expect([401, 403]).toContain(response.status())
    })
  }
}

for (const [row, who] of Object.entries(ACTIONS)) {
  // What everybody may press is tried by the journeys of signing in and of the link.
  if (who === 'everybody') continue
  test(`${row} obeys ${words(who)} only`, async ({ baseURL }) => {
    const id = actionIds().get(row)
    // Left out of the build because no page offers it: then nobody can press it either.
    expect(id, `${row} is in the build`).toBeDefined()
    for (const visitor of VISITORS) {
      if (expected(who, visitor) === 'in') continue
      const response = await by(visitor).post('/', {
        maxRedirects: 0,
        headers: { 'next-action': id ?? '', origin: baseURL ?? '' },
        // As the framework's own code sends it: the arguments, and a form as the last of them.
        multipart: {
          '1_answer': 'x',
          '0': JSON.stringify(['nobodys-id', { attempt: 0, values: {}, errors: [] }, '$K1']),
        },
      })
      const location = response.headers()['x-action-redirect']?.split(';')[0] ?? response.headers().location
      expect(outcomeOf(response.status(), location), `${visitor} pressing ${row}`).toBe(expected(who, visitor))
    }
  })
}

test('a patient’s link opens nothing with another patient’s date of birth', async ({ page }) => {
  const [one, other] = invitedPatients()
  if (!one || !other) throw new Error('the demo needs two patients with links')
  expect(one.born).not.toBe(other.born)
  const link = await linkOf(one)
  await openLink(page, link, other.born)
  await expect(page).toHaveTitle(/^Error: /)
  await page.goto('/my')
  await expect(page).toHaveURL(/\/link-needed$/)
  // One wrong try less for the patient, given back by the right date.
  await openLink(page, link, one.born)
  await expect(page).toHaveURL(/\/my$/)
})

test('in one browser the newer link counts, and the page is that patient’s own', async ({ page }) => {
  const [one, other] = invitedPatients()
  if (!one || !other) throw new Error('the demo needs two patients with links')
  for (const patient of [one, other]) {
    await openLink(page, await linkOf(patient), patient.born)
    await expect(page.getByRole('main')).toContainText(patient.name)
  }
  await expect(page.getByRole('main')).not.toContainText(one.name)
})

/** Which id the build gave each action: `app/sign-in/actions.ts signIn` → id. */
function actionIds(): Map<string, string> {
  const manifest = JSON.parse(readFileSync('.next/server/server-reference-manifest.json', 'utf8')) as {
    node: Record<string, { filename: string; exportedName: string }>
  }
  return new Map(
    Object.entries(manifest.node).map(([id, { filename, exportedName }]) => [`${filename} ${exportedName}`, id]),
  )
}

function words(who: Who): string {
  return typeof who === 'string' ? who : who.join(', ')
}
