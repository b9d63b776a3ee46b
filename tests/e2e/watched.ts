/**
 * A browser that is watched: whatever a journey is about, no page of it may complain on the console, break its content
 * policy, ask anything of another host or answer with a fault of the server. Every journey opens its browsers here.
 */
import { createHash } from 'node:crypto'
import { type BrowserContext, test as base, devices, expect, type Locator, type Page } from '@playwright/test'
import type { Role } from '#lib/domain/access/actor.ts'
import { signInAs, type TestPatient } from './people.ts'

export { expect, type Locator, type Page }

export type Visitor = {
  /** Comes signed in. Nobody: a patient, or somebody unknown. */
  as?: Role
  device?: 'desk' | 'phone'
  javaScript?: boolean
}

const DEVICES = {
  desk: { ...devices['Desktop Chrome'], viewport: { width: 1280, height: 800 } },
  phone: { ...devices['Pixel 7'], viewport: { width: 360, height: 740 } },
}

type State = Awaited<ReturnType<BrowserContext['storageState']>>

type Fixtures = {
  /** Complaints that belong to the journey, such as the status of a page that refuses. */
  expectedComplaints: RegExp[]
  /** A browser of its own, at a desk or on a phone. */
  open: (visitor?: Visitor) => Promise<Page>
  /** The coordinator's desk. */
  desk: Page
  /** Somebody nobody else's journey knows. */
  newPatient: (wishes?: Partial<TestPatient>) => TestPatient
}

type WorkerFixtures = { signedIn: (role: Role) => Promise<State> }

/**
 * The tray shows a mail in a frame that runs no script. Letters carry none (tests/adapters/render-letter.test.ts); what is
 * blocked there, now and then, is the script by which this browser is driven: the sandbox does its work.
 */
const DRIVER_IN_SANDBOX =
  /^console: Blocked script execution in '\S+\/tray\/\S+\/mail' because the document's frame is sandboxed/

export const test = base.extend<Fixtures, WorkerFixtures>({
  expectedComplaints: [[], { option: true }],

  // Signing in is a journey of its own; every other one comes signed in, once for each role.
  signedIn: [
    async ({ browser }, use) => {
      const states = new Map<Role, State>()
      await use(async (role) => {
        const known = states.get(role)
        if (known) return known
        const context = await browser.newContext({ baseURL: address() })
        await signInAs(await context.newPage(), role)
        const state = await context.storageState()
        await context.close()
        states.set(role, state)
        return state
      })
    },
    { scope: 'worker' },
  ],

  open: async ({ browser, signedIn, expectedComplaints }, use) => {
    const contexts: BrowserContext[] = []
    const complaints: string[] = []
    await use(async ({ as, device = 'desk', javaScript = true } = {}) => {
      const context = await browser.newContext({
        ...DEVICES[device],
        baseURL: address(),
        javaScriptEnabled: javaScript,
        ...(as && { storageState: await signedIn(as) }),
      })
      contexts.push(context)
      watch(context, complaints)
      return context.newPage()
    })
    for (const context of contexts) await context.close()
    const expected = [...expectedComplaints, DRIVER_IN_SANDBOX]
    expect(complaints.filter((complaint) => !expected.some((one) => one.test(complaint)))).toEqual([])
  },

  desk: async ({ open }, use) => use(await open({ as: 'coordinator' })),

  // The second argument of a fixture is `use`; nothing else is needed here.
  // biome-ignore lint/correctness/noEmptyPattern: the framework reads the fixtures from this pattern
  newPatient: async ({}, use, testInfo) => {
    let count = 0
    await use((wishes = {}) => {
      count += 1
      const { testId, repeatEachIndex, retry } = testInfo
      return { ...inventPatient(`${testId} ${repeatEachIndex} ${retry} ${count}`), ...wishes }
    })
  },
})

/** What a form says is wrong, above its fields. */
export function problems(page: Page) {
  return page.getByRole('alert').filter({ hasText: 'There is a problem' })
}

/** What somebody reads there. */
export async function textOf(locator: Locator): Promise<string> {
  return ((await locator.textContent()) ?? '').trim()
}

function address(): string {
  return `http://localhost:${process.env.E2E_PORT}`
}

function watch(context: BrowserContext, complaints: string[]): void {
  context.on('console', (message) => {
    if (message.type() === 'error') complaints.push(`console: ${message.text()} (${message.location().url})`)
  })
  context.on('weberror', (error) => complaints.push(`script: ${error.error().message}`))
  context.on('request', (request) => {
    const url = new URL(request.url())
    if (url.protocol.startsWith('http') && url.origin !== address()) complaints.push(`asked elsewhere: ${url.origin}`)
  })
  context.on('response', (response) => {
    if (response.status() >= 500) complaints.push(`server: ${response.status()} at ${response.url()}`)
  })
}

const GIVEN = ['Amabel', 'Corvin', 'Delphia', 'Emeric', 'Fenella', 'Godwin', 'Hesper', 'Isolde', 'Jorah', 'Katrin']
const SOUNDS = ['ba', 'do', 'fe', 'gi', 'ko', 'lu', 'ma', 'ne', 'pi', 'ro', 'sa', 'te', 'vi', 'wo', 'xa', 'zu']
// Two states in which the demo's clinicians hold licences; any area code before the numbers kept for fiction.
const AREA_CODES = ['208', '503', '541', '971']

/** The same key gives the same person; another key one who can't be mistaken for them. */
function inventPatient(key: string): TestPatient {
  const bytes = createHash('sha256').update(key).digest()
  const pick = <T>(list: readonly T[], byte: number): T => list[(bytes[byte] ?? 0) % list.length] as T
  const given = pick(GIVEN, 0)
  const sounds = [1, 2, 3, 4, 5].map((byte) => pick(SOUNDS, byte)).join('')
  const family = `${sounds.charAt(0).toUpperCase()}${sounds.slice(1)}`
  const number = (byte: number, from: number, to: number) => from + ((bytes[byte] ?? 0) % (to - from + 1))
  return {
    given,
    family,
    name: `${given} ${family}`,
    born: `${number(6, 1940, 1995)}-${String(number(7, 1, 12)).padStart(2, '0')}-${String(number(8, 13, 28))}`,
    email: `${given}.${family}@patients.example.org`.toLowerCase(),
    phone: `${pick(AREA_CODES, 9)}-555-01${String(number(10, 0, 99)).padStart(2, '0')}`,
    nth: (bytes[11] ?? 0) * 256 + (bytes[12] ?? 0),
  }
}
