/** The home check as the coordinator fills it in with the patient on the phone, and the link that lets the patient do it. */
import type { Metadata } from 'next'
import Link from 'next/link'
import { notFound } from 'next/navigation'
import { staffContext } from '#app/_server/staff-page.ts'
import { Actions, Button } from '#app/_ui/button.tsx'
import { DoneNotice } from '#app/_ui/done-notice.tsx'
import { FormShell } from '#app/_ui/form-shell.tsx'
import { Notice } from '#app/_ui/notice.tsx'
import { Opener } from '#app/_ui/opener.tsx'
import { Section, Split } from '#app/_ui/section.tsx'
import { TimeText } from '#app/_ui/time-text.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { may } from '#lib/domain/access/policy.ts'
import { DETAIL_STEPS } from '#lib/domain/home/details.ts'
import { whyNotInvited } from '#lib/domain/home/invitation.ts'
import { AREAS, FLAG_LEVELS } from '#lib/domain/protocol/schema.ts'
import { type HomeCheckView, readHomeCheck } from '#lib/usecases/read-home-check.ts'
import { AREA_WORDS, FLAG_LEVEL_WORDS } from '../../words.ts'
import { invite, saveCheck } from './actions.ts'
import { DetailGroup } from './detail-group.tsx'
import { QuestionLine } from './question-line.tsx'
import { DETAIL_WORDS, NO_INVITATION_WORDS } from './words.ts'

export const metadata: Metadata = { title: 'Home check' }

const DONE = {
  saved: 'Saved.',
  finished: 'The home check is finished and screened.',
  invited: 'The link is on its way to the patient.',
} as const

export default async function StaffCheckPage({ params, searchParams }: PageProps<'/referrals/[id]/check'>) {
  const ctx = await staffContext('check.answer')
  const { id: referralId } = await params
  const { done } = await searchParams
  const result = await readHomeCheck(ctx, { referralId })
  const back = <BackLink href={`/referrals/${referralId}`}>Referral</BackLink>
  if (!result.ok) {
    if (result.error.code === 'referral_not_found') notFound()
    return (
      <>
        {back}
        <Opener kicker="Home check">This referral is not triaged yet, so nothing can be asked.</Opener>
        <p>
          What is asked at home depends on what is suspected.{' '}
          <Link href={`/referrals/${referralId}/triage`}>Triage it first</Link>.
        </p>
      </>
    )
  }
  const view = result.value
  const { timeZone } = view
  return (
    <>
      {back}
      <Opener kicker="Home check">
        <Sentence view={view} />
      </Opener>
      <DoneNotice words={DONE} done={done}>
        {done === 'finished' && (
          <p>
            <Link href={`/referrals/${referralId}/screening`}>See what was decided</Link>
          </p>
        )}
      </DoneNotice>
      {/* Saving an answer that raises a sign leads here, however far down the form it stands. */}
      <div id="say">
        <Raised view={view} />
      </div>
      <Split
        beside={
          <>
            <Section heading="Send it to the patient">
              <Invitation view={view} mayInvite={may(ctx.actor, 'check.invite')} timeZone={timeZone} />
            </Section>
            <Section heading="How it stands">
              <Standing view={view} timeZone={timeZone} />
            </Section>
          </>
        }
      >
        {view.stage === 'closed' ? (
          <p>The referral is closed, so its home check can no longer be changed.</p>
        ) : (
          <FormShell action={saveCheck.bind(null, referralId)}>
            <Questions view={view} />
            {DETAIL_STEPS.map((step) => (
              <Section key={step} heading={DETAIL_WORDS[step].heading} id={view.next === step ? 'open' : undefined}>
                <DetailGroup step={step} view={view} />
              </Section>
            ))}
            <Actions>
              <Button name="deed" value="save">
                Save what is filled in
              </Button>
              <Button look="plain" name="deed" value="finish">
                Save and finish
              </Button>
            </Actions>
          </FormShell>
        )}
      </Split>
    </>
  )
}

function Sentence({ view }: { view: HomeCheckView }) {
  const { questions, answers, patient, next, isFinished } = view
  const known = questions.filter(({ id }) => answers[id] !== undefined).length
  return (
    <>
      {patient.givenName} {patient.familyName}: {known} of {questions.length} questions answered
      {isFinished && next === null ? ', and finished.' : next === null ? ', nothing is open. ' : '. '}
      {next !== null && (
        <>
          Go to <a href="#open">the first open one</a>.
        </>
      )}
      {next === null && !isFinished && 'Finish it to have it screened.'}
    </>
  )
}

/** Signs that were raised, gravest first, with the words to say. */
function Raised({ view: { raised, isHelpNeeded, referralId } }: { view: HomeCheckView }) {
  const grave = raised.filter(({ level }) => isHelpNeeded === (level === 'emergency'))
  if (grave.length === 0 && !isHelpNeeded) return null
  const sorted = [...grave].sort((a, b) => FLAG_LEVELS.indexOf(a.level) - FLAG_LEVELS.indexOf(b.level))
  return (
    <Notice
      kind={isHelpNeeded ? 'emergency' : 'urgent'}
      heading={isHelpNeeded ? 'Stop asking. Say this to the patient now' : 'Say this to the patient'}
    >
      {sorted.map((flag) => (
        <p key={flag.id}>
          “{flag.advice.en}” ({flag.title}, {FLAG_LEVEL_WORDS[flag.level]})
        </p>
      ))}
      {isHelpNeeded && (
        <p>
          Then write down what was said on <Link href={`/referrals/${referralId}#call`}>the referral</Link>. Nothing can
          be finished, sent or booked before that.
        </p>
      )}
    </Notice>
  )
}

function Invitation({ view, mayInvite, timeZone }: { view: HomeCheckView; mayInvite: boolean; timeZone: string }) {
  const { referralId, details, patient, isFinished } = view
  const why = whyNotInvited({ ...view, ...patient, isFinished })
  const sent = details?.invitedAt && (
    <p>
      A link was sent: <TimeText at={details.invitedAt} timeZone={timeZone} />.
    </p>
  )
  if (why !== null) {
    return (
      <>
        {sent}
        <p>{NO_INVITATION_WORDS[why]}</p>
        {(why === 'no_email' || why === 'no_birth_date') && (
          <p>
            <Link href={`/referrals/${referralId}/patient`}>Fill in the patient’s details</Link>
          </p>
        )}
      </>
    )
  }
  if (!mayInvite) return sent || <p>No link was sent yet. The coordinator sends it.</p>
  return (
    <>
      {sent}
      <p>A personal link goes to {patient.email}. It opens with the date of birth.</p>
      <form action={invite.bind(null, referralId)}>
        <Actions>
          <Button look="plain">{details?.invitedAt ? 'Send a new link' : 'Send the link'}</Button>
        </Actions>
      </form>
    </>
  )
}

function Standing({ view: { details, isFinished, referralId }, timeZone }: { view: HomeCheckView; timeZone: string }) {
  if (!details?.startedAt) return <p>Nobody has answered anything yet.</p>
  return (
    <>
      <p>
        Started: <TimeText at={details.startedAt} timeZone={timeZone} />.
      </p>
      {isFinished && details.finishedAt ? (
        <p>
          Finished: <TimeText at={details.finishedAt} timeZone={timeZone} />. A change from now on is screened as soon
          as it is saved. <Link href={`/referrals/${referralId}/screening`}>Screening</Link>
        </p>
      ) : (
        <p>Not finished yet.</p>
      )}
    </>
  )
}

function Questions({ view }: { view: HomeCheckView }) {
  return AREAS.map((area) => {
    const facts = view.questions.filter((fact) => fact.area === area)
    if (facts.length === 0) return null
    return (
      <Section key={area} heading={AREA_WORDS[area]}>
        {facts.map((fact) => (
          <QuestionLine key={fact.id} fact={fact} answer={view.answers[fact.id]} isFirstOpen={view.next === fact.id} />
        ))}
      </Section>
    )
  })
}
