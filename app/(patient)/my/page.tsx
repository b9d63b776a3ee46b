import type { Metadata } from 'next'
import Link from 'next/link'
import { notFound, redirect } from 'next/navigation'
import type { ReactNode } from 'react'
import { currentPatientOrLink, patientContext } from '#app/_server/patient-page.ts'
import { RuledItem, RuledList } from '#app/_ui/ruled.tsx'
import { Temporal } from '#lib/base/time.ts'
import { readMyOffer } from '#lib/usecases/read-my-offer.ts'
import { readMyPage } from '#lib/usecases/read-my-page.ts'
import { instantWords } from '#lib/words/time-words.ts'
import { wordsFor } from '#lib/words/words.ts'
import styles from './my.module.css'

export const metadata: Metadata = { title: null }

/** What the patient can do now, and how far everything is. What can't start yet is named, but leads nowhere. */
export default async function MyPage() {
  const ctx = await patientContext()
  const { language } = await currentPatientOrLink()
  const t = wordsFor(language)
  const my = await readMyPage(ctx, { referralId: ctx.actor.referralId })
  if (!my.ok) notFound()
  const { givenName, check, canBook, visit, hasPacket, canRehearse } = my.value
  if (check === 'stopped') redirect('/my/stop')
  const standby = await readMyOffer(ctx, { referralId: ctx.actor.referralId })
  const offer = standby.ok ? standby.value.offer : null
  const when = visit && instantWords(Temporal.Instant.from(visit.startsAt), visit.timeZone, language)
  const isAsking = check === 'to_do' || check === 'started'
  return (
    <>
      <title>{t('home.my.title')}</title>
      <h1>{t('home.my.heading', { name: givenName })}</h1>
      <p className={styles.lead}>
        {check === 'closed' && !visit
          ? t('home.my.closed')
          : check === 'not_ready'
            ? t('home.my.notReady')
            : t('home.my.lead')}
      </p>
      <RuledList label={t('home.my.tasks')}>
        {offer?.outcome === 'live' && (
          <Task href="/my/offer" name={t('standby.my.name')}>
            {t(visit ? 'standby.my.hint' : 'standby.my.hintNew', {
              when: instantWords(Temporal.Instant.from(offer.answerBy), offer.timeZone, language),
            })}
          </Task>
        )}
        {check !== 'not_ready' && check !== 'closed' && (
          <Task href={check === 'done' ? '/my/check/answers' : '/my/check'} name={t('home.my.check')}>
            {t(
              check === 'done'
                ? 'home.my.checkDone'
                : check === 'started'
                  ? 'home.my.checkStarted'
                  : 'home.my.checkTodo',
            )}
          </Task>
        )}
        {!visit && check !== 'closed' && check !== 'not_ready' && (
          <Task href={canBook ? '/my/book' : null} name={t('home.my.book')}>
            {t(canBook ? 'home.my.bookNow' : isAsking ? 'home.my.bookWait' : 'home.my.bookLook')}
          </Task>
        )}
        {visit && when && (
          <Task href="/my/visit" name={t('home.my.visit')}>
            {t(visit.mode === 'video' ? 'home.my.visitVideo' : 'home.my.visitClinic', { when })}
          </Task>
        )}
        {hasPacket && (
          <Task href="/my/packet" name={t('home.my.packet')}>
            {t('home.my.packetHint')}
          </Task>
        )}
        {canRehearse && (
          <Task href="/my/rehearsal" name={t('rehearsal.title')}>
            {t('rehearsal.hint')}
          </Task>
        )}
        {visit && (
          <Task href="/my/change" name={t('home.my.change')}>
            {t('home.my.changeHint')}
          </Task>
        )}
      </RuledList>
    </>
  )
}

function Task({ href, name, children }: { href: string | null; name: string; children: ReactNode }) {
  return (
    <RuledItem>
      <div className={styles.task}>
        {href === null ? <span>{name}</span> : <Link href={href}>{name}</Link>}
        <span className={styles.status}>{children}</span>
      </div>
    </RuledItem>
  )
}
