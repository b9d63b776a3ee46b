/**
 * The camera rehearsal: what the phone must see in this patient's own set-ups, and what could be better. It is offered,
 * never required; without a script, a camera or the wish the way on is the same.
 */
import { currentPatientOrLink, patientContext } from '#app/_server/patient-page.ts'
import { Actions, ButtonLink } from '#app/_ui/button.tsx'
import { Section } from '#app/_ui/section.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { invariant } from '#lib/base/invariant.ts'
import type { SetUpGeometry } from '#lib/domain/geometry/set-up-geometry.ts'
import type { Locale } from '#lib/domain/protocol/schema.ts'
import { ADVICE, type Advice, heightInPicture } from '#lib/domain/rehearsal/advice.ts'
import { readRehearsal } from '#lib/usecases/read-rehearsal.ts'
import { distanceWords, heightWords } from '#lib/words/set-up-words.ts'
import { type Words, wordsFor } from '#lib/words/words.ts'
import { keepReadings } from './actions.ts'
import type { Guide } from './camera-guide.tsx'
import { CameraRehearsal, type RehearsalWords } from './camera-rehearsal.tsx'

export default async function RehearsalPage() {
  const ctx = await patientContext()
  const { language } = await currentPatientOrLink()
  const t = wordsFor(language)
  const result = await readRehearsal(ctx, { referralId: ctx.actor.referralId })
  invariant(result.ok, 'a patient may read their own plan')
  const { setUps, tried } = result.value
  if (setUps.length === 0)
    return (
      <>
        <title>{t('rehearsal.title')}</title>
        <BackLink href="/my">{t('common.back')}</BackLink>
        <h1>{t('rehearsal.none.title')}</h1>
        <p>{t('rehearsal.none.body')}</p>
      </>
    )
  const titleOf = (id: string) => setUps.find(({ setUpId }) => setUpId === id)?.title[language]
  return (
    <>
      <title>{t('rehearsal.title')}</title>
      <BackLink href="/my">{t('common.back')}</BackLink>
      <h1>{t('rehearsal.heading')}</h1>
      <p>{t('rehearsal.lead')}</p>
      <p>{t('rehearsal.private')}</p>
      <noscript>
        <p>{t('rehearsal.noScript')}</p>
      </noscript>
      <CameraRehearsal
        setUps={setUps.map((setUp) => guideOf(setUp, language, t))}
        words={wordsOf(t)}
        keep={keepReadings}
      />
      {tried.length > 0 && (
        <Section heading={t('rehearsal.earlier')}>
          <ul>
            {tried.map(({ setUpId, advice }) => (
              <li key={setUpId}>
                {advice.length === 0
                  ? t('rehearsal.earlierGood', { setUp: titleOf(setUpId) ?? '' })
                  : t('rehearsal.earlierMend', { setUp: titleOf(setUpId) ?? '', count: advice.length })}
              </li>
            ))}
          </ul>
        </Section>
      )}
      <Actions>
        <ButtonLink href="/my">{t('rehearsal.result.next')}</ButtonLink>
      </Actions>
    </>
  )
}

/** The lines lie where a level camera at its place sees the floor and the top of what must be in view. */
function guideOf({ setUpId, title, camera, standOffCm, seen }: SetUpGeometry, locale: Locale, t: Words): Guide {
  const { handheld, orientation, heightCm, view } = camera
  const from = { heightCm, verticalDeg: view.verticalDeg, distanceCm: standOffCm }
  const turn = t(`rehearsal.guide.${orientation}`)
  const place = handheld
    ? t('rehearsal.guide.held', { height: heightWords(heightCm) })
    : t('rehearsal.guide.level', { height: heightWords(heightCm), distance: distanceWords(standOffCm) })
  return {
    id: setUpId,
    title: title[locale],
    orientation,
    instructions: `${turn} ${place}`,
    labels: {
      top: t('rehearsal.guide.top'),
      floor: t('rehearsal.guide.floor'),
      feet: t('rehearsal.guide.feet'),
    },
    lines: handheld
      ? null
      : { top: Math.max(heightInPicture(seen.upToCm, from), 0.02), floor: heightInPicture(seen.fromCm, from) },
  }
}

function wordsOf(t: Words): RehearsalWords {
  return {
    which: t('rehearsal.which'),
    start: t('rehearsal.start'),
    starting: t('rehearsal.starting'),
    other: t('rehearsal.other'),
    stop: t('rehearsal.stop'),
    check: t('rehearsal.check'),
    checking: t('rehearsal.checking'),
    picture: t('rehearsal.picture'),
    good: t('rehearsal.result.good'),
    mend: t('rehearsal.result.mend'),
    saved: t('rehearsal.result.saved'),
    notSaved: t('rehearsal.result.notSaved'),
    again: t('rehearsal.result.again'),
    denied: t('rehearsal.denied'),
    missing: t('rehearsal.missing'),
    failed: t('rehearsal.failed'),
    advice: Object.fromEntries(ADVICE.map((each) => [each, t(`rehearsal.advice.${each}`)])) as Record<Advice, string>,
  }
}
