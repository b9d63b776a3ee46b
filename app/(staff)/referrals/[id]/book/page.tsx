/** Finding a start for one referral: what could be had and why, what is held or booked already, and how to change it. */
import type { Metadata } from 'next'
import Link from 'next/link'
import { notFound } from 'next/navigation'
import { z } from 'zod'
import { staffContext } from '#app/_server/staff-page.ts'
import { startValue } from '#app/_server/start-value.ts'
import { Actions, Button, ButtonLink } from '#app/_ui/button.tsx'
import type { ChoiceOption } from '#app/_ui/choice.tsx'
import { DayChoices } from '#app/_ui/day-choices.tsx'
import { DoneNotice } from '#app/_ui/done-notice.tsx'
import { FormShell } from '#app/_ui/form-shell.tsx'
import { Notice } from '#app/_ui/notice.tsx'
import { Opener } from '#app/_ui/opener.tsx'
import { Section, Split } from '#app/_ui/section.tsx'
import { SelectField } from '#app/_ui/select-field.tsx'
import { TextField } from '#app/_ui/text-field.tsx'
import { TextareaField } from '#app/_ui/textarea-field.tsx'
import { TimeText } from '#app/_ui/time-text.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { Temporal } from '#lib/base/time.ts'
import { may } from '#lib/domain/access/policy.ts'
import { DAY_PARTS } from '#lib/domain/booking/demand-of.ts'
import { needsReason } from '#lib/domain/booking/offer.ts'
import { RELAXATIONS, type RelaxationKind } from '#lib/domain/calendar/demand.ts'
import { findStarts, type ShownClaim, type StartsFound } from '#lib/usecases/find-starts.ts'
import type { OfferedDay, OfferedStart } from '#lib/usecases/steps/search-starts.ts'
import { dateWords } from '#lib/words/time-words.ts'
import { BreachHelp, BreachSentence } from '../../breach.tsx'
import { asLineStart } from '../../words.ts'
import { type Asked, bookHeld, cancelBooked, letGo, moveBooked, takeStart } from './actions.ts'
import styles from './book.module.css'
import { becauseField, MODE_WORDS, NOTHING_WORDS, RELAXATION_WORDS, SET_ASIDE_WORDS, whyWords } from './words.ts'

export const metadata: Metadata = { title: 'Find a start' }

/** Anything that isn't one of ours counts as not given: an address may be typed. */
const query = z.object({
  mode: z.enum(['video', 'in_person']).nullable().catch(null),
  clinician: z.string().min(1).nullable().catch(null),
  part: z.enum(DAY_PARTS).nullable().catch(null),
  site: z.string().min(1).nullable().catch(null),
  /** The first day to look at, yyyy-mm-dd. */
  from: z.iso.date().nullable().catch(null),
  /** Two conditions have a field of their own; all others that are set aside stand in `released`. */
  helper: z.literal('any').nullable().catch(null),
  interpreter: z.literal('none').nullable().catch(null),
  released: z.string().catch(''),
})

export default async function BookPage({ params, searchParams }: PageProps<'/referrals/[id]/book'>) {
  const ctx = await staffContext('slot.search')
  const { id: referralId } = await params
  const { done, ...rest } = await searchParams
  const asked = query.parse(rest)
  const released = releasedIn(asked)
  const result = await findStarts(ctx, {
    referralId,
    mode: asked.mode,
    clinicianId: asked.clinician,
    dayPart: asked.part,
    siteId: asked.site,
    fromDay: asked.from,
    released,
    days: 5,
    perDay: 6,
  })
  const mayBook = may(ctx.actor, 'visit.book')
  const { clinicId } = ctx.actor
  const mayCancel = ({ start: { clinicianId } }: ShownClaim) =>
    may(ctx.actor, 'visit.cancel', { clinicId, clinicianId })
  if (!result.ok) {
    if (result.error.code === 'referral_not_found') notFound()
    const { code, claims, timeZone, clinicTimeZone } = result.error
    return (
      <>
        <BackLink href={`/referrals/${referralId}`}>Referral</BackLink>
        <Opener kicker="Find a start">{NOTHING_WORDS[code].heading}.</Opener>
        <Notice kind={code === 'stopped' ? 'emergency' : 'caution'} heading="Nothing can be booked now">
          <p>{NOTHING_WORDS[code].body}</p>
          <p>
            <Link href={`/referrals/${referralId}`}>Open the referral</Link>
          </p>
        </Notice>
        {claims.map((claim) => (
          <BookedClaim
            key={claim.visitId}
            claim={claim}
            asked={{ referralId, released, timeZone, field: 'start', search: '' }}
            clinicTimeZone={clinicTimeZone}
            commandKey={ctx.newId('cmd')}
            isBeside={false}
            mayCancel={mayCancel(claim)}
          />
        ))}
      </>
    )
  }

  const found = result.value
  const search = searchOf(asked, released)
  const bound: Asked = { referralId, released, timeZone: found.timeZone, field: 'start', search }
  const { timeZone, clinicTimeZone } = found
  const booked = found.claims.filter((claim) => claim.status === 'booked')
  const held = found.claims.find((claim) => claim.status === 'held')
  const main = booked.find((claim) => claim.mode === 'in_person') ?? booked[0]
  const days = found.days.map((day) => dayChoice(day, found, main)).filter((day) => day.options.length > 0)
  return (
    <>
      <BackLink href={`/referrals/${referralId}`}>Referral</BackLink>
      <Opener kicker="Find a start">
        <Sentence found={found} main={main} />
      </Opener>
      <DoneNotice words={DONE_WORDS} done={done} />
      <Split
        beside={
          <>
            <Filters found={found} asked={asked} released={released} now={ctx.now()} />
            {booked.map((claim) => (
              <BookedClaim
                key={claim.visitId}
                claim={claim}
                asked={bound}
                clinicTimeZone={clinicTimeZone}
                commandKey={ctx.newId('cmd')}
                isBeside={claim !== main}
                mayCancel={mayCancel(claim)}
              />
            ))}
          </>
        }
      >
        {held && mayBook && (
          <Section id="held" heading={held.isExpired ? 'The hold has run out' : 'Held'}>
            <div className={styles.stack}>
              <ClaimLine claim={held} timeZone={timeZone} clinicTimeZone={clinicTimeZone} />
              <p>
                {held.isExpired || held.expiresAt === null ? (
                  'It is free to anybody now. Nobody has taken it so far.'
                ) : (
                  <>
                    Nobody else can take it until{' '}
                    <TimeText at={held.expiresAt} timeZone={clinicTimeZone} show="clock" />.
                  </>
                )}
              </p>
              <FormShell
                action={bookHeld.bind(null, bound, held.visitId, startValue(held.start))}
                commandKey={ctx.newId('cmd')}
              >
                <Actions>
                  <Button>Book this start</Button>
                </Actions>
              </FormShell>
              <form action={letGo.bind(null, bound, held.visitId)}>
                <Actions>
                  <Button look="plain">Let it go</Button>
                </Actions>
              </form>
            </div>
          </Section>
        )}
        <Section heading={main ? `Other starts ${MODE_WORDS[found.mode]}` : `Starts ${MODE_WORDS[found.mode]}`}>
          <div className={styles.stack}>
            <p>
              Days and times are the patient's: <ZoneSaid found={found} />
            </p>
            {days.length === 0 ? (
              <NoStart found={found} asked={asked} released={released} now={ctx.now()} mayBook={mayBook} />
            ) : mayBook ? (
              <FormShell
                action={
                  main
                    ? moveBooked.bind(null, bound, { visitId: main.visitId, version: main.version })
                    : takeStart.bind(null, bound)
                }
                commandKey={ctx.newId('cmd')}
              >
                <DayChoices name="start" days={days} />
                {released.some(needsReason) && (
                  <TextareaField
                    name="because"
                    label={`Why ${reasonedWords(released)} is set aside`}
                    hint="Kept on file with the visit, where the start needs it."
                    rows={2}
                  />
                )}
                {main ? (
                  <Actions>
                    <Button>Move the visit to this start</Button>
                  </Actions>
                ) : (
                  <Actions>
                    <Button name="deed" value="book">
                      Book this start
                    </Button>
                    <Button look="plain" name="deed" value="hold">
                      Hold it for {found.holdMin} minutes
                    </Button>
                  </Actions>
                )}
              </FormShell>
            ) : (
              days.map((day) => (
                <div key={day.date}>
                  <h3>{day.label}</h3>
                  {day.hint !== undefined && <p>{day.hint}</p>}
                  <ul>
                    {day.options.map((option) => (
                      <li key={option.value}>
                        {option.label} {option.hint}
                      </li>
                    ))}
                  </ul>
                </div>
              ))
            )}
          </div>
        </Section>
        {found.earlyLook && (
          <EarlyLook
            found={found}
            look={found.earlyLook}
            asked={bound}
            mayBook={mayBook && main !== undefined}
            commandKey={ctx.newId('cmd')}
          />
        )}
      </Split>
    </>
  )
}

const DONE_WORDS = {
  booked: 'Booked. The patient is told, and what they have to prepare is on its way.',
  moved: 'Moved. The patient is told, and their calendar entry moves along.',
  let_go: 'Let go. The start is free to anybody again.',
  cancelled: 'Cancelled. The patient is told, and the time is free again.',
} as const

/** One sentence that a person would say. */
function Sentence({ found, main }: { found: StartsFound; main: ShownClaim | undefined }) {
  const { timeZone, clinicTimeZone } = found
  if (main) {
    return (
      <>
        {found.patientName} is booked {MODE_WORDS[main.mode]} for{' '}
        <TimeText at={main.startsAt} timeZone={timeZone} alsoIn={clinicTimeZone} />, with {main.clinicianName}.
      </>
    )
  }
  const starts = found.days.flatMap((day) => day.starts)
  const soonest = starts.toSorted((a, b) => (a.startsAt < b.startsAt ? -1 : 1))[0]
  return (
    <>
      {found.patientName}, {found.minutes} minutes {MODE_WORDS[found.mode]}
      {found.seeBy !== null && (
        <>
          , to be seen by <TimeText at={found.seeBy} timeZone={clinicTimeZone} />
        </>
      )}
      :{' '}
      {soonest ? (
        <>
          the soonest start is <TimeText at={soonest.startsAt} timeZone={timeZone} alsoIn={clinicTimeZone} />.
        </>
      ) : (
        'no start fits.'
      )}
    </>
  )
}

function ZoneSaid({ found }: { found: StartsFound }) {
  const at = found.days[0]?.starts[0]?.startsAt ?? found.relaxation?.start.startsAt ?? found.seeBy
  return at === null || at === undefined ? (
    found.timeZone
  ) : (
    <>
      for example <TimeText at={at} timeZone={found.timeZone} alsoIn={found.clinicTimeZone} />.
    </>
  )
}

/** The starts of one day; where the visit stands already is no other start. */
function dayChoice(day: OfferedDay, found: StartsFound, booked: ShownClaim | undefined) {
  const others = day.starts.filter((start) => !booked || startValue(start) !== startValue(booked.start))
  const ofAll = sharedWhy(others)
  return {
    date: day.date,
    label: dateWords(Temporal.PlainDate.from(day.date)),
    hint: lineOf(ofAll),
    options: others.map((start) => startChoice(start, found, ofAll)),
  }
}

/** Why all these starts rank where they do: said once, so that what sets one apart is seen. */
function sharedWhy(starts: readonly OfferedStart[]): string[] {
  const [first = [], ...rest] = starts.map(({ why }) => whyWords(why))
  return first.filter((reason) => rest.every((reasons) => reasons.includes(reason)))
}

function lineOf(reasons: readonly string[]): string | undefined {
  return reasons.length === 0 ? undefined : asLineStart(reasons.join('; '))
}

function startChoice(
  start: OfferedStart,
  { timeZone, clinicTimeZone }: StartsFound,
  ofAll: readonly string[],
): ChoiceOption {
  const place = start.site ? `${start.site.name}, ${start.roomName ?? 'room'}` : 'video'
  const why = whyWords(start.why).filter((reason) => !ofAll.includes(reason))
  return {
    value: startValue(start),
    label: (
      <>
        <TimeText at={start.startsAt} timeZone={timeZone} alsoIn={clinicTimeZone} show="clock" isZoneSaid /> with{' '}
        {start.clinicianName}, {start.clinicianCredentials}; {place}
        {start.interpreterName !== null && `; ${start.interpreterName} interprets`}
      </>
    ),
    hint: lineOf(why),
  }
}

type Query = z.output<typeof query>

function releasedIn({ released, helper, interpreter }: Query): RelaxationKind[] {
  const named = released.split(',')
  return RELAXATIONS.filter(
    (kind) =>
      named.includes(kind) ||
      (kind === 'other_helper_times' && helper === 'any') ||
      (kind === 'without_interpreter' && interpreter === 'none'),
  )
}

/** "the see-by time and the keeping of time for urgent visits" */
function reasonedWords(released: readonly RelaxationKind[]): string {
  return released
    .filter(needsReason)
    .map((kind) => SET_ASIDE_WORDS[kind])
    .join(' and ')
}

/** Conditions that have a field in the form stand there, not in the hidden list. */
const WITH_FIELD: readonly RelaxationKind[] = ['other_helper_times', 'without_interpreter']

type FiltersProps = { found: StartsFound; asked: Query; released: RelaxationKind[]; now: Temporal.Instant }

function Filters({ found, asked, released, now }: FiltersProps) {
  const { helperTimes, interpreterLanguage } = found.needs
  const hidden = released.filter((kind) => !WITH_FIELD.includes(kind))
  const isReleased = (kind: RelaxationKind) => released.includes(kind)
  return (
    <Section heading="Narrow the search">
      <div className={styles.stack}>
        <form method="get" className={styles.filters}>
          {hidden.length > 0 && <input type="hidden" name="released" value={hidden.join(',')} />}
          {found.modes.length > 1 && (
            <SelectField
              name="mode"
              label="How"
              value={found.mode}
              options={found.modes.map((mode) => ({ value: mode, label: MODE_WORDS[mode] }))}
            />
          )}
          <SelectField
            name="clinician"
            label="Clinician"
            none="Anybody"
            value={asked.clinician ?? ''}
            options={found.clinicians.map(({ id, name }) => ({ value: id, label: name }))}
          />
          {found.mode === 'in_person' && found.sites.length > 1 && (
            <SelectField
              name="site"
              label="Site"
              none="Any, the preferred one first"
              value={asked.site ?? ''}
              options={found.sites.map(({ id, name }) => ({ value: id, label: name }))}
            />
          )}
          <SelectField
            name="part"
            label="Time of the patient's day"
            none="Any"
            value={asked.part ?? ''}
            options={DAY_PARTS.map((part) => ({ value: part, label: part }))}
          />
          <TextField
            name="from"
            type="date"
            label="Not before"
            value={asked.from ?? ''}
            width={20}
            min={now.toZonedDateTimeISO(found.timeZone).toPlainDate().toString()}
          />
          {helperTimes && (
            <SelectField
              name="helper"
              label="Helper"
              none="At the times they gave"
              value={isReleased('other_helper_times') ? 'any' : ''}
              options={[{ value: 'any', label: 'At any time' }]}
            />
          )}
          {interpreterLanguage !== null && (
            <SelectField
              name="interpreter"
              label={`Interpreter, ${languageWords(interpreterLanguage)}`}
              none="Needed"
              value={isReleased('without_interpreter') ? 'none' : ''}
              options={[{ value: 'none', label: 'Goes without' }]}
            />
          )}
          <Actions>
            <Button look="plain">Show these starts</Button>
          </Actions>
        </form>
        {released.length > 0 && (
          <p>
            Set aside: {released.map((kind) => SET_ASIDE_WORDS[kind]).join(', ')}.{' '}
            <Link href={hrefOf(found.referralId, asked, [])}>Ask for everything again</Link>
          </p>
        )}
      </div>
    </Section>
  )
}

/** The search as it stands in an address, with its question mark; empty for the plain one. */
function searchOf(asked: Query, released: readonly RelaxationKind[], mode = asked.mode): string {
  const wanted = new URLSearchParams()
  if (mode !== null) wanted.set('mode', mode)
  if (asked.clinician !== null) wanted.set('clinician', asked.clinician)
  if (asked.site !== null) wanted.set('site', asked.site)
  if (asked.part !== null) wanted.set('part', asked.part)
  if (asked.from !== null) wanted.set('from', asked.from)
  if (released.length > 0) wanted.set('released', released.join(','))
  return wanted.size === 0 ? '' : `?${wanted}`
}

function hrefOf(referralId: string, asked: Query, released: readonly RelaxationKind[], mode = asked.mode): string {
  return `/referrals/${referralId}/book${searchOf(asked, released, mode)}`
}

type NoStartProps = {
  found: StartsFound
  asked: Query
  released: RelaxationKind[]
  now: Temporal.Instant
  mayBook: boolean
}

/** Nothing fits: the breach and everything that would help, or the one thing that would give the earliest start. */
function NoStart({ found, asked, released, now, mayBook }: NoStartProps) {
  const { breach, relaxation, referralId, timeZone, clinicTimeZone } = found
  if (breach) {
    return (
      <Notice kind="urgent" heading="No start in time" level={3}>
        <p>
          <BreachSentence breach={breach} now={now} timeZone={clinicTimeZone} />
        </p>
        <BreachHelp breach={breach} referralId={referralId} now={now} timeZone={clinicTimeZone} mayBook={mayBook} />
      </Notice>
    )
  }
  if (!relaxation) {
    return (
      <Notice kind="caution" heading="No start fits, whatever is set aside" level={3}>
        <p>No session of this kind has room as far ahead as the clinic books. Add a session, or call the patient.</p>
      </Notice>
    )
  }
  const { kind, start } = relaxation
  const href = {
    say_where_patient_is: `/referrals/${referralId}/check`,
    in_person: hrefOf(referralId, asked, released, 'in_person'),
  }
  return (
    <Notice kind={kind === 'after_see_by' ? 'urgent' : 'caution'} heading="No start fits" level={3}>
      <p>
        The earliest would be <TimeText at={start.startsAt} timeZone={timeZone} alsoIn={clinicTimeZone} /> with{' '}
        {start.clinicianName}, if {RELAXATION_WORDS[kind].condition}.
      </p>
      <p>
        <Link
          href={
            kind === 'say_where_patient_is' || kind === 'in_person'
              ? href[kind]
              : hrefOf(referralId, asked, [...released, kind])
          }
        >
          {RELAXATION_WORDS[kind].link}
        </Link>
      </p>
    </Notice>
  )
}

/** "Spanish" */
function languageWords(tag: string): string {
  return new Intl.DisplayNames('en', { type: 'language' }).of(tag) ?? tag
}

type EarlyLookProps = {
  found: StartsFound
  look: NonNullable<StartsFound['earlyLook']>
  asked: Asked
  mayBook: boolean
  commandKey: string
}

function EarlyLook({ found, look, asked, mayBook, commandKey }: EarlyLookProps) {
  const days = [
    {
      date: 'look',
      label: 'Video starts before the visit',
      options: look.starts.map((start) => startChoice(start, found, [])),
    },
  ]
  return (
    <Section heading="An early look by video">
      <div className={styles.stack}>
        <p>
          A clinician may look by video before the visit at the clinic. It never replaces or delays that visit, and it
          clears nothing.
        </p>
        {look.starts.length === 0 ? (
          <p>No video start is sooner than the visit at the clinic.</p>
        ) : mayBook ? (
          <FormShell action={takeStart.bind(null, { ...asked, field: 'look' })} commandKey={commandKey}>
            <DayChoices name="look" days={days} />
            <Actions>
              <Button look="plain" name="deed" value="book">
                Book this early look
              </Button>
            </Actions>
          </FormShell>
        ) : (
          <p>
            The soonest would be{' '}
            <TimeText
              at={look.starts[0]?.startsAt ?? look.before}
              timeZone={found.timeZone}
              alsoIn={found.clinicTimeZone}
            />
            . Book the visit at the clinic first.
          </p>
        )}
      </div>
    </Section>
  )
}

function ClaimLine({
  claim,
  timeZone,
  clinicTimeZone,
}: {
  claim: ShownClaim
  timeZone: string
  clinicTimeZone: string
}) {
  return (
    <p>
      <TimeText at={claim.startsAt} timeZone={timeZone} alsoIn={clinicTimeZone} />, {MODE_WORDS[claim.mode]}
      {claim.place && `, ${claim.place.siteName}, ${claim.place.roomName}`}, with {claim.clinicianName}
      {claim.interpreterName !== null && `, ${claim.interpreterName} interprets`}.
    </p>
  )
}

type BookedClaimProps = {
  claim: ShownClaim
  asked: Asked
  clinicTimeZone: string
  commandKey: string
  isBeside: boolean
  mayCancel: boolean
}

function BookedClaim({ claim, asked, clinicTimeZone, commandKey, isBeside, mayCancel }: BookedClaimProps) {
  if (claim.status !== 'booked') return null
  const { visitId, version } = claim
  return (
    <Section heading={isBeside ? 'Booked: the early look' : 'Booked'}>
      <div className={styles.stack}>
        <ClaimLine claim={claim} timeZone={asked.timeZone} clinicTimeZone={clinicTimeZone} />
        <Actions>
          <ButtonLink href={`/visits/${visitId}`}>Open the visit</ButtonLink>
        </Actions>
        {mayCancel && (
          <FormShell action={cancelBooked.bind(null, asked, { visitId, version })} commandKey={commandKey}>
            <TextareaField name={becauseField(visitId)} label="Why it is cancelled" hint="Kept on file." rows={2} />
            <Actions>
              <Button look="grave">Cancel this visit</Button>
            </Actions>
          </FormShell>
        )}
      </div>
    </Section>
  )
}
