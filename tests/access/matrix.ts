/**
 * Who may come in where: written down by hand, once more, beside the code that decides it. Every page, handler and action
 * of the app has a row, also those for everybody; one without a row fails `tests/app/access-matrix.test.ts`, and
 * `tests/e2e/access.spec.ts` knocks at every door as everybody.
 */
import type { Role } from '#lib/domain/access/actor.ts'

/**
 * everybody: also somebody unknown. patient: whoever opened a personal link with the right date of birth, and then only
 * their own. A list of roles: these members of staff.
 */
export type Who = 'everybody' | 'patient' | readonly Role[]

const STAFF: readonly Role[] = ['coordinator', 'clinician', 'lead', 'admin']
/** Everybody who treats or arranges. An admin keeps accounts and needs no patient's record. */
const CARE: readonly Role[] = ['coordinator', 'clinician', 'lead']
const ARRANGE: readonly Role[] = ['coordinator', 'lead']
const DESK: readonly Role[] = ['coordinator']
/** Whoever keeps the clinic's people, places and calendar. A clinician keeps their own sessions alone. */
const KEEP: readonly Role[] = ['coordinator', 'lead', 'admin']
/** Who answers for how patients are examined. */
const LEAD: readonly Role[] = ['lead']
const ACCOUNTS: readonly Role[] = ['lead', 'admin']

export const PAGES: Record<string, Who> = {
  'GET /': 'everybody',
  'GET /sign-in': 'everybody',
  'GET /not-allowed': STAFF,
  'GET /desk': CARE,
  'GET /board': CARE,
  'GET /visits/[id]': CARE,
  'GET /visits/[id]/run': CARE,
  'GET /visits/[id]/after': CARE,
  'GET /referrals/new': CARE,
  'GET /referrals/import': DESK,
  'GET /referrals/import/[id]': DESK,
  'GET /referrals/[id]': CARE,
  'GET /referrals/[id]/patient': ARRANGE,
  'GET /referrals/[id]/triage': CARE,
  'GET /referrals/[id]/check': CARE,
  'GET /referrals/[id]/screening': CARE,
  'GET /referrals/[id]/book': CARE,
  'GET /referrals/[id]/read-out': CARE,
  'GET /clinic/calendar': STAFF,
  'GET /clinic/waits': STAFF,
  'GET /clinic/learning': STAFF,
  'GET /clinic/learning/[topic]': STAFF,
  'GET /clinic/sessions/[id]/lost': ARRANGE,
  'GET /clinic/standby': CARE,
  'GET /tray': ['coordinator', 'lead', 'admin'],
  'GET /tray/[id]': ['coordinator', 'lead', 'admin'],
  'GET /clinic': STAFF,
  'GET /clinic/sessions': STAFF,
  'GET /clinic/sessions/new': STAFF,
  'GET /clinic/sessions/[id]': STAFF,
  'GET /clinic/sessions/[id]/change': STAFF,
  'GET /clinic/people': KEEP,
  'GET /clinic/people/[kind]/[id]': KEEP,
  'GET /clinic/places': KEEP,
  'GET /clinic/places/[id]': KEEP,
  'GET /clinic/holidays': KEEP,
  'GET /clinic/accounts': ACCOUNTS,
  'GET /clinic/accounts/[id]': ACCOUNTS,
  'GET /clinic/passphrase': STAFF,
  'GET /clinic/protocol': STAFF,
  'GET /clinic/protocol/[id]/[version]': STAFF,
  'GET /clinic/protocol/[id]/[version]/[part]': STAFF,
  'GET /clinic/protocol/[id]/[version]/[part]/[thing]': STAFF,
  'GET /clinic/protocol/[id]/[version]/changes': STAFF,
  // It names patients.
  'GET /clinic/protocol/[id]/[version]/effect': CARE,
  'GET /clinic/protocol/[id]/[version]/sign': LEAD,

  'GET /go/[clinic]/[token]': 'everybody',
  'GET /link-needed': 'everybody',
  'GET /too-long': 'everybody',
  'GET /my': 'patient',
  'GET /my/check': 'patient',
  'GET /my/check/[step]': 'patient',
  'GET /my/check/answers': 'patient',
  'GET /my/check/done': 'patient',
  'GET /my/check/passed-on': 'patient',
  'GET /my/stop': 'patient',
  'GET /my/book': 'patient',
  'GET /my/visit': 'patient',
  'GET /my/offer': 'patient',
  'GET /my/packet': 'patient',
  'GET /my/rehearsal': 'patient',
  'GET /my/change': 'patient',
  'GET /my/change/symptoms': 'patient',
}

export const HANDLERS: Record<string, Who> = {
  // The clinician of the visit, and the lead.
  'POST /visits/[id]/run/entries': ['clinician', 'lead'],
  'GET /visits/[id]/note/[form]': CARE,
  'GET /clinic/waits.csv': STAFF,
  'GET /clinic/learning/[topic]/[table]': STAFF,
  'GET /clinic/protocol/[id]/[version]/document.json': STAFF,
  'GET /sign-in/organisation': 'everybody',
  'GET /api/auth/callback/sso': 'everybody',
  'GET /api/keep-alive': STAFF,
  'GET /api/line': 'patient',
  // A stream that only says that something changed.
  'GET /api/board': CARE,
  'GET /api/board-changes': CARE,
  'POST /api/keep-alive': STAFF,
  'POST /api/imports': DESK,
  'GET /referrals/import/template.csv': DESK,
  // The address is the secret; an unknown one is told nothing.
  'GET /feeds/[clinic]/[token]': 'everybody',
  'GET /my/packet.pdf': 'patient',
  'GET /referrals/[id]/packet.pdf': CARE,
  'GET /tray/[id]/mail': ['coordinator', 'lead', 'admin'],
}

export const ACTIONS: Record<string, Who> = {
  'app/sign-in/actions.ts signIn': 'everybody',
  // Whoever is signed out already is signed out again, and told so.
  'app/(staff)/session-actions.ts signOut': 'everybody',
  'app/(staff)/referrals/new/actions.ts addTyped': CARE,
  'app/(staff)/referrals/[id]/actions.ts endTask': CARE,
  'app/(staff)/referrals/[id]/actions.ts decide': ARRANGE,
  'app/(staff)/referrals/[id]/actions.ts close': CARE,
  'app/(staff)/referrals/[id]/actions.ts reopen': CARE,
  'app/(staff)/referrals/[id]/patient/actions.ts saveDetails': ARRANGE,
  'app/(staff)/referrals/[id]/triage/actions.ts saveTriaged': CARE,
  'app/(staff)/referrals/[id]/check/actions.ts invite': ARRANGE,
  'app/(staff)/referrals/[id]/check/actions.ts saveCheck': CARE,
  'app/(staff)/referrals/[id]/screening/actions.ts overrule': CARE,
  'app/(staff)/referrals/[id]/book/actions.ts takeStart': ARRANGE,
  'app/(staff)/referrals/[id]/book/actions.ts bookHeld': ARRANGE,
  'app/(staff)/referrals/[id]/book/actions.ts letGo': ARRANGE,
  'app/(staff)/referrals/[id]/book/actions.ts moveBooked': ARRANGE,
  // A clinician may cancel the visits of their own list.
  'app/(staff)/referrals/[id]/book/actions.ts cancelBooked': CARE,
  'app/(staff)/desk/actions.ts findOnPhone': CARE,
  'app/(staff)/board/actions.ts confirmByPhone': CARE,
  'app/(staff)/board/actions.ts sendAgain': CARE,
  // Which stations are done is a clinical judgement.
  'app/(staff)/board/actions.ts changePlan': ['clinician', 'lead'],
  'app/(staff)/board/actions.ts moveIn': CARE,
  'app/(staff)/visits/[id]/actions.ts noteByPhone': CARE,
  'app/(staff)/visits/[id]/run/actions.ts writeEntry': ['clinician', 'lead'],
  'app/(staff)/visits/[id]/after/actions.ts sign': ['clinician', 'lead'],
  'app/(staff)/visits/[id]/after/actions.ts addToRecord': ['clinician', 'lead'],
  'app/(staff)/visits/[id]/after/actions.ts noteNoShow': CARE,
  'app/(staff)/visits/[id]/actions.ts noteHelperLost': CARE,
  'app/(staff)/visits/[id]/actions.ts settleTask': CARE,
  'app/(staff)/clinic/sessions/[id]/lost/actions.ts approve': ARRANGE,
  'app/(staff)/clinic/standby/actions.ts putOnList': ARRANGE,
  'app/(staff)/clinic/standby/actions.ts takeOff': ARRANGE,
  'app/(staff)/clinic/standby/actions.ts answerFor': ARRANGE,

  // A clinician may make and take back the address of their own calendar.
  'app/(staff)/clinic/calendar/actions.ts makeAddress': STAFF,
  'app/(staff)/clinic/calendar/actions.ts takeBack': STAFF,
  'app/(staff)/clinic/sessions/actions.ts keepSession': STAFF,
  'app/(staff)/clinic/sessions/[id]/actions.ts pauseOrResume': STAFF,
  'app/(staff)/clinic/sessions/[id]/actions.ts endIt': STAFF,
  'app/(staff)/clinic/sessions/[id]/actions.ts changeDate': STAFF,
  'app/(staff)/clinic/sessions/[id]/actions.ts followRule': STAFF,
  'app/(staff)/clinic/accounts/[id]/actions.ts keepAccount': ACCOUNTS,
  'app/(staff)/clinic/accounts/[id]/actions.ts standAccount': ACCOUNTS,
  'app/(staff)/clinic/passphrase/actions.ts renewPassphrase': STAFF,
  // A clinical judgement on a way of examining.
  'app/(staff)/clinic/learning/actions.ts noteReview': ['lead'],
  'app/(staff)/clinic/protocol/actions.ts beginDraft': LEAD,
  'app/(staff)/clinic/protocol/[id]/[version]/actions.ts keepThing': LEAD,
  'app/(staff)/clinic/protocol/[id]/[version]/actions.ts retire': LEAD,
  'app/(staff)/clinic/protocol/[id]/[version]/actions.ts takeBack': LEAD,
  'app/(staff)/clinic/protocol/[id]/[version]/actions.ts bringIn': LEAD,
  'app/(staff)/clinic/protocol/[id]/[version]/actions.ts drop': LEAD,
  'app/(staff)/clinic/protocol/[id]/[version]/actions.ts sign': LEAD,
  'app/(staff)/clinic/people/[kind]/[id]/actions.ts keepPerson': KEEP,
  'app/(staff)/clinic/people/[kind]/[id]/actions.ts standPerson': KEEP,
  'app/(staff)/clinic/people/[kind]/[id]/actions.ts keepLicence': KEEP,
  'app/(staff)/clinic/people/[kind]/[id]/actions.ts takeLicenceAway': KEEP,
  'app/(staff)/clinic/places/[id]/actions.ts keepSite': KEEP,
  'app/(staff)/clinic/places/[id]/actions.ts standSite': KEEP,
  'app/(staff)/clinic/places/[id]/actions.ts keepRoom': KEEP,
  'app/(staff)/clinic/places/[id]/actions.ts standRoom': KEEP,
  'app/(staff)/clinic/holidays/actions.ts addHoliday': KEEP,
  'app/(staff)/clinic/holidays/actions.ts changeHoliday': KEEP,
  'app/(staff)/clinic/holidays/actions.ts takeOff': KEEP,
  'app/(staff)/clinic/holidays/actions.ts addFederal': KEEP,

  'app/(patient)/session-actions.ts closeMyPage': 'everybody',
  // Opened by the date of birth that it asks for.
  'app/(patient)/go/[clinic]/[token]/actions.ts openMyPage': 'everybody',
  'app/(patient)/my/check/[step]/actions.ts saveAnswer': 'patient',
  'app/(patient)/my/check/[step]/actions.ts saveDetails': 'patient',
  'app/(patient)/my/check/answers/actions.ts sendAnswers': 'patient',
  'app/(patient)/my/book/actions.ts keepTime': 'patient',
  'app/(patient)/my/book/actions.ts bookKept': 'patient',
  'app/(patient)/my/book/actions.ts letGo': 'patient',
  'app/(patient)/my/book/actions.ts moveMine': 'patient',
  'app/(patient)/my/book/actions.ts cancelMine': 'patient',
  'app/(patient)/my/visit/actions.ts confirm': 'patient',
  'app/(patient)/my/visit/actions.ts joinList': 'patient',
  'app/(patient)/my/visit/actions.ts leaveList': 'patient',
  'app/(patient)/my/offer/actions.ts answerMine': 'patient',
  'app/(patient)/my/rehearsal/actions.ts keepReadings': 'patient',
  'app/(patient)/my/change/actions.ts tellHelperLost': 'patient',
  'app/(patient)/my/change/actions.ts tellSymptoms': 'patient',
}
