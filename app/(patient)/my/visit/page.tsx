/** The patient's visit on one page: when it is, what to have ready, and how to say that something changed. */
import { currentPatientOrLink, patientContext } from '#app/_server/patient-page.ts'
import { Actions, Button, ButtonLink } from '#app/_ui/button.tsx'
import { DoneNotice } from '#app/_ui/done-notice.tsx'
import { FormShell } from '#app/_ui/form-shell.tsx'
import { Mark } from '#app/_ui/mark.tsx'
import { RadioGroup } from '#app/_ui/radio-group.tsx'
import { Section } from '#app/_ui/section.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { invariant } from '#lib/base/invariant.ts'
import { Temporal } from '#lib/base/time.ts'
import type { Locale } from '#lib/domain/protocol/schema.ts'
import { NOTICE_CHOICES } from '#lib/domain/standby/standby.ts'
import { type MyStandby, readMyOffer } from '#lib/usecases/read-my-offer.ts'
import { readMyVisit } from '#lib/usecases/read-my-visit.ts'
import { clockWords, instantWords } from '#lib/words/time-words.ts'
import { type Words, wordsFor } from '#lib/words/words.ts'
import { confirm, joinList, leaveList } from './actions.ts'
import styles from './visit.module.css'

export default async function MyVisitPage({ searchParams }: PageProps<'/my/visit'>) {
  const ctx = await patientContext()
  const { language } = await currentPatientOrLink()
  const t = wordsFor(language)
  const { done } = await searchParams
  const result = await readMyVisit(ctx, { referralId: ctx.actor.referralId })
  invariant(result.ok, 'a patient may read their own visit')
  const visit = result.value
  const mine = await readMyOffer(ctx, { referralId: ctx.actor.referralId })
  const standby = mine.ok ? mine.value : null
  if (visit === null) {
    return (
      <>
        <title>{t('board.visit.none')}</title>
        <BackLink href="/my">{t('common.back')}</BackLink>
        <h1>{t('board.visit.none')}</h1>
        <p>{t('board.visit.noneBody')}</p>
      </>
    )
  }
  const startsAt = Temporal.Instant.from(visit.startsAt)
  const clock = (at: string) => clockWords(Temporal.Instant.from(at), visit.timeZone, language)
  const who = { clinician: visit.clinicianName, minutes: visit.minutes, site: visit.siteName ?? '' }
  const isAsked = standby?.offer?.outcome === 'live'
  const sooner = <SoonerTime t={t} language={language} standby={standby} />
  return (
    <>
      <title>{t('board.visit.title')}</title>
      <BackLink href="/my">{t('common.back')}</BackLink>
      <DoneNotice words={{ saved: t('board.visit.saved') }} done={done} />
      <h1>{t('board.visit.heading', { when: instantWords(startsAt, visit.timeZone, language) })}</h1>
      <p>{visit.mode === 'video' ? t('board.visit.withVideo', who) : t('board.visit.withInPerson', who)}</p>
      {isAsked && sooner}
      {visit.hasPacket && (
        <>
          <p>{t('board.visit.packetBody')}</p>
          <Actions>
            <ButtonLink href="/my/packet" look="deed">
              {t('board.visit.packet')}
            </ButtonLink>
          </Actions>
        </>
      )}
      {visit.things.length > 0 && visit.equipment !== 'not_needed' && (
        <Section heading={t('board.visit.ready')}>
          <p>{t('board.visit.things')}</p>
          <ul>
            {visit.things.map((thing) => (
              <li key={thing.en}>{thing[language]}</li>
            ))}
          </ul>
          {visit.equipment === 'done' ? (
            <Mark state="done">{t('board.visit.thingsDone')}</Mark>
          ) : (
            <form action={confirm.bind(null, visit.visitId, 'equipment')}>
              <Actions>
                <Button look="plain">{t('board.visit.haveThings')}</Button>
              </Actions>
            </form>
          )}
        </Section>
      )}
      {visit.helper === 'cannot' ? (
        <Section heading={t('board.visit.helper')}>
          <Mark state="cannot">{t('board.visit.helperGone')}</Mark>
        </Section>
      ) : (
        visit.helperWindow && (
          <Section heading={t('board.visit.helper')}>
            <p>
              {t('board.visit.helperWindow', {
                from: clock(visit.helperWindow.from),
                to: clock(visit.helperWindow.to),
              })}
            </p>
            {visit.helper === 'done' ? (
              <Mark state="done">{t('board.visit.helperDone')}</Mark>
            ) : (
              <form action={confirm.bind(null, visit.visitId, 'helper')}>
                <Actions>
                  <Button look="plain">{t('board.visit.helperComes')}</Button>
                </Actions>
              </form>
            )}
          </Section>
        )
      )}
      <Section heading={t('board.visit.other')}>
        <ul>
          <li>
            <a href="/my/change">{t('board.visit.change')}</a>
          </li>
          <li>
            <a href="/my/book">{t('board.visit.move')}</a>
          </li>
        </ul>
      </Section>
      {!isAsked && sooner}
    </>
  )
}

/** Whether they would come sooner, at what notice, and what is free for them now. */
function SoonerTime({ t, language, standby }: { t: Words; language: Locale; standby: MyStandby | null }) {
  if (!standby) return null
  if (standby.offer?.outcome === 'live') {
    const { answerBy, timeZone } = standby.offer
    return (
      <Section heading={t('standby.my.name')}>
        <div className={styles.stack}>
          <p>{t('standby.my.hint', { when: instantWords(Temporal.Instant.from(answerBy), timeZone, language) })}</p>
          <Actions>
            <ButtonLink href="/my/offer" look="deed">
              {t('standby.list.see')}
            </ButtonLink>
          </Actions>
        </div>
      </Section>
    )
  }
  if (standby.noticeHours !== null) {
    return (
      <Section heading={t('standby.list.on')}>
        <div className={styles.stack}>
          <p>{t('standby.list.onBody')}</p>
          <form action={leaveList}>
            <Actions>
              <Button look="plain">{t('standby.list.leave')}</Button>
            </Actions>
          </form>
        </div>
      </Section>
    )
  }
  return (
    <Section heading={t('standby.list.heading')}>
      <div className={styles.stack}>
        <p>{t('standby.list.body')}</p>
        <FormShell action={joinList} problem={t('common.problem')}>
          <RadioGroup
            name="notice"
            label={t('standby.list.notice')}
            hint={t('standby.list.noticeHint')}
            layout="large"
            options={NOTICE_CHOICES.map((hours) => ({
              value: String(hours),
              label:
                hours < 24
                  ? t('standby.list.hours', { hours })
                  : t('standby.list.days', { days: Math.round(hours / 24) }),
            }))}
          />
          <Actions>
            <Button look="plain">{t('standby.list.join')}</Button>
          </Actions>
        </FormShell>
      </div>
    </Section>
  )
}
