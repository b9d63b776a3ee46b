/** The third next available start of each clinician and mode: how long a routine patient waits. */
import type { Metadata } from 'next'
import { staffContext } from '#app/_server/staff-page.ts'
import { EmptyState } from '#app/_ui/empty-state.tsx'
import { Opener } from '#app/_ui/opener.tsx'
import { RuledTable } from '#app/_ui/ruled.tsx'
import { TimeText } from '#app/_ui/time-text.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { invariant } from '#lib/base/invariant.ts'
import { readWaits } from '#lib/usecases/read-waits.ts'
import type { WaitLine } from '#lib/usecases/steps/work-out-waits.ts'

export const metadata: Metadata = { title: 'Waits' }

export default async function WaitsPage() {
  const ctx = await staffContext('waits.read')
  const result = await readWaits(ctx)
  invariant(result.ok, 'the page has asked for the same permission')
  const { computedAt, timeZone, horizonDays, minutes, lines, without } = result.value
  return (
    <>
      <BackLink href="/clinic">Clinic</BackLink>
      <Opener kicker="Waits">How long a patient waits for the third start that is open.</Opener>
      <p>
        The third, because the first two may be somebody’s late cancellation. Calendar days are counted, weekends too,
        and a start today is 0 days. A start that is held for somebody, or still kept for urgent visits, is not counted.
        Each counts as {minutes} minutes, looked for {horizonDays} days ahead.
      </p>
      {lines.length === 0 ? (
        <EmptyState>No clinician has a session yet. With the first session the wait stands here.</EmptyState>
      ) : (
        <RuledTable caption="Waits" isCaptionHidden head={['Clinician', 'Mode', 'Wait', 'Third open start']}>
          {lines.map((line) => (
            <tr key={`${line.clinicianId} ${line.mode}`}>
              <th scope="row">
                {line.name}, {line.credentials}
              </th>
              <td>{line.mode === 'video' ? 'Video' : 'In person'}</td>
              <Wait line={line} timeZone={timeZone} horizonDays={horizonDays} />
            </tr>
          ))}
        </RuledTable>
      )}
      {without.length > 0 && <p>Without a session in that time: {without.join(', ')}.</p>}
      <p>
        Worked out on <TimeText at={computedAt} timeZone={timeZone} />.{' '}
        <a href="/clinic/waits.csv">Take it as a CSV file</a>
      </p>
    </>
  )
}

type WaitProps = { line: WaitLine; timeZone: string; horizonDays: number }

function Wait({ line: { third }, timeZone, horizonDays }: WaitProps) {
  if (third === null) return <td colSpan={2}>Fewer than three starts are open within {horizonDays} days</td>
  return (
    <>
      <td>{daysInWords(third.days)}</td>
      <td>
        <TimeText at={third.startsAt} timeZone={timeZone} />
      </td>
    </>
  )
}

function daysInWords(days: number): string {
  if (days === 0) return '0 days: today'
  return days === 1 ? '1 day' : `${days} days`
}
