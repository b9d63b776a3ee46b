/** What one file brought in, row by row where something is to be done. */
import type { Metadata } from 'next'
import Link from 'next/link'
import { notFound } from 'next/navigation'
import { staffContext } from '#app/_server/staff-page.ts'
import { ButtonLink } from '#app/_ui/button.tsx'
import { Figure, Opener } from '#app/_ui/opener.tsx'
import { RuledItem, RuledList, RuledTable } from '#app/_ui/ruled.tsx'
import { Section } from '#app/_ui/section.tsx'
import { TimeText } from '#app/_ui/time-text.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { type ImportPage, readImport } from '#lib/usecases/read-import.ts'
import styles from '../../referral.module.css'
import { birthDateWords, count } from '../../words.ts'

export const metadata: Metadata = { title: 'A file brought in' }

export default async function ImportResultPage({ params }: PageProps<'/referrals/import/[id]'>) {
  const ctx = await staffContext('referral.import')
  const { id } = await params
  const result = await readImport(ctx, { importId: id })
  if (!result.ok) notFound()
  const page = result.value
  return (
    <>
      <BackLink href="/referrals/import">Bring in a file</BackLink>
      <Opener kicker={page.fileName}>
        <Sentence page={page} />
      </Opener>
      <p className={styles.lines}>
        <span>
          Brought in <TimeText at={page.at} timeZone={page.timeZone} />.
        </span>
      </p>
      {page.undecided.length > 0 && (
        <Section id="same-person" heading="Same person?">
          <p>These patients may be somebody the clinic knows. Nothing else goes on with them until that is decided.</p>
          <RuledList label="Same person?">
            {page.undecided.map(({ referralId, name, birthDate }) => (
              <RuledItem key={referralId} end={<Link href={`/referrals/${referralId}#same-person`}>Decide</Link>}>
                {name}, born {birthDateWords(birthDate)}
              </RuledItem>
            ))}
          </RuledList>
        </Section>
      )}
      {page.faults > 0 && (
        <Section id="faults" heading={`What could not come in (${page.faults})`}>
          <p>
            Mend these rows and bring the file in again: what came in already is recognised.
            {page.shownFaults.length < page.faults && ` The first ${page.shownFaults.length} are shown.`}
          </p>
          <RuledTable
            caption="Rows that could not come in"
            isCaptionHidden
            head={[page.kind === 'csv' ? 'Line' : 'Entry', page.kind === 'csv' ? 'Column' : 'Element', 'Reason']}
          >
            {page.shownFaults.map(({ line, column, reason }) => (
              <tr key={`${line} ${column} ${reason}`}>
                <td>{line === 0 ? 'whole file' : line}</td>
                <td>{column === '' ? 'whole row' : column}</td>
                <td>{reason}</td>
              </tr>
            ))}
          </RuledTable>
        </Section>
      )}
      <p>
        <ButtonLink href="/desk?show=triage">Go to triage</ButtonLink>
      </p>
    </>
  )
}

function Sentence({ page: { added, known, faults, undecided } }: { page: ImportPage }) {
  return (
    <>
      {added === 0 ? 'No referral' : count(added, 'referral')} came in
      {known > 0 && (
        <>
          , {known} {known === 1 ? 'was' : 'were'} known already
        </>
      )}
      {faults > 0 && (
        <>
          , <Figure href="#faults">{count(faults, 'fault')}</Figure> to mend
        </>
      )}
      {undecided.length > 0 && (
        <>
          , <Figure href="#same-person">{undecided.length} to tell apart</Figure>
        </>
      )}
      .
    </>
  )
}
