import type { Metadata } from 'next'
import { Actions, Button } from '#app/_ui/button.tsx'
import { FormShell } from '#app/_ui/form-shell.tsx'
import { type KeyValue, KeyValueList } from '#app/_ui/ruled.tsx'
import { Section } from '#app/_ui/section.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { isolated } from '#lib/base/plain-text.ts'
import { AREAS } from '#lib/domain/protocol/schema.ts'
import styles from '../../my.module.css'
import { answerWords, timesWords } from '../answer-words.ts'
import { type OpenCheck, openCheck } from '../open-check.ts'
import { sendAnswers } from './actions.ts'

export const metadata: Metadata = { title: null }

/** Every answer before it is sent, each with its way to change it; the same list afterwards. */
export default async function AnswersPage() {
  const open = await openCheck()
  const { view, locale, t } = open
  const areas = AREAS.map((area) => ({ area, facts: view.questions.filter((fact) => fact.area === area) }))
  return (
    <>
      <BackLink href="/my">{t('home.answers.back')}</BackLink>
      <h1>{t('home.answers.heading')}</h1>
      <p className={styles.lead}>{t(view.isFinished ? 'home.answers.leadSent' : 'home.answers.lead')}</p>
      {areas
        .filter(({ facts }) => facts.length > 0)
        .map(({ area, facts }) => (
          <Section key={area} heading={t(`home.check.area.${area}`)}>
            <KeyValueList
              changeWord={t('home.answers.change')}
              items={facts.map((fact) => ({
                name: fact.ask[locale],
                value: answerWords(fact, view.answers[fact.id], t),
                change: { href: changeOf(fact.id), what: fact.ask[locale] },
              }))}
            />
          </Section>
        ))}
      <Section heading={t('home.answers.details')}>
        <KeyValueList changeWord={t('home.answers.change')} items={detailItems(open)} />
      </Section>
      {view.isFinished ? (
        <title>{t('home.answers.title')}</title>
      ) : (
        <FormShell action={sendAnswers} title={t('home.answers.title')} problem={t('common.problem')}>
          <Actions>
            <Button>{t('home.answers.send')}</Button>
          </Actions>
        </FormShell>
      )}
    </>
  )
}

function changeOf(step: string): string {
  return `/my/check/${step}?from=answers`
}

function detailItems({ view, t }: OpenCheck): KeyValue[] {
  const { details, protocol, answers } = view
  const none = t('home.answers.notAnswered')
  const item = (name: string, value: string | null | undefined, step: 'place' | 'contact' | 'times' | 'consent') => ({
    name,
    value: value ?? none,
    change: { href: changeOf(step), what: t(`home.${step}.change`) },
  })
  const times = (windows: NonNullable<typeof details>['patientWindows']) =>
    details?.timesAnsweredAt ? timesWords(windows, t) : none
  return [
    item(
      t('home.place.title'),
      details?.placeAddress && details.placeState && `${details.placeAddress}, ${details.placeState}`,
      'place',
    ),
    item(t('home.contact.callback'), details?.callbackPhone, 'contact'),
    item(
      t('home.contact.name'),
      details?.contactName && details.contactPhone && `${isolated(details.contactName)}, ${details.contactPhone}`,
      'contact',
    ),
    item(t('home.times.title'), times(details?.patientWindows ?? []), 'times'),
    ...(details?.helperName && answers[protocol.helperFact] !== false
      ? [
          item(
            t('home.times.helperTitle', { name: isolated(details.helperName) }),
            times(details.helperWindows),
            'times' as const,
          ),
        ]
      : []),
    ...(view.needsConsent
      ? [item(t('home.consent.title'), details?.consentedAt ? t('common.yes') : null, 'consent' as const)]
      : []),
  ]
}
