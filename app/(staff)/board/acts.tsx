/** What can be done about a visit from its row: one part at a time, under the row that it is about. */

import type { StaffCtx } from '#app/_server/staff-page.ts'
import { startValue } from '#app/_server/start-value.ts'
import { Actions, Button } from '#app/_ui/button.tsx'
import { FormShell } from '#app/_ui/form-shell.tsx'
import { HiddenField } from '#app/_ui/hidden-field.tsx'
import { PhoneNumber } from '#app/_ui/phone-link.tsx'
import { RadioGroup } from '#app/_ui/radio-group.tsx'
import { TextareaField } from '#app/_ui/textarea-field.tsx'
import { Temporal } from '#lib/base/time.ts'
import { may } from '#lib/domain/access/policy.ts'
import { isOpen } from '#lib/domain/readiness/board-view.ts'
import { callScript } from '#lib/domain/readiness/call-script.ts'
import { ITEM_WORDS } from '#lib/domain/readiness/items.ts'
import { CONFIRMABLE, HEARD_FROM } from '#lib/usecases/confirm-item.ts'
import { findStarts } from '#lib/usecases/find-starts.ts'
import type { Board, ShownVisit } from '#lib/usecases/read-board.ts'
import type { OfferedStart } from '#lib/usecases/steps/search-starts.ts'
import { clockWords, dayWords, instantWords } from '#lib/words/time-words.ts'
import { confirmByPhone, moveIn, sendAgain } from './actions.ts'
import type { BoardAddress } from './address.ts'
import styles from './board.module.css'

type Props = { ctx: StaffCtx; visit: ShownVisit; address: BoardAddress; board: Board }

export function CallAct({ visit, board }: Props) {
  const zone = visit.patientTimeZone
  const clock = (at: string) => clockWords(Temporal.Instant.from(at), zone)
  const { first, asks, last } = callScript(visit.items, {
    clinicName: board.clinicName,
    emergencyNumber: board.emergencyNumber,
    givenName: visit.patientName.split(' ')[0] ?? visit.patientName,
    clinicianName: visit.clinicianName,
    mode: visit.mode,
    when: instantWords(Temporal.Instant.from(visit.startsAt), zone),
    helperWindow: visit.helperWindow && `from ${clock(visit.helperWindow.from)} to ${clock(visit.helperWindow.to)}`,
  })
  const phone = visit.callbackPhone ?? visit.patientPhone
  return (
    <section className={styles.act} aria-label="What to say on the phone">
      <h4>
        {phone === null ? (
          'No number is known'
        ) : (
          <>
            Call <PhoneNumber number={phone} />
          </>
        )}
        {visit.interpreterLanguage !== null && `, with an interpreter (${visit.interpreterLanguage})`}
      </h4>
      <ol className={styles.script}>
        {first.map((say) => (
          <li key={say}>{say}</li>
        ))}
        {asks.map(({ item, say }) => (
          <li key={item}>
            <strong>{ITEM_WORDS[item]}.</strong> {say}
          </li>
        ))}
        {last.map((say) => (
          <li key={say}>{say}</li>
        ))}
      </ol>
      {asks.length === 0 && <p>Nothing that the patient could settle is open. There is no need to call for that.</p>}
    </section>
  )
}

export function SendAct({ ctx, visit, address }: Props) {
  const missing = visit.items.filter(
    ({ state, actor }) => isOpen(state) && state !== 'cannot' && actor !== 'coordinator',
  )
  return (
    <section className={styles.act} aria-label="Send what is missing again">
      <p>
        {missing.length === 0
          ? 'Nothing that the patient could settle is open, so nothing would be sent.'
          : `The patient gets a mail with their own link that asks for: ${missing.map(({ item }) => ITEM_WORDS[item].toLowerCase()).join(', ')}.`}
      </p>
      <FormShell action={sendAgain.bind(null, address, visit.visitId)} commandKey={ctx.newId('cmd')}>
        <Actions>
          <Button id="send">Send what is missing</Button>
        </Actions>
      </FormShell>
    </section>
  )
}

const HEARD_WORDS: Record<(typeof HEARD_FROM)[number], string> = {
  patient: 'The patient',
  helper: 'The helper',
  family: 'Family or a friend',
  interpreter: 'The patient, through an interpreter',
}

export function ConfirmAct({ ctx, visit, address }: Props) {
  const open = CONFIRMABLE.filter((item) => visit.items.some((each) => each.item === item && isOpen(each.state)))
  if (open.length === 0)
    return (
      <section className={styles.act} aria-label="Mark as confirmed by phone">
        <p>
          Nothing is open that somebody could vouch for. What else is missing is filled in: home check, place and
          contact, and consent on the referral’s page.
        </p>
      </section>
    )
  return (
    <section className={styles.act} aria-label="Mark as confirmed by phone">
      <FormShell action={confirmByPhone.bind(null, address, visit.visitId)} commandKey={ctx.newId('cmd')}>
        <RadioGroup
          name="item"
          label="What was confirmed?"
          options={open.map((item) => ({ value: item, label: ITEM_WORDS[item] }))}
          layout="in_line"
        />
        <RadioGroup
          name="heardFrom"
          label="Who said so?"
          options={HEARD_FROM.map((who) => ({ value: who, label: HEARD_WORDS[who] }))}
          layout="in_line"
        />
        <TextareaField name="note" label="What was said" optional="optional" rows={2} />
        <Actions>
          <Button>Write it down</Button>
        </Actions>
      </FormShell>
    </section>
  )
}

/** No start of our own choosing: the desk gets the task. */
const BY_DESK = { value: 'desk', label: 'No start yet: a task asks the desk to find one' }

export async function InPersonAct({ ctx, visit, address, board }: Props) {
  const target = { clinicId: ctx.actor.clinicId, referralId: visit.referralId, clinicianId: visit.clinicianId }
  const starts = may(ctx.actor, 'visit.move', target) ? await inPersonStarts(ctx, visit.referralId) : []
  return (
    <section className={styles.act} aria-label="Move to in person">
      <p>
        The visit by video is given up, and the patient is told. The engine’s answer stays on file beside your reason.
        Coming to the clinic is safe whatever the home allows.
      </p>
      <FormShell action={moveIn.bind(null, address, board.timeZone, visit.visitId)} commandKey={ctx.newId('cmd')}>
        <HiddenField name="version" value={String(visit.version)} />
        <RadioGroup
          name="start"
          label="When?"
          options={[
            ...starts.map((start) => ({ value: startValue(start), label: startWords(start, board.timeZone) })),
            BY_DESK,
          ]}
        />
        <TextareaField
          name="because"
          label="Why not by video?"
          hint="At least ten letters. It goes on file."
          rows={2}
        />
        <Actions>
          <Button look="grave">Move to in person</Button>
        </Actions>
      </FormShell>
    </section>
  )
}

async function inPersonStarts(ctx: StaffCtx, referralId: string): Promise<OfferedStart[]> {
  const found = await findStarts(ctx, {
    referralId,
    mode: 'in_person',
    clinicianId: null,
    dayPart: null,
    siteId: null,
    released: [],
    days: 3,
    perDay: 3,
  })
  return found.ok ? found.value.days.flatMap(({ starts }) => starts) : []
}

function startWords(start: OfferedStart, timeZone: string): string {
  const at = Temporal.Instant.from(start.startsAt)
  const where = start.site === null ? '' : `, ${start.site.name}`
  return `${dayWords(at, timeZone)}, ${clockWords(at, timeZone)}, ${start.clinicianName}${where}`
}
