/** The mail tray: every message to a patient, what is still to come first. */
import type { Metadata } from 'next'
import Link from 'next/link'
import { z } from 'zod'
import { staffContext } from '#app/_server/staff-page.ts'
import { EmptyState } from '#app/_ui/empty-state.tsx'
import { Mark } from '#app/_ui/mark.tsx'
import { Figure, Opener } from '#app/_ui/opener.tsx'
import { RuledTable } from '#app/_ui/ruled.tsx'
import { TimeText } from '#app/_ui/time-text.tsx'
import { invariant } from '#lib/base/invariant.ts'
import { readTray, type Tray, type TrayStatus } from '#lib/usecases/read-tray.ts'
import { faultWords, KIND_WORDS, STATUS_MARKS, STATUS_WORDS } from './words.ts'

export const metadata: Metadata = { title: 'Mail tray' }

const STATUSES = ['sent', 'queued', 'failed', 'dropped'] as const satisfies readonly TrayStatus[]
/** Anything that isn't one of ours counts as not given: an address may be typed. */
const query = z.object({ show: z.enum(STATUSES).nullable().catch(null) })

export default async function TrayPage({ searchParams }: PageProps<'/tray'>) {
  const ctx = await staffContext('tray.read')
  const { show } = query.parse(await searchParams)
  const result = await readTray(ctx, { show })
  invariant(result.ok, 'the page has asked for the same permission')
  const tray = result.value
  return (
    <>
      <Opener kicker="Mail tray">
        <Sentence tray={tray} />
      </Opener>
      {show !== null && (
        <p>
          Shown: {STATUS_WORDS[show].toLowerCase()}. <Link href="/tray">Show everything</Link>
        </p>
      )}
      {tray.lines.length === 0 ? (
        <EmptyState>
          {show === null
            ? 'Nothing has been written yet. Inviting somebody to the home check, or booking a visit, puts the first mail here.'
            : 'Nothing stands here at the moment.'}
        </EmptyState>
      ) : (
        <RuledTable caption="Messages" isCaptionHidden head={['When', 'To', 'Message', 'How it stands']}>
          {tray.lines.map((line) => (
            <tr key={line.messageId}>
              <td>
                <TimeText at={line.at} timeZone={tray.timeZone} isZoneSaid />
              </td>
              <td>
                {line.referralId === null ? (
                  line.patientName
                ) : (
                  <Link href={`/referrals/${line.referralId}`}>{line.patientName}</Link>
                )}
              </td>
              <th scope="row">
                <Link href={`/tray/${line.messageId}`}>{KIND_WORDS[line.kind]}</Link>
              </th>
              <td>
                <Mark state={STATUS_MARKS[line.status]}>
                  {[STATUS_WORDS[line.status], faultWords(line)].filter(Boolean).join(': ')}
                </Mark>
              </td>
            </tr>
          ))}
        </RuledTable>
      )}
      {tray.isCut && <p>Older messages stand on the pages of their referrals.</p>}
    </>
  )
}

function Sentence({ tray: { counts } }: { tray: Tray }) {
  const all = STATUSES.reduce((sum, status) => sum + counts[status], 0)
  if (all === 0) return 'No mail yet.'
  return (
    <>
      {all === 1 ? 'One message' : `${all} messages`}: <Figure href="/tray?show=sent">{counts.sent} sent</Figure>,{' '}
      <Figure href="/tray?show=queued">{counts.queued} to come</Figure>,{' '}
      <Figure href="/tray?show=failed">{counts.failed} not delivered</Figure>,{' '}
      <Figure href="/tray?show=dropped">{counts.dropped} no longer needed</Figure>.
    </>
  )
}
