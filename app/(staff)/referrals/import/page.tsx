/** Bringing a file of referrals in: what it may hold, and what the last files brought. */
import type { Metadata } from 'next'
import Link from 'next/link'
import { z } from 'zod'
import { staffContext } from '#app/_server/staff-page.ts'
import { Actions, Button } from '#app/_ui/button.tsx'
import { FileField } from '#app/_ui/file-field.tsx'
import { Notice } from '#app/_ui/notice.tsx'
import { Opener } from '#app/_ui/opener.tsx'
import { RuledItem, RuledList, RuledTable } from '#app/_ui/ruled.tsx'
import { Section } from '#app/_ui/section.tsx'
import { TimeText } from '#app/_ui/time-text.tsx'
import { CSV_COLUMNS } from '#lib/domain/intake/csv.ts'
import { REFERRAL_FILE_MAX_BYTES } from '#lib/domain/intake/referral-file.ts'
import { readRecentImports } from '#lib/usecases/read-import.ts'
import { count } from '../words.ts'

export const metadata: Metadata = { title: 'Bring in a file' }

const PROBLEMS = {
  no_file: 'Choose a file first',
  not_a_form: 'The file did not arrive whole. Choose it again',
  sent_before: 'This form was sent already. Its result is in the list below',
} as const

const query = z.object({ problem: z.enum(['no_file', 'not_a_form', 'sent_before']).nullable().catch(null) })

export default async function ImportPage({ searchParams }: PageProps<'/referrals/import'>) {
  const ctx = await staffContext('referral.import')
  const { problem } = query.parse(await searchParams)
  const { imports, timeZone } = await readRecentImports(ctx)
  return (
    <>
      <Opener kicker="Bring in a file">
        Good rows come in, bad rows are listed with the reason, and nothing comes in twice.
      </Opener>
      {problem !== null && <Notice kind="caution" heading={PROBLEMS[problem]} />}
      <form method="post" action="/api/imports" encType="multipart/form-data">
        <input type="hidden" name="commandKey" value={ctx.newId('cmd')} />
        <FileField
          name="file"
          label="File"
          hint={`CSV in UTF-8, or a FHIR R4 Bundle in JSON; up to ${REFERRAL_FILE_MAX_BYTES / 1024 / 1024} MB.`}
          accept=".csv,.json,text/csv,application/json,application/fhir+json"
          error={problem === null ? undefined : PROBLEMS[problem]}
        />
        <Actions>
          <Button>Bring this file in</Button>
        </Actions>
      </form>
      <Section heading="Files brought in before">
        {imports.length === 0 ? (
          <p>None yet. Each file is listed here with what it brought.</p>
        ) : (
          <RuledList label="Files brought in before">
            {imports.map(({ id, at, fileName, added, known, faults }) => (
              <RuledItem key={id} lead={<TimeText at={at} timeZone={timeZone} isZoneSaid />}>
                <Link href={`/referrals/import/${id}`}>{fileName}</Link>: {added} came in, {known} known,{' '}
                {count(faults, 'fault')}
              </RuledItem>
            ))}
          </RuledList>
        )}
      </Section>
      <Section
        heading="Columns of a CSV file"
        aside={
          <a href="/referrals/import/template.csv" download>
            Download a template
          </a>
        }
      >
        <p>The first row names the columns, in any order. Columns that are not needed may be left out.</p>
        <RuledTable
          caption="Columns of a CSV file"
          isCaptionHidden
          head={['Column', 'Needed', 'What it holds', 'Example']}
        >
          {CSV_COLUMNS.map(({ name, needed, means, example }) => (
            <tr key={name}>
              <th scope="row">
                <code>{name}</code>
              </th>
              <td>{needed ? 'yes' : 'no'}</td>
              <td>{means}</td>
              <td>{example}</td>
            </tr>
          ))}
        </RuledTable>
      </Section>
      <Section heading="FHIR">
        <p>
          A Bundle of FHIR R4 in JSON with a ServiceRequest for each referral and its Patient in the same file; a
          Condition where one is referred to. Nothing outside the file is looked up.
        </p>
      </Section>
    </>
  )
}
