/**
 * What every page must keep, whoever reads it and however. axe-core finds what a rule can find; WCAG 2.2 asks for more that
 * no rule of it looks at (reflow, text size and spacing, the keyboard's way, what hides the focus), and that is measured
 * here. Numbers: WCAG 2.2, https://www.w3.org/TR/WCAG22/; the 44 px target is its AAA success criterion 2.5.5.
 */
import AxeBuilder from '@axe-core/playwright'
import { expect, type Page } from '@playwright/test'

/** Every page of a patient who has a visit. */
export const BOOKED_PATIENT_PAGES = [
  '/my/book',
  '/my/book?show=cancel',
  '/my',
  '/my/visit',
  '/my/packet',
  '/my/rehearsal',
  '/my/change',
] as const

const TAGS = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa']
const COLOUR_RULES = ['color-contrast', 'link-in-text-block']

/** No violation that axe-core knows of at levels A and AA; one heading, one title, one language. */
export async function checkPage(page: Page): Promise<void> {
  const where = new URL(page.url()).pathname
  await expect(page, where).toHaveTitle(/\S/)
  await expect(page.getByRole('heading', { level: 1 }), `one heading that names ${where}`).toHaveCount(1)
  await expect(page.locator('html'), where).toHaveAttribute('lang', /^(en|es)$/)
  await expectNoViolations(page, where)
}

/** What axe-core has a rule for, in the light and in the dark. */
export async function expectNoViolations(page: Page, where: string): Promise<void> {
  for (const colorScheme of ['light', 'dark'] as const) {
    await page.emulateMedia({ colorScheme })
    // No page looked at here frames another, so one document is enough, and only what is wrong is worked out.
    const axe = new AxeBuilder({ page }).setLegacyMode().options({ resultTypes: ['violations'] })
    // The dark changes nothing but colours.
    const { violations } = await (colorScheme === 'light' ? axe.withTags(TAGS) : axe.withRules(COLOUR_RULES)).analyze()
    const found = violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html).join(' | ')}`)
    expect(found, `${where} in the ${colorScheme}`).toEqual([])
  }
  await page.emulateMedia({ colorScheme: null })
}

/** A page that somebody reads on a phone, with thumbs, at twice the size, or with a keyboard alone. */
export async function checkPatientPage(page: Page): Promise<void> {
  await checkPage(page)
  const where = new URL(page.url()).pathname
  await expect(
    page.getByRole('contentinfo').locator('a[href^="tel:"]').first(),
    `whom to call, on ${where}`,
  ).toBeVisible()
  expect(await smallTargets(page), `targets under ${TARGET} px on ${where}`).toEqual([])
  await checkKeyboard(page, where)

  const size = page.viewportSize()
  await page.setViewportSize({ width: 320, height: 640 })
  await expectNoSidewaysScroll(page, `${where} at 320 px`)
  expect(await brokenNumbers(page), `phone numbers in two lines on ${where} at 320 px`).toEqual([])
  if (size) await page.setViewportSize(size)

  await setRootStyle(page, '200%')
  await expectNoSidewaysScroll(page, `${where} with text at 200 %`)
  await setRootStyle(page, '')
  await withTextSpacing(page, async () => {
    await expectNoSidewaysScroll(page, `${where} with wide text spacing`)
    expect(await clippedTexts(page), `text cut off on ${where}`).toEqual([])
  })
}

/**
 * A page on paper: black on white whatever the screen is set to, nothing beside the sheet, nothing that only a screen can use,
 * and still readable in order. US Letter with margins of half an inch, at 96 CSS px an inch.
 */
export async function checkPrinted(page: Page): Promise<void> {
  const where = `${new URL(page.url()).pathname} on paper`
  const size = page.viewportSize()
  await page.setViewportSize({ width: (8.5 - 1) * 96, height: (11 - 1) * 96 })
  await page.emulateMedia({ media: 'print', colorScheme: 'dark' })
  const { violations } = await new AxeBuilder({ page })
    .setLegacyMode()
    .withTags(TAGS)
    .disableRules('target-size')
    .analyze()
  expect(
    violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html).join(' | ')}`),
    where,
  ).toEqual([])
  await expectNoSidewaysScroll(page, where)
  expect(await clippedTexts(page), `text cut off in ${where}`).toEqual([])
  await expect(page.locator('button:visible, input:visible, summary:visible'), `to press in ${where}`).toHaveCount(0)
  // Unprinted, a link to another page of ours says nothing.
  await expect(page.locator('a[href^="/"]:visible'), `to follow in ${where}`).toHaveCount(0)
  await page.emulateMedia({ media: null, colorScheme: null })
  if (size) await page.setViewportSize(size)
}

const TARGET = 44

/** SC 1.4.10 Reflow: 320 CSS px is 1280 at 400 %. */
async function expectNoSidewaysScroll(page: Page, where: string): Promise<void> {
  const widths = await page.evaluate(() => [document.documentElement.scrollWidth, window.innerWidth] as const)
  expect(widths[0], `width of ${where}`).toBeLessThanOrEqual(widths[1])
}

/** Whatever can be touched, with the size of its target. Links inside a sentence are excepted, as SC 2.5.8 excepts them. */
function smallTargets(page: Page): Promise<string[]> {
  return page.evaluate((least) => {
    const isInSentence = (element: Element) => {
      if (element.tagName !== 'A' || getComputedStyle(element).display !== 'inline') return false
      const own = element.textContent?.trim() ?? ''
      return (element.parentElement?.textContent?.trim() ?? '') !== own
    }
    const targetOf = (element: Element) =>
      element.matches('input[type="radio"], input[type="checkbox"]') ? (element.closest('label') ?? element) : element
    return [...document.querySelectorAll('a[href], button, input:not([type="hidden"]), select, textarea, summary')]
      .filter((element) => element.checkVisibility() && !element.matches('[href="#main"]') && !isInSentence(element))
      .flatMap((element) => {
        const { width, height } = targetOf(element).getBoundingClientRect()
        // A half pixel is the renderer's, not the designer's.
        if (width + 0.5 >= least && height + 0.5 >= least) return []
        return [
          `${element.tagName} “${element.textContent?.trim().slice(0, 40)}” ${Math.round(width)} × ${Math.round(height)}`,
        ]
      })
  }, TARGET)
}

/** SC 2.1.1, 2.4.3, 2.4.7 and 2.4.11: Tab reaches everything once, in order, seen, and nothing lies over it. */
async function checkKeyboard(page: Page, where: string): Promise<void> {
  const wanted = await page.evaluate(() => {
    const names = new Set<string>()
    let count = 0
    for (const element of document.querySelectorAll<HTMLInputElement>(
      'a[href], button, input:not([type="hidden"]), select, textarea, summary, [tabindex="0"]',
    )) {
      if (!element.checkVisibility() || element.matches(':disabled')) continue
      // A group of radio buttons is one stop.
      if (element.type === 'radio' && names.has(element.name)) continue
      if (element.type === 'radio') names.add(element.name)
      count += 1
    }
    return count
  })
  await page.evaluate(() => {
    // Tab goes on from where the focus was last, so it is put before everything.
    document.body.tabIndex = -1
    document.body.focus()
    document.body.removeAttribute('tabindex')
    window.scrollTo(0, 0)
  })
  const stops: { name: string; top: number; isSeen: boolean; isCovered: boolean }[] = []
  for (let stop = 0; stop < wanted; stop += 1) {
    await page.keyboard.press('Tab')
    stops.push(await page.evaluate(describeFocus))
  }
  expect(
    stops.filter(({ name }) => name === 'BODY').length,
    `Tab stops on ${where}: ${stops.map(({ name }) => name).join(', ')}`,
  ).toBe(0)
  expect(
    stops.filter(({ isSeen }) => !isSeen).map(({ name }) => name),
    `focus that nobody sees on ${where}`,
  ).toEqual([])
  expect(
    stops.filter(({ isCovered }) => isCovered).map(({ name }) => name),
    `focus covered on ${where}`,
  ).toEqual([])
  const tops = stops.map(({ top }) => top)
  expect(tops, `the keyboard goes down ${where}`).toEqual(tops.toSorted((a, b) => a - b))
}

/** Where the keyboard stands: on something (SC 2.4.3), seen (2.4.7), and under nothing (2.4.11). */
export async function expectFocusSeen(page: Page, when: string): Promise<void> {
  const look = async () => {
    const { name, isSeen, isCovered } = await page.evaluate(describeFocus)
    return name === 'BODY' ? 'nowhere' : isCovered ? `covered: ${name}` : isSeen ? 'seen' : `not seen: ${name}`
  }
  await expect.poll(look, `focus ${when}`).toBe('seen')
}

/** Runs in the page. */
function describeFocus(): { name: string; top: number; isSeen: boolean; isCovered: boolean } {
  const focused = document.activeElement ?? document.body
  const name = focused === document.body ? 'BODY' : `${focused.tagName} ${focused.textContent?.trim().slice(0, 30)}`
  const box = focused.getBoundingClientRect()
  const marked = [focused, focused.closest('label')].some((element) => {
    if (!element) return false
    const { outlineStyle, outlineWidth } = getComputedStyle(element)
    return outlineStyle !== 'none' && Number.parseFloat(outlineWidth) >= 2
  })
  const middle = document.elementFromPoint(box.x + box.width / 2, box.y + box.height / 2)
  const isOnTop = middle !== null && (focused.contains(middle) || middle.contains(focused))
  // A line of several links stands at one height; half a line up is still the same line.
  const top = Math.round((box.y + window.scrollY + box.height / 2) / 40)
  return { name, top, isSeen: marked, isCovered: !isOnTop }
}

/** SC 1.4.4: twice the text, as a reader sets it in the browser. All sizes hang on the root's. */
async function setRootStyle(page: Page, fontSize: string): Promise<void> {
  await page.evaluate((size) => {
    document.documentElement.style.fontSize = size
  }, fontSize)
}

/** SC 1.4.12, with its own numbers. A constructed sheet, because a style element would break the content policy. */
async function withTextSpacing(page: Page, look: () => Promise<void>): Promise<void> {
  await page.evaluate(() => {
    const sheet = new CSSStyleSheet()
    sheet.replaceSync(
      '* { line-height: 1.5 !important; letter-spacing: 0.12em !important; word-spacing: 0.16em !important } p { margin-block-end: 2em !important }',
    )
    document.adoptedStyleSheets = [sheet]
  })
  await look()
  await page.evaluate(() => {
    document.adoptedStyleSheets = []
  })
}

/** Phone numbers that begin on one line and end on the next: they are misread there. */
function brokenNumbers(page: Page): Promise<string[]> {
  return page.evaluate(() => {
    const number = /\(\d{3}\) \d{3}-\d{4}/
    const holds = (node: Node) => number.test(node.textContent ?? '')
    return [...document.body.querySelectorAll('*')]
      .filter((element) => holds(element) && ![...element.children].some(holds) && element.checkVisibility())
      .flatMap((element) => {
        // Its own element, or some text of a sentence.
        const text = [...element.childNodes].find((node) => node.nodeType === Node.TEXT_NODE && holds(node))
        const { index = 0, 0: found = '' } = number.exec(text?.textContent ?? '') ?? {}
        const range = document.createRange()
        range.selectNodeContents(text ?? element)
        if (text) {
          range.setStart(text, index)
          range.setEnd(text, index + found.length)
        }
        const lines = new Set([...range.getClientRects()].map(({ bottom }) => Math.round(bottom)))
        return lines.size > 1 ? [element.textContent ?? ''] : []
      })
  })
}

function clippedTexts(page: Page): Promise<string[]> {
  return page.evaluate(() =>
    [...document.querySelectorAll('main *, footer *')].flatMap((element) => {
      const { overflowX, overflowY } = getComputedStyle(element)
      const isCut =
        (overflowX === 'hidden' && element.scrollWidth > element.clientWidth + 1 && element.clientWidth > 1) ||
        (overflowY === 'hidden' && element.scrollHeight > element.clientHeight + 1 && element.clientHeight > 1)
      return isCut ? [element.textContent?.trim().slice(0, 40) ?? ''] : []
    }),
  )
}
