/** The patient's own booking: pick a time, have it kept for a few minutes, say yes. Later: move it or give it back. */
import type { Metadata } from 'next'
import { z } from 'zod'
import { currentPatientOrLink, patientContext } from '#app/_server/patient-page.ts'
import { startValue } from '#app/_server/start-value.ts'
import { Actions, Button, ButtonLink } from '#app/_ui/button.tsx'
import { DayChoices } from '#app/_ui/day-choices.tsx'
import { DoneNotice } from '#app/_ui/done-notice.tsx'
import { FormShell } from '#app/_ui/form-shell.tsx'
import { PhoneSentence } from '#app/_ui/phone-link.tsx'
import { TimeText } from '#app/_ui/time-text.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { invariant } from '#lib/base/invariant.ts'
import { Temporal } from '#lib/base/time.ts'
import type { NothingToOffer } from '#lib/domain/booking/offer.ts'
import type { Locale } from '#lib/domain/protocol/schema.ts'
import { findStarts, type ShownClaim, type StartsFound } from '#lib/usecases/find-starts.ts'
import type { OfferedStart } from '#lib/usecases/steps/search-starts.ts'
import { clockWords, dateWords, instantWords, zoneWords } from '#lib/words/time-words.ts'
import { type Words, wordsFor } from '#lib/words/words.ts'
import { bookKept, cancelMine, keepTime, letGo, moveMine } from './actions.ts'
import styles from './book.module.css'

export const metadata: Metadata = { title: null }

const query = z.object({
  show: z.enum(['move', 'cancel']).nullable().catch(null),
  /** Times outside those the patient gave. */
  all: z.literal('1').nullable().catch(null),
  done: z.enum(['booked', 'moved', 'cancelled']).optional().catch(undefined),
  /** They had kept a time when they came to this page. */
  kept: z.literal('1').nullable().catch(null),
})

type Asked = z.infer<typeof query>

type Said = { t: Words; language: Locale }

export default async function MyBookPage({ searchParams }: PageProps<'/my/book'>) {
  const ctx = await patientContext()
  const { language, clinic } = await currentPatientOrLink()
  const t = wordsFor(language)
  const asked = query.parse(await searchParams)
  const released = asked.all === null ? [] : (['other_patient_times'] as const)
  const result = await findStarts(ctx, {
    referralId: ctx.actor.referralId,
    mode: null,
    clinicianId: null,
    dayPart: null,
    released: [...released],
    days: 6,
    perDay: 4,
  })
  const said: Said = { t, language }
  const newKey = () => ctx.newId('cmd')
  const refused = result.ok || result.error.code === 'referral_not_found' ? null : result.error
  const answer = result.ok ? result.value : refused
  invariant(answer, 'a patient may look for times of their own referral')
  const { claims, timeZone, cutOffHours } = answer
  const all = claims.filter((claim) => claim.status === 'booked')
  const booked = all.find((claim) => claim.mode === 'in_person') ?? all[0]
  const cutOff = booked && Temporal.Instant.from(booked.startsAt).subtract({ hours: cutOffHours })
  const isOpen = cutOff !== undefined && Temporal.Instant.compare(ctx.now(), cutOff) <= 0
  if (booked && isOpen && asked.show === 'cancel') {
    return <Cancel visit={booked} timeZone={timeZone} said={said} commandKey={newKey()} />
  }
  if (booked && cutOff && (!isOpen || asked.show !== 'move' || refused)) {
    const beside = all.filter((claim) => claim !== booked)
    const state = { timeZone, cutOff, isOpen, done: asked.done, canMove: refused === null, phone: clinic.phone }
    return <Booked visit={booked} beside={beside} state={state} said={said} />
  }
  if (refused) return <NotNow code={refused.code} number={clinic.emergencyNumber} said={said} />
  invariant(result.ok, 'what was not refused was found')
  const found = result.value
  const held = found.claims.find((claim) => claim.status === 'held')
  if (!booked && held && !held.isExpired && held.expiresAt !== null) {
    return <Held held={held} until={held.expiresAt} found={found} said={said} commandKey={newKey()} />
  }
  return (
    <Pick
      found={found}
      booked={booked}
      released={[...released]}
      phone={clinic.phone}
      done={asked.done}
      isLetGo={!booked && (held !== undefined || asked.kept !== null)}
      said={said}
      commandKey={newKey()}
    />
  )
}

function NotNow({ code, number, said: { t } }: { code: NothingToOffer; number: string; said: Said }) {
  return (
    <div className={styles.stack}>
      <title>{t(`booking.not.${code}.heading`)}</title>
      <BackLink href="/my">{t('common.back')}</BackLink>
      <h1>{t(`booking.not.${code}.heading`)}</h1>
      <p>{t(`booking.not.${code}.body`, { number })}</p>
      {code === 'not_decided' && (
        <Actions>
          <ButtonLink href="/my/check" look="deed">
            {t('booking.not.not_decided.link')}
          </ButtonLink>
        </Actions>
      )}
    </div>
  )
}

type PickProps = {
  found: StartsFound
  booked: ShownClaim | undefined
  released: 'other_patient_times'[]
  phone: string
  done: Asked['done']
  /** The time they kept was let go. */
  isLetGo: boolean
  said: Said
  commandKey: string
}

function Pick(props: PickProps) {
  const { found, booked, released, phone, done, isLetGo, said, commandKey } = props
  const { t, language } = said
  const { timeZone } = found
  const title = booked ? t('booking.pick.move') : t(`booking.pick.${found.mode}`)
  const first = found.days[0]?.starts[0]
  const head = (
    <div className={styles.stack}>
      <BackLink href={booked ? '/my/book' : '/my'}>{t('common.back')}</BackLink>
      {isLetGo ? (
        <DoneNotice words={{ let: t('booking.held.let') }} done="let" kind="caution">
          <p>{t(first ? 'booking.held.letBody' : 'booking.held.letNone', { minutes: found.holdMin })}</p>
        </DoneNotice>
      ) : (
        <DoneNotice words={{ cancelled: t('booking.booked.cancelled') }} done={done}>
          <p>{t('booking.booked.cancelledBody')}</p>
        </DoneNotice>
      )}
    </div>
  )
  if (!first) {
    return (
      <div className={styles.stack}>
        {head}
        <title>{t('booking.none.heading')}</title>
        <h1>{t('booking.none.heading')}</h1>
        <p>{t(released.length === 0 ? 'booking.none.told' : 'booking.none.clinicCalls')}</p>
        {found.relaxation?.kind === 'other_patient_times' && (
          <Actions>
            <ButtonLink href={booked ? '/my/book?show=move&all=1' : '/my/book?all=1'}>
              {t('booking.none.otherTimes')}
            </ButtonLink>
          </Actions>
        )}
      </div>
    )
  }
  const zone = zoneWords(Temporal.Instant.from(first.startsAt), timeZone, language)
  return (
    <div className={styles.stack}>
      {head}
      <h1>{title}</h1>
      <p>
        {t('booking.pick.length', { minutes: found.minutes })} {t('booking.pick.zone', { zone })}
      </p>
      {!booked && <p>{t('booking.pick.holdHint', { minutes: found.holdMin })}</p>}
      <FormShell
        action={
          booked
            ? moveMine.bind(null, { visitId: booked.visitId, version: booked.version, released, timeZone })
            : keepTime.bind(null, { released, timeZone })
        }
        title={title}
        problem={t('common.problem')}
        commandKey={commandKey}
      >
        <DayChoices
          name="start"
          layout="large"
          days={found.days.map((day) => ({
            date: day.date,
            label: dayLabel(day.date, timeZone, said),
            options: day.starts.map((start) => ({
              value: startValue(start),
              label: (
                <TimeText
                  at={start.startsAt}
                  timeZone={timeZone}
                  alsoIn={start.site?.timeZone ?? found.clinicTimeZone}
                  show="clock"
                  isZoneSaid
                  locale={language}
                />
              ),
              hint: withWords(start, t),
            })),
          }))}
        />
        <Actions>
          <Button>{booked ? t('booking.pick.moveDeed') : t('booking.pick.hold')}</Button>
        </Actions>
      </FormShell>
      <p>
        <PhoneSentence number={phone}>{t('booking.pick.more', { phone })}</PhoneSentence>
      </p>
    </div>
  )
}

/** The day, and that the clocks change on it, where they do: an hour is then not the hour one thinks. */
function dayLabel(date: string, timeZone: string, { t, language }: Said): string {
  const on = Temporal.PlainDate.from(date)
  const day = dateWords(on, language)
  const hours = on.toZonedDateTime(timeZone).hoursInDay
  return hours === 24 ? day : t('booking.pick.clocksChange', { day })
}

function withWords(start: OfferedStart, t: Words): string {
  const clinician = start.clinicianName
  const who = start.site
    ? t('booking.pick.at', { clinician, site: start.site.name, address: start.site.address })
    : t('booking.pick.with', { clinician })
  return start.interpreterName === null
    ? who
    : `${who}; ${t('booking.pick.interpreter', { name: start.interpreterName })}`
}

type HeldProps = { held: ShownClaim; until: string; found: StartsFound; said: Said; commandKey: string }

function Held({ held, until, found, said: { t, language }, commandKey }: HeldProps) {
  const { timeZone } = found
  const kept = { visitId: held.visitId, start: startValue(held.start), timeZone }
  return (
    <div className={styles.stack}>
      <BackLink href="/my">{t('common.back')}</BackLink>
      <h1>{t('booking.held.heading')}</h1>
      <Where claim={held} timeZone={timeZone} clinicTimeZone={found.clinicTimeZone} said={{ t, language }} />
      <p id="start">{t('booking.held.until', { clock: clockOf(until, timeZone, language) })}</p>
      <FormShell
        action={bookKept.bind(null, kept)}
        title={t('booking.held.heading')}
        problem={t('common.problem')}
        commandKey={commandKey}
      >
        <Actions>
          <Button>{t('booking.held.confirm')}</Button>
        </Actions>
      </FormShell>
      <form action={letGo.bind(null, held.visitId)}>
        <Actions>
          <Button look="plain">{t('booking.held.other')}</Button>
        </Actions>
      </form>
    </div>
  )
}

/** "9:10 AM Eastern Time" */
function clockOf(at: string, timeZone: string, language: Locale): string {
  const instant = Temporal.Instant.from(at)
  return `${clockWords(instant, timeZone, language)} ${zoneWords(instant, timeZone, language)}`
}

type BookedProps = {
  visit: ShownClaim
  /** A sooner video look that goes with it. */
  beside: ShownClaim[]
  state: {
    timeZone: string
    cutOff: Temporal.Instant
    /** Whether they may still change it by themselves. */
    isOpen: boolean
    done: Asked['done']
    canMove: boolean
    phone: string
  }
  said: Said
}

function Booked({ visit, beside, state, said: { t, language } }: BookedProps) {
  const { timeZone, cutOff, isOpen, done, canMove, phone } = state
  const startsAt = Temporal.Instant.from(visit.startsAt)
  const heading = t('booking.booked.heading', { when: instantWords(startsAt, timeZone, language) })
  return (
    <div className={styles.stack}>
      <title>{t('booking.booked.title')}</title>
      <BackLink href="/my">{t('common.back')}</BackLink>
      <DoneNotice words={{ booked: t('booking.booked.done'), moved: t('booking.booked.moved') }} done={done}>
        <p>{t(done === 'moved' ? 'booking.booked.movedBody' : 'booking.booked.doneBody')}</p>
      </DoneNotice>
      <h1>{heading}</h1>
      <p>{placeWords(visit, t)}</p>
      {beside.map((claim) => (
        <p key={claim.visitId}>
          {t('booking.booked.beside', {
            when: instantWords(Temporal.Instant.from(claim.startsAt), timeZone, language),
            clinician: claim.clinicianName,
          })}
        </p>
      ))}
      <Actions>
        <ButtonLink href="/my/visit" look="deed">
          {t('booking.booked.see')}
        </ButtonLink>
      </Actions>
      {isOpen ? (
        <div className={styles.stack}>
          <p>{t('booking.booked.until', { when: instantWords(cutOff, timeZone, language) })}</p>
          <Actions>
            {canMove && <ButtonLink href="/my/book?show=move">{t('booking.booked.move')}</ButtonLink>}
            <ButtonLink href="/my/book?show=cancel">{t('booking.booked.cancel')}</ButtonLink>
          </Actions>
        </div>
      ) : (
        <p>
          <PhoneSentence number={phone}>{t('booking.booked.tooLate', { phone })}</PhoneSentence>
        </p>
      )}
    </div>
  )
}

type CancelProps = { visit: ShownClaim; timeZone: string; said: Said; commandKey: string }

function Cancel({ visit, timeZone, said: { t, language }, commandKey }: CancelProps) {
  const { visitId, version } = visit
  return (
    <div className={styles.stack}>
      <BackLink href="/my/book">{t('common.back')}</BackLink>
      <h1>{t('booking.cancel.title')}</h1>
      <p id="start">{instantWords(Temporal.Instant.from(visit.startsAt), timeZone, language)}</p>
      <p>{t('booking.cancel.body')}</p>
      <FormShell
        action={cancelMine.bind(null, { visitId, version, timeZone })}
        title={t('booking.cancel.title')}
        problem={t('common.problem')}
        commandKey={commandKey}
      >
        <Actions>
          <Button look="grave">{t('booking.cancel.deed')}</Button>
          <ButtonLink href="/my/book">{t('booking.cancel.keep')}</ButtonLink>
        </Actions>
      </FormShell>
    </div>
  )
}

type WhereProps = { claim: ShownClaim; timeZone: string; clinicTimeZone: string; said: { t: Words; language: Locale } }

function Where({ claim, timeZone, clinicTimeZone, said: { t, language } }: WhereProps) {
  return (
    <p>
      <strong>
        <TimeText
          at={claim.startsAt}
          timeZone={timeZone}
          alsoIn={claim.place?.timeZone ?? clinicTimeZone}
          locale={language}
        />
      </strong>
      <br />
      {placeWords(claim, t)}
    </p>
  )
}

function placeWords({ place, clinicianName: clinician }: ShownClaim, t: Words): string {
  return place
    ? t('booking.booked.inPerson', { site: place.siteName, address: place.siteAddress, clinician })
    : t('booking.booked.video', { clinician })
}
