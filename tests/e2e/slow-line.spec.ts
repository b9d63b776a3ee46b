/** A slow line: 400 kbit/s with 400 ms there and back. That a question is answered without a script, home-check.spec.ts shows. */
import { comeByLink, sendLink, triage, typeReferral } from './referral-walk.ts'
import { expect, type Page, test } from './watched.ts'

/** 400 kbit/s. */
const BYTES_A_SECOND = 50_000
const ROUND_TRIP_MS = 400
const READABLE_WITHIN_MS = 3000

test(
  'on a slow line the first question can be read within three seconds',
  { tag: '@phone' },
  async ({ desk, open, newPatient }, testInfo) => {
    const patient = newPatient()
    const referralId = await typeReferral(desk, patient)
    await triage(desk, referralId, { condition: 'Plantar heel pain', noOtherFlag: true })
    await sendLink(desk, referralId)
    const phone = await open({ device: 'phone' })
    await comeByLink(phone, patient)
    await phone.goto('/my/check')
    const first = new URL(phone.url()).pathname

    // What it takes before anything is painted: the page itself and its sheets, one after the other.
    const { bytes, rounds } = await beforeFirstPaint(phone)
    const causes = rounds * ROUND_TRIP_MS + (bytes / BYTES_A_SECOND) * 1000
    testInfo.annotations.push({
      type: 'first paint',
      description: `${rounds} round trips, ${bytes} bytes: ${Math.round(causes)} ms`,
    })
    expect(causes).toBeLessThan(READABLE_WITHIN_MS)

    const line = await phone.context().newCDPSession(phone)
    await line.send('Network.enable')
    await line.send('Network.setCacheDisabled', { cacheDisabled: true })
    await line.send('Network.emulateNetworkConditions', {
      offline: false,
      latency: ROUND_TRIP_MS,
      downloadThroughput: BYTES_A_SECOND,
      uploadThroughput: BYTES_A_SECOND,
    })
    await phone.goto(first)
    const paintMs = await phone.evaluate(
      () => performance.getEntriesByName('first-contentful-paint')[0]?.startTime ?? null,
    )
    testInfo.annotations.push({ type: 'first paint', description: `measured: ${Math.round(paintMs ?? 0)} ms` })
    expect(paintMs ?? Number.POSITIVE_INFINITY).toBeLessThan(READABLE_WITHIN_MS)
  },
)

/** As the browser counted them: what blocks painting is asked for after the page, all at once. */
function beforeFirstPaint(phone: Page): Promise<{ bytes: number; rounds: number }> {
  return phone.evaluate(() => {
    const [page] = performance.getEntriesByType('navigation') as PerformanceNavigationTiming[]
    const sheets = (performance.getEntriesByType('resource') as PerformanceResourceTiming[]).filter(
      (entry) => 'renderBlockingStatus' in entry && entry.renderBlockingStatus === 'blocking',
    )
    const bytes = [page, ...sheets].reduce((sum, entry) => sum + (entry?.encodedBodySize ?? 0), 0)
    return { bytes, rounds: sheets.length > 0 ? 2 : 1 }
  })
}
