import { readFileSync } from 'node:fs'
import { describe, expect, test } from 'vitest'
import { Temporal } from '#lib/base/time.ts'
import { readReferralBundle } from '#lib/domain/intake/fhir.ts'
import { missingFrom } from '#lib/domain/intake/referral-draft.ts'

const today = Temporal.PlainDate.from('2026-11-25')
const base = 'https://records.example.org/fhir/'

const patient = {
  resourceType: 'Patient',
  id: 'p1',
  name: [{ use: 'official', family: 'Mockingham', given: ['Ottoline', 'Rae'] }],
  telecom: [{ system: 'phone', value: '303-555-0131' }],
  birthDate: '1959-02-11',
  address: [{ state: 'CO' }],
}
const request = {
  resourceType: 'ServiceRequest',
  id: 'r1',
  status: 'active',
  intent: 'order',
  subject: { reference: 'Patient/p1' },
  authoredOn: '2026-11-12T09:30:00-07:00',
  reasonCode: [{ text: 'Ankle pain' }],
}

type Json = Record<string, unknown>
const bytes = (json: unknown): Uint8Array => new TextEncoder().encode(JSON.stringify(json))
const bundle = (...resources: Json[]): Json => ({
  resourceType: 'Bundle',
  type: 'collection',
  entry: resources.map((resource) => ({ fullUrl: `${base}${resource.resourceType}/${resource.id}`, resource })),
})
const read = (json: unknown) => readReferralBundle(bytes(json), today)
const draftOf = (...resources: Json[]) => {
  const file = read(bundle(...resources))
  expect(file.faults).toEqual([])
  return file.drafts[0]?.draft
}

describe('a Bundle becomes referrals', () => {
  test('the sample file comes in whole: sides where they are told, questions where they are not', () => {
    const file = readReferralBundle(readFileSync('seed/samples/referrals.fhir.json'), today)
    expect(file.faults).toEqual([])
    expect(file.drafts.map(({ line, draft }) => [line, draft.familyName, draft.side, missingFrom(draft)])).toEqual([
      [5, 'Mockingham', 'left', []],
      [8, 'Ficticio Prueba', 'right', []],
      [10, 'Testwick', 'both', []],
      [13, 'Placeholder', null, ['side', 'time_zone']],
    ])
    expect(file.drafts[1]?.draft).toMatchObject({
      language: 'es',
      interpreterLanguage: 'es',
      priority: 'urgent',
      icd10: ['S93.401A'],
    })
    expect(file.drafts[3]?.draft).toMatchObject({ language: 'en', interpreterLanguage: 'vi' })
  })

  test.each<[string, Json, Json]>([
    ['given names are joined', {}, { givenName: 'Ottoline Rae', familyName: 'Mockingham' }],
    [
      'the official name comes before the usual one',
      { name: [{ use: 'usual', family: 'M', given: ['O'] }, ...patient.name] },
      { familyName: 'Mockingham' },
    ],
    ['a year of birth alone is asked for', { birthDate: '1959' }, { birthDate: null }],
    [
      'the preferred number that can be dialled is taken',
      {
        telecom: [
          { system: 'phone', value: '303-555-0199', rank: 2 },
          { system: 'phone', value: '303-555-0198', rank: 1 },
          { system: 'phone', value: '12', rank: 0 },
        ],
      },
      { phone: '+13035550198' },
    ],
    [
      'an old number is not taken',
      { telecom: [{ system: 'phone', value: '303-555-0199', use: 'old' }] },
      { phone: null },
    ],
    [
      'a three-letter language tag is understood',
      { communication: [{ language: { coding: [{ code: 'spa' }] } }] },
      { language: 'es', interpreterLanguage: null },
    ],
    [
      'an interpreter who is not wanted is not booked',
      {
        communication: [{ language: { coding: [{ code: 'vi' }] } }],
        extension: [
          { url: 'http://hl7.org/fhir/StructureDefinition/patient-interpreterRequired', valueBoolean: false },
        ],
      },
      { interpreterLanguage: null },
    ],
  ])('%s', (_name, change, expected) => {
    expect(draftOf({ ...patient, ...change }, request)).toMatchObject(expected)
  })

  test.each<[string, Json, Json]>([
    ['the day it was written is the day', {}, { receivedOn: '2026-11-12' }],
    ['a sender already in tomorrow', { authoredOn: '2026-11-26T02:00:00Z' }, { receivedOn: '2026-11-25' }],
    [
      'the number keeps its system, so that two senders never meet',
      { identifier: [{ system: 'urn:a', value: '7' }] },
      { externalId: 'urn:a|7' },
    ],
    [
      'a note is the referrer’s own words and comes first',
      { note: [{ text: 'Please see soon.' }] },
      { reason: 'Please see soon.\nAnkle pain' },
    ],
    ['the side is read from the body site', { bodySite: [{ text: 'Tobillo derecho' }] }, { side: 'right' }],
    [
      'two sites that disagree are asked about',
      { bodySite: [{ text: 'Left ankle' }, { text: 'Right ankle' }] },
      { side: null },
    ],
    [
      'a site that disagrees with the reason is asked about',
      { bodySite: [{ text: 'Left ankle' }], reasonCode: [{ text: 'Right ankle pain' }] },
      { side: null },
    ],
    ['the side is never read from a note', { note: [{ text: 'Left home early.' }] }, { side: null }],
    ['urgency is taken as it is', { priority: 'stat' }, { priority: 'stat' }],
    [
      'codes of other systems are not read',
      { reasonCode: [{ text: 'x', coding: [{ system: 'http://example.org/codes', code: 'M76.821' }] }] },
      { icd10: [] },
    ],
  ])('%s', (_name, change, expected) => {
    expect(draftOf(patient, { ...request, ...change })).toMatchObject(expected)
  })

  test.each<[string, string]>([
    ['by type and id', 'Patient/p1'],
    ['by full address', `${base}Patient/p1`],
    ['with a version', 'Patient/p1/_history/3'],
  ])('the patient is found %s', (_name, reference) => {
    expect(draftOf(patient, { ...request, subject: { reference } })).toMatchObject({ familyName: 'Mockingham' })
  })

  test('two patients with one id on two servers are told apart by their address', () => {
    const other = { ...patient, name: [{ family: 'Other', given: ['O'] }] }
    const entry = [
      { fullUrl: 'https://other.example.org/fhir/Patient/p1', resource: other },
      { fullUrl: `${base}Patient/p1`, resource: patient },
      { fullUrl: `${base}ServiceRequest/r1`, resource: request },
    ]
    expect(read({ resourceType: 'Bundle', type: 'collection', entry }).drafts[0]?.draft.familyName).toBe('Mockingham')
  })

  test('one request with its patient inside is enough', () => {
    const file = read({ ...request, subject: { reference: '#p1' }, contained: [patient] })
    expect(file.drafts).toMatchObject([{ line: 1, draft: { familyName: 'Mockingham' } }])
  })

  test('the side is read from a code only by the conditions’ own lists', () => {
    const coded = {
      ...request,
      reasonCode: [{ text: 'Instability', coding: [{ system: 'http://hl7.org/fhir/sid/icd-10-cm', code: 'M25.373' }] }],
    }
    const instability = { icd10: { left: ['M25.372'], right: ['M25.371'], both: [], unspecified: ['M25.373'] } }
    const sideOf = (code: string) => {
      coded.reasonCode[0]?.coding.forEach((one) => {
        one.code = code
      })
      return readReferralBundle(bytes(bundle(patient, coded)), today, [instability]).drafts[0]?.draft.side
    }
    // ICD-10-CM FY2024: .371 right, .372 left, .373 unspecified.
    expect([sideOf('M25.371'), sideOf('M25.372'), sideOf('M25.373')]).toEqual(['right', 'left', null])
  })

  test('a condition that was refuted tells neither reason nor side', () => {
    const refuted = {
      resourceType: 'Condition',
      id: 'c1',
      verificationStatus: { coding: [{ code: 'refuted' }] },
      code: { text: 'Left ankle fracture' },
    }
    const draft = draftOf(patient, refuted, { ...request, reasonReference: [{ reference: 'Condition/c1' }] })
    expect(draft).toMatchObject({ side: null, reason: 'Ankle pain' })
  })
})

describe('what cannot be read says why, and where', () => {
  test.each<[string, Json, Json, string]>([
    ['no patient in the file', patient, { subject: { reference: 'Patient/p2' } }, 'ServiceRequest.subject'],
    ['a group as the subject', patient, { subject: { reference: 'Group/g1' } }, 'ServiceRequest.subject'],
    ['a completed request', patient, { status: 'completed' }, 'ServiceRequest.status'],
    ['a request entered in error', patient, { status: 'entered-in-error' }, 'ServiceRequest.status'],
    ['a request not to do something', patient, { doNotPerform: true }, 'ServiceRequest.doNotPerform'],
    [
      'a modifier that we cannot read',
      patient,
      { modifierExtension: [{ url: 'urn:x' }] },
      'ServiceRequest.modifierExtension',
    ],
    ['the shape of R5', patient, { reason: [{ concept: { text: 'x' } }] }, 'ServiceRequest.reason'],
    ['a patient who has died', { ...patient, deceasedDateTime: '2026-01-01' }, {}, 'Patient.deceased'],
    ['no family name', { ...patient, name: [{ text: 'Ottoline', given: ['Ottoline'] }] }, {}, 'Patient.name.family'],
    [
      'a number that cannot be dialled',
      { ...patient, telecom: [{ system: 'phone', value: '12' }] },
      {},
      "Patient.telecom.where(system='phone')",
    ],
    ['a name in the wrong shape', { ...patient, name: 'Ottoline' }, {}, 'Patient.name'],
    ['a reason in the wrong shape', patient, { reasonCode: [{ text: 5 }] }, 'ServiceRequest.reasonCode[0].text'],
    ['no reason at all', patient, { reasonCode: [] }, 'ServiceRequest.reasonCode'],
    ['an unknown urgency', patient, { priority: 'soon' }, 'ServiceRequest.priority'],
  ])('%s', (_name, who, change, column) => {
    const file = read(bundle(who, { ...request, ...change }))
    expect(file.drafts).toEqual([])
    expect(file.faults).toMatchObject([{ line: 2, column }])
  })

  test('one bad request keeps no good one out', () => {
    const file = read(bundle(patient, { ...request, id: 'r0', status: 'revoked' }, request))
    expect([file.drafts.map(({ line }) => line), file.faults.map(({ line }) => line)]).toEqual([[3], [2]])
  })

  test.each<[string, Uint8Array, string]>([
    ['XML', new TextEncoder().encode('<Bundle xmlns="http://hl7.org/fhir"/>'), 'XML'],
    ['JSON cut off', new TextEncoder().encode('{"resourceType":"Bundle"'), 'not JSON'],
    ['JSON that is not FHIR', bytes([1, 2]), 'not FHIR'],
    ['a request of STU3', bytes(bundle({ resourceType: 'ReferralRequest', id: 'x' })), 'older FHIR version'],
    ['no request', bytes(bundle(patient)), 'no ServiceRequest'],
    ['entries in the wrong shape', bytes({ resourceType: 'Bundle', entry: {} }), 'not shaped'],
    ['Latin-1', Uint8Array.of(0x7b, 0x22, 0xf1, 0x22, 0x7d), 'UTF-8'],
  ])('%s', (_name, content, words) => {
    const file = readReferralBundle(content, today)
    expect(file.drafts).toEqual([])
    expect(file.faults).toHaveLength(1)
    expect(file.faults[0]?.reason).toContain(words)
  })
})

test('a Bundle of 5 000 requests is read in a few seconds', { timeout: 20_000 }, () => {
  const many = Array.from({ length: 5000 }, (_, n) => [
    { ...patient, id: `p${n}` },
    { ...request, id: `r${n}`, subject: { reference: `Patient/p${n}` } },
  ]).flat()
  expect(read(bundle(...many)).drafts).toHaveLength(5000)
})
