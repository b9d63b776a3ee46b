import type { Metadata } from 'next'
import Link from 'next/link'
import { redirect } from 'next/navigation'
import { currentPatientOrLink } from '#app/_server/patient-page.ts'
import { Actions, ButtonLink } from '#app/_ui/button.tsx'
import { PhoneLink } from '#app/_ui/phone-link.tsx'
import { Section } from '#app/_ui/section.tsx'
import { explain } from '#lib/domain/screening/explain.ts'
import type { Screening } from '#lib/domain/screening/screening.ts'
import { readMyPage } from '#lib/usecases/read-my-page.ts'
import styles from '../../my.module.css'
import { type OpenCheck, openCheck } from '../open-check.ts'

export const metadata: Metadata = { title: null }

/** Most that a household is asked to think about at once. */
const OPENERS_SHOWN = 3

/** The answers are in: what can be done by video, what would help, and what happens next. Can be opened again. */
export default async function DonePage() {
  const open = await openCheck()
  const { clinic } = await currentPatientOrLink()
  const { view, ctx, referralId, t } = open
  const { screening, disposition } = view
  if (!view.isFinished || !screening || !disposition) redirect('/my/check')
  const my = await readMyPage(ctx, { referralId })
  if (!my.ok) redirect('/my')
  const byVideo = disposition === 'video' || disposition === 'video_with_gaps'
  return (
    <div className={styles.stack}>
      <title>{t('home.done.title')}</title>
      <h1>{t('home.done.heading')}</h1>
      <p>{sentence(open, screening)}</p>
      {byVideo && <ByVideo {...open} screening={screening} />}
      {disposition === 'ask_again' && <ToKnow {...open} screening={screening} />}
      <Helps {...open} screening={screening} />
      <div className={styles.part}>
        <Section heading={t('home.done.next')}>
          {disposition === 'urgent_in_person' ? (
            <>
              <p>{t('home.done.nextUrgent')}</p>
              <p>
                <PhoneLink number={clinic.phone}>{t('home.stop.callClinic', { phone: clinic.phone })}</PhoneLink>
              </p>
            </>
          ) : (
            <p>{t(my.value.canBook ? 'home.done.nextBook' : 'home.done.nextWait')}</p>
          )}
        </Section>
        <Actions>
          {my.value.canBook ? (
            <ButtonLink href="/my/book" look={disposition === 'urgent_in_person' ? 'plain' : 'deed'}>
              {t('home.done.book')}
            </ButtonLink>
          ) : (
            <ButtonLink href="/my">{t('home.done.toPage')}</ButtonLink>
          )}
        </Actions>
      </div>
    </div>
  )
}

/** The engine's sentence; where a person at the clinic decided otherwise, the one for what they decided. */
function sentence({ view, locale, t }: OpenCheck, screening: Screening): string {
  if (view.disposition === screening.disposition) return explain(screening, view.protocol).patient[locale]
  switch (view.disposition) {
    case 'video':
      return t('home.done.video')
    case 'video_with_gaps':
      return t('home.done.gaps')
    case 'in_person':
      return t('home.done.inPerson')
    case 'urgent_in_person':
    case 'emergency_advice':
      return t('home.done.urgent')
    case 'ask_again':
    case null:
      return t('home.done.ask')
  }
}

type Props = OpenCheck & { screening: Screening }

function ByVideo({ view, locale, screening, t }: Props) {
  const stations = screening.stations.map((screened) => ({
    screened,
    station: view.protocol.stations.find(({ id }) => id === screened.stationId),
  }))
  const can = stations.filter(({ screened }) => screened.can === 'yes')
  // What nobody expects is not announced as missing.
  const left = stations.filter(({ screened }) => screened.can === 'no' && screened.importance !== 'optional')
  return (
    <div className={styles.part}>
      <Section heading={t('home.done.parts')}>
        <ul>
          {can.map(({ screened, station }) => (
            <li key={screened.stationId}>{station?.plain[locale]}</li>
          ))}
        </ul>
      </Section>
      {left.length > 0 && (
        <Section heading={t('home.done.left')}>
          <ul>
            {left.map(({ screened, station }) => (
              <li key={screened.stationId}>
                {station?.plain[locale]}
                {screened.closedBy[0]?.kind === 'safety' && <> {station?.unsafeBecause[locale]}</>}
              </li>
            ))}
          </ul>
        </Section>
      )}
    </div>
  )
}

/** Answers that would decide it, where somebody was not sure. */
function ToKnow({ view, locale, screening, t }: Props) {
  const facts = screening.ask.flatMap((id) => view.questions.find((fact) => fact.id === id) ?? [])
  if (facts.length === 0) return null
  return (
    <div className={styles.part}>
      <Section heading={t('home.done.know')}>
        <p>{t('home.done.knowHint')}</p>
        <ul>
          {facts.map((fact) => (
            <li key={fact.id}>
              <Link href={`/my/check/${fact.id}?from=answers`}>{fact.ask[locale]}</Link>
            </li>
          ))}
        </ul>
      </Section>
    </div>
  )
}

function Helps({ view, locale, screening, t }: Props) {
  const openers = screening.openers.slice(0, OPENERS_SHOWN)
  if (openers.length === 0 || view.disposition !== screening.disposition) return null
  const isByVideo = view.disposition === 'video_with_gaps'
  const say = (id: string) => view.protocol.facts.find((fact) => fact.id === id)?.change?.say[locale]
  return (
    <div className={styles.part}>
      <Section heading={t('home.done.helps')}>
        <p>{t('home.done.helpsLead')}</p>
        <ul>
          {openers.map(({ facts, opens }) => (
            <li key={facts.join()}>
              {facts.map(say).join(' ')} {t('home.done.helpsVideo', { n: isByVideo ? opens.length : 0 })}
            </li>
          ))}
        </ul>
      </Section>
    </div>
  )
}
