/** A sooner time that is kept for this patient: which, instead of what, until when, and a yes or a no. */
import { notFound } from 'next/navigation'
import { z } from 'zod'
import { currentPatientOrLink, patientContext } from '#app/_server/patient-page.ts'
import { Actions, Button, ButtonLink } from '#app/_ui/button.tsx'
import { FormShell } from '#app/_ui/form-shell.tsx'
import { Notice } from '#app/_ui/notice.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { Temporal } from '#lib/base/time.ts'
import type { Locale } from '#lib/domain/protocol/schema.ts'
import { type MyOffer, type MyStandby, readMyOffer } from '#lib/usecases/read-my-offer.ts'
import { instantWords } from '#lib/words/time-words.ts'
import { type Words, wordsFor } from '#lib/words/words.ts'
import { answerMine } from './actions.ts'
import styles from './offer.module.css'

const query = z.object({ done: z.enum(['yes', 'no']).nullable().catch(null) })

export default async function MyOfferPage({ searchParams }: PageProps<'/my/offer'>) {
  const ctx = await patientContext()
  const { language } = await currentPatientOrLink()
  const t = wordsFor(language)
  const { done } = query.parse(await searchParams)
  const mine = await readMyOffer(ctx, { referralId: ctx.actor.referralId })
  if (!mine.ok) notFound()
  const { offer } = mine.value
  const said = { t, language, timeZone: offer?.timeZone ?? '' }
  if (offer?.outcome === 'live')
    return <Live offer={offer} mine={mine.value} said={said} commandKey={ctx.newId('cmd')} />
  const heading =
    done === 'yes'
      ? t('standby.offer.doneYes')
      : done === 'no'
        ? t('standby.offer.doneNo')
        : t(offer ? 'standby.offer.overTitle' : 'standby.offer.none')
  const body =
    done === 'yes'
      ? t('standby.offer.doneYesBody')
      : done === 'no'
        ? t('standby.offer.doneNoBody')
        : !offer
          ? t('standby.offer.noneBody')
          : t(mine.value.noticeHours === null ? 'standby.offer.overLeft' : 'standby.offer.over')
  return (
    <div className={styles.stack}>
      <title>{heading}</title>
      <BackLink href="/my">{t('common.back')}</BackLink>
      <h1>{heading}</h1>
      {offer && mine.value.bookedAt !== null && (
        <p className={styles.time}>{t('standby.offer.keeps', { when: when(mine.value.bookedAt, said) })}</p>
      )}
      <p>{body}</p>
      {mine.value.bookedAt !== null && (
        <Actions>
          <ButtonLink href="/my/visit" look="deed">
            {t('standby.offer.see')}
          </ButtonLink>
        </Actions>
      )}
    </div>
  )
}

type Said = { t: Words; language: Locale; timeZone: string }

function when(at: string, { timeZone, language }: Said): string {
  return instantWords(Temporal.Instant.from(at), timeZone, language)
}

type LiveProps = { offer: MyOffer; mine: MyStandby; said: Said; commandKey: string }

function Live({ offer, mine: { bookedAt }, said, commandKey }: LiveProps) {
  const { t } = said
  const { clinicianName: clinician, site, mode, interpreterName } = offer
  return (
    <div className={styles.stack}>
      <BackLink href="/my">{t('common.back')}</BackLink>
      <h1>{t('standby.offer.heading')}</h1>
      <Notice kind="note" heading={when(offer.startsAt, said)}>
        <p>
          {mode === 'video' || !site
            ? t('standby.offer.video', { clinician })
            : t('standby.offer.inPerson', { clinician, site: site.name, address: site.address })}
        </p>
        {interpreterName !== null && <p>{t('standby.offer.interpreter', { name: interpreterName })}</p>}
      </Notice>
      {bookedAt !== null && <p>{t('standby.offer.instead', { when: when(bookedAt, said) })}</p>}
      <p>{t('standby.offer.until', { when: when(offer.answerBy, said) })}</p>
      <FormShell
        action={answerMine.bind(null, offer.offerId)}
        commandKey={commandKey}
        title={t('standby.offer.title')}
        problem={t('common.problem')}
      >
        <div id="answer">
          <Actions>
            <Button name="answer" value="accept">
              {t('standby.offer.yes')}
            </Button>
            <Button look="plain" name="answer" value="decline">
              {t(bookedAt === null ? 'standby.offer.noNew' : 'standby.offer.no')}
            </Button>
          </Actions>
        </div>
      </FormShell>
    </div>
  )
}
