/**
 * Changing the exam of one visit: first what is to be done and how, then, before anything is saved, what that means. The
 * first step stands in the address, so it works without a script and can be looked at by two people.
 */
import Form from 'next/form'
import type { StaffCtx } from '#app/_server/staff-page.ts'
import { Actions, Button } from '#app/_ui/button.tsx'
import { FormShell } from '#app/_ui/form-shell.tsx'
import { HiddenField } from '#app/_ui/hidden-field.tsx'
import { Mark } from '#app/_ui/mark.tsx'
import { Notice } from '#app/_ui/notice.tsx'
import { RuledTable } from '#app/_ui/ruled.tsx'
import { TextareaField } from '#app/_ui/textarea-field.tsx'
import { TimeText } from '#app/_ui/time-text.tsx'
import { Temporal } from '#lib/base/time.ts'
import type { RefitReason } from '#lib/domain/booking/refit.ts'
import type { WayOption } from '#lib/domain/plan/choices.ts'
import { changesAnything } from '#lib/domain/plan/consequences.ts'
import { type PlanView, readPlan } from '#lib/usecases/read-plan.ts'
import { clockWords } from '#lib/words/time-words.ts'
import { changePlan } from './actions.ts'
import { type BoardAddress, NO_WAY, WAY } from './address.ts'
import styles from './board.module.css'
import { queryOf } from './board-href.ts'

type Props = {
  ctx: StaffCtx
  visitId: string
  address: BoardAddress
  asked: Record<string, string | null> | null
}

export async function PlanAct({ ctx, visitId, address, asked }: Props) {
  const result = await readPlan(ctx, { visitId, asked })
  if (!result.ok)
    return (
      <section className={styles.act} aria-label="Change the exam">
        <p>Only a booked visit by video has an exam that can be changed.</p>
      </section>
    )
  const view = result.value
  const open = view.stations.filter(({ closed }) => closed === null)
  const shut = view.stations.filter(({ closed, importance }) => closed !== null && importance !== null)
  // What a clinician added stands with the rest.
  const ofCondition = open.filter(({ importance, wanted }) => importance !== null || wanted !== null)
  const more = open.filter((station) => !ofCondition.includes(station))
  const closedToo = view.stations.length - open.length - shut.length
  return (
    <section className={styles.act} aria-label="Change the exam">
      {view.last !== null && (
        <p>
          Changed by {view.last.byName}, <TimeText at={view.last.at} timeZone={view.timeZone} isZoneSaid />:{' '}
          {view.last.because}
        </p>
      )}
      <Form action="/board" scroll={false}>
        {queryOf(address).map(([name, value]) => (
          <input key={name} type="hidden" name={name} value={value} />
        ))}
        <Stations caption="Stations that are safe and possible at this home" stations={ofCondition} asked={asked} />
        {shut.length > 0 && (
          <ul className={styles.shut}>
            {shut.map(({ stationId, title, closed }) => (
              <li key={stationId}>
                <Mark state="cannot">
                  {title}: {closed}
                </Mark>
              </li>
            ))}
          </ul>
        )}
        {more.length > 0 && (
          <details>
            <summary>{more.length} more stations that this condition does not ask for</summary>
            <Stations caption="Also safe and possible at this home" stations={more} asked={asked} />
            {closedToo > 0 && (
              <p className={styles.soft}>{closedToo} others are closed at this home, or not known to be safe.</p>
            )}
          </details>
        )}
        <Actions>
          <Button look={view.preview === null ? 'deed' : 'plain'}>Show what this means</Button>
        </Actions>
      </Form>
      {view.preview !== null && <Preview ctx={ctx} view={view} preview={view.preview} address={address} />}
    </section>
  )
}

function Stations({
  caption,
  stations,
  asked,
}: {
  caption: string
  stations: PlanView['stations']
  asked: Record<string, string | null> | null
}) {
  const shownWay = (stationId: string, wanted: string | null) =>
    (asked !== null && stationId in asked ? asked[stationId] : wanted) ?? NO_WAY
  return (
    <RuledTable caption={caption} head={['Station', 'Asked for', 'How']}>
      {stations.map(({ stationId, title, importance, ways, wanted, isChosen }) => (
        <tr key={stationId}>
          <th scope="row">{title}</th>
          <td>{importance ?? 'no'}</td>
          <td>
            <select
              name={`${WAY}${stationId}`}
              aria-label={`How: ${title}`}
              className={styles.select}
              defaultValue={shownWay(stationId, wanted)}
            >
              <option value={NO_WAY}>Left out</option>
              {ways
                .filter(({ can }) => can === 'yes')
                .map((way) => (
                  <option key={way.wayId} value={way.wayId}>
                    {wayWords(way)}
                  </option>
                ))}
            </select>
            {isChosen && <span className={styles.soft}> A clinician’s choice</span>}
          </td>
        </tr>
      ))}
    </RuledTable>
  )
}

function Preview({
  ctx,
  view,
  preview: { choices, consequences, refused },
  address,
}: {
  ctx: StaffCtx
  view: PlanView
  preview: NonNullable<PlanView['preview']>
  address: BoardAddress
}) {
  const titleOf = (id: string) => view.stations.find(({ stationId }) => stationId === id)?.title ?? id
  const { added, leftOut, changedWay, needsMin, bookedMin, reasons, helperBefore, helperAfter } = consequences
  const window = (helper: typeof helperBefore) => {
    if (helper === null) return 'nobody'
    const at = (min: number) => clockWords(Temporal.Instant.from(view.startsAt).add({ minutes: min }), view.timeZone)
    return `${at(helper.fromMin)} to ${at(helper.toMin)}`
  }
  if (refused.length > 0 || needsMin === 0 || !changesAnything(consequences)) {
    const why =
      refused.length > 0
        ? `Not possible any more: ${refused.map(({ stationId }) => titleOf(stationId)).join(', ')}. The answers have changed.`
        : needsMin === 0
          ? 'Nothing would be left to do. Move the visit to in person, or cancel it.'
          : 'This is the exam as it is. Change something above.'
    return (
      <Notice kind="note" heading="Nothing to save" level={3}>
        {why}
      </Notice>
    )
  }
  const lists = [
    ['Added', added],
    ['Left out', leftOut],
    ['Done in another way', changedWay],
  ] as const
  const isTooLong = reasons.includes('too_long')
  return (
    <Notice kind={reasons.length > 0 ? 'caution' : 'note'} heading="What this means" level={3}>
      <ul>
        {lists.map(([words, ids]) =>
          ids.length === 0 ? null : (
            <li key={words}>
              {words}: {ids.map(titleOf).join(', ')}.
            </li>
          ),
        )}
        <li>
          The visit needs {needsMin} minutes; {bookedMin} are booked.
        </li>
        {window(helperBefore) !== window(helperAfter) && (
          <li>
            The helper is needed: {window(helperAfter)}; so far: {window(helperBefore)}. Who confirmed before is asked
            again.
          </li>
        )}
        {reasons.map((reason) => (
          <li key={reason}>
            <Mark state="cannot">{REASON_WORDS[reason]}</Mark>
          </li>
        ))}
        {(!isTooLong || leftOut.length + changedWay.length > 0) && view.packetRevision !== null && (
          <li>The patient gets revision {view.packetRevision + 1} of the packet, with what is different.</li>
        )}
        <li>The stations are put in the best order again.</li>
      </ul>
      <FormShell action={changePlan.bind(null, address, view.visitId)} commandKey={ctx.newId('cmd')}>
        <HiddenField name="assessmentId" value={view.assessmentId} />
        {Object.entries(choices).map(([stationId, wayId]) => (
          <HiddenField key={stationId} name={`${WAY}${stationId}`} value={wayId ?? NO_WAY} />
        ))}
        <TextareaField name="because" label="Why?" hint="It goes on file with your name." rows={2} />
        <Actions>
          <Button>Save this exam</Button>
        </Actions>
      </FormShell>
    </Notice>
  )
}

const REASON_WORDS: Record<RefitReason, string> = {
  not_by_video: 'By what is known now, this patient should not be seen by video. A task asks to settle that.',
  no_licence: 'The clinician holds no licence where the patient will be. A task asks to settle that.',
  helper_not_free: 'The helper is not free in those minutes. A task asks for a time that suits both.',
  patient_not_free: 'The patient is not free at this time. A task asks for another.',
  too_long:
    'Too long for its start. What is added waits until there is a longer one: it stays out of the packet, and a task asks for that start.',
}

function wayWords({ say, helper, misses }: WayOption): string {
  const words = say.charAt(0).toUpperCase() + say.slice(1)
  return `${words}${helper && !say.includes('helper') ? ', with the helper' : ''}${misses === null ? '' : ` (misses: ${misses})`}`
}
