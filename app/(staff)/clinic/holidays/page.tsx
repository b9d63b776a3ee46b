/** The days on which the clinic is closed, year by year; the federal ones are offered as a start. */
import type { Metadata } from 'next'
import Link from 'next/link'
import { z } from 'zod'
import { type StaffCtx, staffContext } from '#app/_server/staff-page.ts'
import { Actions, Button } from '#app/_ui/button.tsx'
import { CheckboxGroup } from '#app/_ui/checkbox-group.tsx'
import { DateFields } from '#app/_ui/date-fields.tsx'
import { DoneNotice } from '#app/_ui/done-notice.tsx'
import { EmptyState } from '#app/_ui/empty-state.tsx'
import { FormShell } from '#app/_ui/form-shell.tsx'
import { Figure, Opener } from '#app/_ui/opener.tsx'
import { RuledItem, RuledList } from '#app/_ui/ruled.tsx'
import { Section, Split } from '#app/_ui/section.tsx'
import { TextField } from '#app/_ui/text-field.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { invariant } from '#lib/base/invariant.ts'
import { type HolidaysView, readHolidays } from '#lib/usecases/read-clinic-setup.ts'
import { longDate } from '#lib/words/session-words.ts'
import { count } from '../../referrals/words.ts'
import styles from '../clinic.module.css'
import { EffectsNotice } from '../effects-notice.tsx'
import { addFederal, addHoliday, changeHoliday, takeOff } from './actions.ts'

export const metadata: Metadata = { title: 'Holidays' }

const DONE = { added: 'On the list.', saved: 'Saved.', off: 'Off the list: sessions open on that day again.' } as const
/** Anything that isn't one of ours counts as not given: an address may be typed. */
const query = z.object({
  year: z.coerce.number().int().min(2000).max(2200).nullable().catch(null),
  day: z.string().nullable().catch(null),
})

export default async function HolidaysPage({ searchParams }: PageProps<'/clinic/holidays'>) {
  const ctx = await staffContext('place.write')
  const { done, ...rest } = await searchParams
  const { year: asked, day } = query.parse(rest)
  const read = await readHolidays(ctx, { year: asked })
  invariant(read.ok, 'the page has asked for the same permission')
  const view = read.value
  const { year, days, years } = view
  const chosen = days.find(({ onDate }) => onDate === day) ?? null
  return (
    <>
      <BackLink href="/clinic">Clinic</BackLink>
      <Opener kicker="Holidays">
        {days.length === 0
          ? `In ${year} the clinic is closed on no holiday yet.`
          : `In ${year} the clinic is closed on ${count(days.length, 'day')}.`}
      </Opener>
      <nav aria-label="Years" className={styles.top}>
        {years.map((one) =>
          one.year === year ? (
            <strong key={one.year} aria-current="page">
              {one.year}
            </strong>
          ) : (
            <Figure key={one.year} href={`/clinic/holidays?year=${one.year}`}>
              {one.year}
            </Figure>
          ),
        )}
      </nav>
      <DoneNotice words={DONE} done={done} />
      <Split beside={<Offered ctx={ctx} view={view} />}>
        <Section heading={`Closed in ${year}`}>
          {days.length === 0 ? (
            <EmptyState>No day is on the list. On a day that is, no session opens unless it says otherwise.</EmptyState>
          ) : (
            <RuledList label={`Closed in ${year}`}>
              {days.map(({ onDate, name }) => (
                <RuledItem
                  key={onDate}
                  end={
                    onDate !== chosen?.onDate && (
                      <Link href={`/clinic/holidays?year=${year}&day=${onDate}#change`}>
                        Change <span className={styles.hidden}>{name}</span>
                      </Link>
                    )
                  }
                >
                  <p className={styles.dated}>
                    <strong>{longDate(onDate)}</strong> <span>{name}</span>
                  </p>
                </RuledItem>
              ))}
            </RuledList>
          )}
        </Section>
        {chosen ? <Change ctx={ctx} view={view} day={chosen} /> : <Add ctx={ctx} year={year} />}
      </Split>
    </>
  )
}

function Add({ ctx, year }: { ctx: StaffCtx; year: number }) {
  return (
    <Section heading="Another day">
      <FormShell action={addHoliday.bind(null, year)} commandKey={ctx.newId('cmd')}>
        <TextField name="name" label="Name" hint="As it stands beside the dates of a session." width={20} />
        <DateFields name="onDate" label="Date" />
        <EffectsNotice />
        <Actions>
          <Button look="plain">Close the clinic on this day</Button>
        </Actions>
      </FormShell>
    </Section>
  )
}

function Change({ ctx, view, day }: { ctx: StaffCtx; view: HolidaysView; day: HolidaysView['days'][number] }) {
  return (
    <Section heading={`Change ${day.name}`} id="change">
      <div className={styles.parts}>
        <FormShell key={day.onDate} action={changeHoliday.bind(null, view.year, day)} commandKey={ctx.newId('cmd')}>
          <TextField name="name" label="Name" value={day.name} width={20} />
          <DateFields name="onDate" label="Date" value={day.onDate} />
          <EffectsNotice />
          <Actions>
            <Button look="plain">Save this day</Button>
            <Link href={`/clinic/holidays?year=${view.year}`}>Leave it as it is</Link>
          </Actions>
        </FormShell>
        <FormShell action={takeOff.bind(null, view.year, day)} commandKey={ctx.newId('cmd')}>
          <EffectsNotice />
          <Actions>
            <Button look="grave" id="off">
              Take it off the list
            </Button>
          </Actions>
        </FormShell>
      </div>
    </Section>
  )
}

function Offered({ ctx, view: { year, offered } }: { ctx: StaffCtx; view: HolidaysView }) {
  return (
    <Section heading="Federal holidays">
      {offered.length === 0 ? (
        <p>Every federal holiday of {year} is on the list.</p>
      ) : (
        <FormShell action={addFederal.bind(null, year)} commandKey={ctx.newId('cmd')}>
          <CheckboxGroup
            name="days"
            label={`Not on the list for ${year}`}
            hint="By the day on which they are kept (5 U.S.C. 6103)."
            values={offered.map(({ onDate }) => onDate)}
            options={offered.map(({ onDate, name }) => ({ value: onDate, label: name, hint: longDate(onDate) }))}
          />
          <EffectsNotice />
          <Actions>
            <Button look="plain">Put these on the list</Button>
          </Actions>
        </FormShell>
      )}
    </Section>
  )
}
