/** A desk with nothing but the keyboard: every stop on the way is looked at, and what was done is where the focus is. */
import { expectFocusSeen } from './page-checks.ts'
import { expect, type Locator, type Page } from './watched.ts'

/** Goes there by the Tab key, as far as it takes; every stop on the way is seen. */
export async function focus(page: Page, target: Locator, key: 'Tab' | 'Shift+Tab' = 'Tab'): Promise<void> {
  for (let stops = 0; stops < 250; stops += 1) {
    if (await target.evaluate((element) => element === document.activeElement)) return
    await page.keyboard.press(key)
    await expectFocusSeen(page, `${stops} stops before ${target}`)
  }
  throw new Error(`${target} is not reached by the keyboard`)
}

export async function press(page: Page, target: Locator, key: string, by?: 'Tab' | 'Shift+Tab'): Promise<void> {
  await focus(page, target, by)
  await page.keyboard.press(key)
}

/** What an action did is said, and the keyboard stands on it (WCAG 2.2 SC 2.4.3). */
export async function expectSaid(page: Page, words: string): Promise<void> {
  const said = page.getByRole('status').filter({ hasText: words })
  await expect(said).toBeFocused()
  await expectFocusSeen(page, `after “${words}”`)
}

/** What an action led to: a part of the page, or a page's sentence. */
export async function expectArrived(page: Page, target: Locator): Promise<void> {
  await expect(target).toBeFocused()
  await expectFocusSeen(page, `at ${target}`)
}
