import { describe, expect, test } from 'vitest'
import { type Actor, ROLES } from '#lib/domain/access/actor.ts'
import { ACTIONS, type Action, MATRIX, may, PARTIES, type Party } from '#lib/domain/access/policy.ts'

const own = { clinicId: 'cli_1', referralId: 'ref_1', clinicianId: 'cln_1' }
const ofAnother = { clinicId: 'cli_1', referralId: 'ref_2', clinicianId: 'cln_2' }

function actor(party: Party): Actor {
  if (party === 'patient') return { kind: 'patient', clinicId: 'cli_1', id: 'pat_1', referralId: 'ref_1' }
  if (party === 'system') return { kind: 'system', clinicId: 'cli_1', id: 'system' }
  return {
    kind: 'staff',
    clinicId: 'cli_1',
    id: 'usr_1',
    role: party,
    clinicianId: party === 'clinician' ? 'cln_1' : null,
  }
}

const everyPair = ACTIONS.flatMap((action) => PARTIES.map((party) => [action, party] as const))

describe('the matrix', () => {
  test('knows every action and every party', () => {
    expect(Object.keys(MATRIX)).toEqual([...ACTIONS])
    for (const row of Object.values(MATRIX)) expect(Object.keys(row)).toEqual([...PARTIES])
  })

  test.each(everyPair)('%s by %s is answered as it is written down', (action, party) => {
    const scope = MATRIX[action][party]
    expect(may(actor(party), action, own)).toBe(scope !== 'never')
    expect(may(actor(party), action, ofAnother)).toBe(scope === 'clinic')
    expect(may(actor(party), action)).toBe(scope === 'clinic')
  })

  // The written-down expectation, apart from the matrix: one column a party, in the order of PARTIES.
  const COLUMNS: Record<Action, string> = {
    'referral.read': 'c c c - o c',
    'referral.add': 'c c c - - c',
    'referral.import': 'c - - - - c',
    'referral.close': 'c c c - - -',
    'patient.edit': 'c - c - - -',
    'match.decide': 'c - c - - -',
    'triage.write': 'c c c - - c',
    'check.invite': 'c - c - - c',
    'check.answer': 'c c c - o c',
    'screening.read': 'c c c - o c',
    'screening.overrule': 'c c c - - -',
    'slot.search': 'c c c - o c',
    'visit.read': 'c c c - o c',
    'visit.book': 'c - c - o c',
    'visit.move': 'c - c - o -',
    'visit.cancel': 'c l c - o -',
    'packet.read': 'c c c - o c',
    'outcome.write': '- l c - - c',
    'no_show.write': 'c l c - - c',
    'readiness.confirm': 'c c c - o c',
    'missing.send': 'c c c - - -',
    'plan.adjust': '- c c - - -',
    'change.report': 'c c c - o c',
    'task.acknowledge': 'c c c - - -',
    'board.read': 'c c c - - -',
    'tray.read': 'c - c c - -',
    'session.write': 'c l c c - c',
    'waits.read': 'c c c c - -',
    'learning.read': 'c c c c - -',
    'learning.review': '- - c - - -',
    'feed.write': 'c l c c - -',
    'session.lose': 'c - c - - -',
    'standby.read': 'c c c - - -',
    'standby.write': 'c - c - o c',
    'offer.answer': 'c - c - o -',
    'people.write': 'c - c c - c',
    'account.write': '- - c c - -',
    'passphrase.write': 'c c c c - -',
    'place.write': 'c - c c - c',
    'protocol.read': 'c c c c - c',
    'protocol.write': '- - c - - -',
    'protocol.sign': '- - c - - -',
    'audit.read': '- - c c - -',
  }
  const LETTERS = { clinic: 'c', own_list: 'l', own_referral: 'o', never: '-' } as const
  test.each(ACTIONS)('%s is allowed to those whom the clinic wrote down', (action) => {
    expect(PARTIES.map((party) => LETTERS[MATRIX[action][party]]).join(' ')).toBe(COLUMNS[action])
  })
})

describe('above the matrix', () => {
  test.each(everyPair)('%s by %s never reaches another clinic', (action, party) => {
    expect(may(actor(party), action, { ...own, clinicId: 'cli_2' })).toBe(false)
  })

  test('a patient never sees a list', () => {
    for (const action of ACTIONS) expect(may(actor('patient'), action, { clinicId: 'cli_1' })).toBe(false)
  })

  test('a clinician without a list of their own cancels nobody’s visit', () => {
    const unlisted: Actor = { kind: 'staff', clinicId: 'cli_1', id: 'usr_1', role: 'clinician', clinicianId: null }
    expect(may(unlisted, 'visit.cancel', { clinicId: 'cli_1', clinicianId: null })).toBe(false)
  })

  test('an admin keeps accounts and sees no patient', () => {
    for (const action of ['referral.read', 'screening.read', 'visit.read', 'packet.read', 'board.read'] as const) {
      expect(may(actor('admin'), action, own)).toBe(false)
    }
  })

  test('the lead may whatever a clinician may', () => {
    for (const action of ACTIONS)
      if (may(actor('clinician'), action, own)) expect(may(actor('lead'), action, own)).toBe(true)
  })

  test('every action is somebody’s work', () => {
    for (const action of ACTIONS) expect(ROLES.some((role) => MATRIX[action][role] !== 'never')).toBe(true)
  })

  test('nobody but a person acknowledges, overrules, decides a match or signs', () => {
    for (const action of ['task.acknowledge', 'screening.overrule', 'match.decide', 'protocol.sign'] as const) {
      expect(may(actor('system'), action, own)).toBe(false)
    }
  })
})
