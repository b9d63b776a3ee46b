/** Everything that makes a session, as fields: the same for a new one and for a change. */
import { CheckboxGroup } from '#app/_ui/checkbox-group.tsx'
import { DateFields } from '#app/_ui/date-fields.tsx'
import { RadioGroup } from '#app/_ui/radio-group.tsx'
import { Section } from '#app/_ui/section.tsx'
import { SelectField } from '#app/_ui/select-field.tsx'
import { TextField } from '#app/_ui/text-field.tsx'
import type { RawSession } from '#lib/domain/calendar/session-draft.ts'
import type { OwnerChoice, SessionsView } from '#lib/usecases/read-sessions.ts'
import styles from '../clinic.module.css'

const WEEKDAYS = ['Monday', 'Tuesday', 'Wednesday', 'Thursday', 'Friday', 'Saturday', 'Sunday'].map((label, index) => ({
  value: String(index + 1),
  label,
}))
const NTHS = ['First', 'Second', 'Third', 'Fourth', 'Fifth, where there is one']
  .map((label, index) => ({ value: String(index + 1), label }))
  .concat({ value: '-1', label: 'Last' })

type Props = {
  typed: RawSession
  sites: SessionsView['sites']
  /** Null where it is already settled whose session it is. */
  owners: readonly OwnerChoice[] | null
  owner: string
  isForInterpreter: boolean
}

export function SessionFields({ typed, sites, owners, owner, isForInterpreter }: Props) {
  const isUsed = (one: { id: string; isActive: boolean }, now: string) => one.isActive || one.id === now
  const open = sites.filter((site) => isUsed(site, typed.siteId))
  const rooms = open.flatMap((site) =>
    site.rooms
      .filter((room) => isUsed(room, typed.roomId))
      .map((room) => ({ value: room.id, label: `${site.name}: ${room.name}` })),
  )
  return (
    <>
      <Section heading="Who and where">
        <div className={styles.fields}>
          {owners && (
            <SelectField
              name="owner"
              label="Whose session"
              none="Choose a person"
              value={owner}
              options={owners.map(({ owner: { kind, id }, name }) => ({
                value: `${kind} ${id}`,
                label: kind === 'interpreter' ? `${name}, interpreter` : name,
              }))}
            />
          )}
          <RadioGroup
            name="mode"
            label="How people are seen"
            value={typed.mode}
            layout="in_line"
            options={[
              { value: 'video', label: 'By video' },
              { value: 'in_person', label: 'In person' },
              { value: 'either', label: 'Either' },
            ]}
          />
          <SelectField
            name="siteId"
            label="Site"
            optional="needed in person"
            none="No site"
            value={typed.siteId}
            options={open.map((site) => ({ value: site.id, label: site.name }))}
          />
          <SelectField
            name="roomId"
            label="Room"
            none="Any free room of the site"
            value={typed.roomId}
            options={rooms}
          />
        </div>
      </Section>
      <Section heading="When">
        <div className={styles.fields}>
          <div className={styles.row}>
            <TextField name="opensAt" label="Opens at" hint="Like 09:00" value={typed.opensAt} width={10} />
            <TextField name="closesAt" label="Closes at" hint="Like 12:00" value={typed.closesAt} width={10} />
          </div>
          <div className={`${styles.fields} ${styles.repeat}`}>
            <RadioGroup
              name="repeat"
              label="How often it comes back"
              value={typed.repeat}
              options={[
                { value: 'once', label: 'Once, on the first date' },
                { value: 'weekly', label: 'On weekdays, every week or every few weeks' },
                { value: 'monthly_weekday', label: 'On one weekday of the month, like the second Tuesday' },
                { value: 'monthly_day', label: 'On one day of the month, like the 15th' },
                { value: 'own', label: 'By a rule of your own' },
              ]}
            />
            <div data-for="weekly">
              <CheckboxGroup
                name="weekdays"
                label="Weekdays"
                layout="in_line"
                values={typed.weekdays}
                options={WEEKDAYS}
              />
            </div>
            <div data-for="monthly_weekday">
              <SelectField name="nth" label="Which one" none="Choose" value={typed.nth} options={NTHS} />
            </div>
            <div data-for="monthly_weekday">
              <SelectField name="weekday" label="Weekday" none="Choose" value={typed.weekday} options={WEEKDAYS} />
            </div>
            <div data-for="monthly_day">
              <TextField
                name="monthDay"
                label="Day of the month"
                hint="A number from 1 to 31, or the word last. Months without that day are left out."
                value={typed.monthDay}
                width={4}
              />
            </div>
            <div data-for="weekly monthly_weekday monthly_day">
              <TextField
                name="every"
                label="Every how many weeks or months"
                hint="1 is every one, 2 is every other one."
                value={typed.every}
                inputMode="numeric"
                width={2}
              />
            </div>
            <div data-for="own">
              <TextField
                name="rule"
                label="Rule"
                hint="For those who know them: an RRULE as RFC 5545 writes it, like FREQ=WEEKLY;INTERVAL=2;BYDAY=TU."
                value={typed.rule}
                spellCheck={false}
              />
            </div>
          </div>
          <div className={styles.row}>
            <DateFields name="startsOn" label="First date" value={typed.startsOn || undefined} />
            <DateFields
              name="validTo"
              label="Last date"
              optional="if it has an end"
              value={typed.validTo || undefined}
            />
          </div>
          <TextField
            name="timeZone"
            label="Time zone"
            hint="Its full name, like America/New_York. The hours stay as they are when the clocks change there."
            value={typed.timeZone}
            width={20}
            spellCheck={false}
          />
        </div>
      </Section>
      <Section heading="How visits lie in it">
        <div className={styles.fields}>
          <TextField
            name="grainMin"
            label="Starts are offered every"
            hint="Counted from the opening."
            value={typed.grainMin}
            inputMode="numeric"
            width={4}
            suffix="minutes"
          />
          <div className={styles.row}>
            <TextField
              name="bufferBeforeMin"
              label="Free before each visit"
              value={typed.bufferBeforeMin}
              inputMode="numeric"
              width={4}
              suffix="minutes"
            />
            <TextField
              name="bufferAfterMin"
              label="Free after each visit"
              value={typed.bufferAfterMin}
              inputMode="numeric"
              width={4}
              suffix="minutes"
            />
          </div>
          <TextField
            name="noticeMin"
            label="Shortest notice"
            hint="Nobody is booked in later than this before the start."
            value={typed.noticeMin}
            inputMode="numeric"
            width={4}
            suffix="minutes"
          />
          {isForInterpreter ? (
            <>
              <input type="hidden" name="urgentMin" value="0" />
              <input type="hidden" name="urgentReleaseHours" value="0" />
            </>
          ) : (
            <>
              <TextField
                name="urgentMin"
                label="Kept for urgent visits"
                hint="At the end of each opening. 0 keeps none."
                value={typed.urgentMin}
                inputMode="numeric"
                width={4}
                suffix="minutes"
              />
              <TextField
                name="urgentReleaseHours"
                label="Free for everybody"
                hint="What is kept can be booked by anybody from so long before the opening. 0 keeps it to the end."
                value={typed.urgentReleaseHours}
                inputMode="numeric"
                width={4}
                suffix="working hours before"
              />
            </>
          )}
        </div>
      </Section>
    </>
  )
}
