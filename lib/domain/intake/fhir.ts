/**
 * Which referrals does a FHIR R4 file hold? A Bundle of any type (or one
 * ServiceRequest with its patient inside) is read for ServiceRequests; each needs
 * its Patient in the same file, because nothing is ever fetched.
 *
 * FHIR lets every sender add what it likes, so only what a referral needs is
 * looked at, loosely. What changes the meaning (a modifier, "do not perform",
 * a revoked request) is never ignored. No code system but ICD-10-CM is read.
 */
import { z } from 'zod'
import { err, type Result } from '#lib/base/result.ts'
import type { Temporal } from '#lib/base/time.ts'
import type { Condition, Side } from '../protocol/schema.ts'
import { decodeText, ENCODING_FAULT_WORDS } from './decode-text.ts'
import { canonicalTag } from './language-tag.ts'
import { agreed, sideFromCodes, sideFromText } from './laterality.ts'
import { readPhone } from './phone-number.ts'
import { type DraftField, type RawReferral, type ReferralDraft, readDraft, sayDraftFault } from './referral-draft.ts'
import { type FileFault, type ReferralFile, unreadable } from './referral-file.ts'

const coding = z.looseObject({
  system: z.string().optional(),
  code: z.string().optional(),
  display: z.string().optional(),
})
const concept = z.looseObject({ coding: z.array(coding).optional(), text: z.string().optional() })
const reference = z.looseObject({ reference: z.string().optional(), display: z.string().optional() })
const identifier = z.looseObject({ system: z.string().optional(), value: z.string().optional() })
const humanName = z.looseObject({
  use: z.string().optional(),
  text: z.string().optional(),
  family: z.string().optional(),
  given: z.array(z.string()).optional(),
})
const contactPoint = z.looseObject({
  system: z.string().optional(),
  value: z.string().optional(),
  use: z.string().optional(),
  rank: z.number().optional(),
})
const address = z.looseObject({
  use: z.string().optional(),
  line: z.array(z.string()).optional(),
  city: z.string().optional(),
  state: z.string().optional(),
  postalCode: z.string().optional(),
})
const extension = z.looseObject({ url: z.string(), valueBoolean: z.boolean().optional() })

const fhirResource = z.looseObject({ resourceType: z.string(), id: z.string().optional() })
type Resource = z.output<typeof fhirResource>

const fhirServiceRequest = z.looseObject({
  identifier: z.array(identifier).optional(),
  status: z.string(),
  intent: z.string(),
  priority: z.string().optional(),
  doNotPerform: z.boolean().optional(),
  modifierExtension: z.array(z.unknown()).optional(),
  code: concept.optional(),
  subject: reference,
  authoredOn: z.string().optional(),
  requester: reference.optional(),
  reasonCode: z.array(concept).optional(),
  reasonReference: z.array(reference).optional(),
  bodySite: z.array(concept).optional(),
  note: z.array(z.looseObject({ text: z.string() })).optional(),
  contained: z.array(fhirResource).optional(),
})
type ServiceRequest = z.output<typeof fhirServiceRequest>

const fhirPatient = z.looseObject({
  name: z.array(humanName).optional(),
  telecom: z.array(contactPoint).optional(),
  birthDate: z.string().optional(),
  deceasedBoolean: z.boolean().optional(),
  deceasedDateTime: z.string().optional(),
  address: z.array(address).optional(),
  communication: z.array(z.looseObject({ language: concept, preferred: z.boolean().optional() })).optional(),
  extension: z.array(extension).optional(),
  modifierExtension: z.array(z.unknown()).optional(),
})
type Patient = z.output<typeof fhirPatient>

const fhirCondition = z.looseObject({
  code: concept.optional(),
  bodySite: z.array(concept).optional(),
  verificationStatus: concept.optional(),
  modifierExtension: z.array(z.unknown()).optional(),
})
type FhirCondition = z.output<typeof fhirCondition>
type Concept = z.output<typeof concept>

const fhirPractitioner = z.looseObject({
  name: z.array(humanName).optional(),
  telecom: z.array(contactPoint).optional(),
})

const fhirPractitionerRole = z.looseObject({
  practitioner: reference.optional(),
  telecom: z.array(contactPoint).optional(),
})

const fhirBundle = z.looseObject({
  entry: z.array(z.looseObject({ fullUrl: z.string().optional(), resource: fhirResource.optional() })).optional(),
})

type Entry = { line: number; fullUrl: string; resource: Resource }

/** Reads a whole file. `today` is the clinic's date; `conditions` lend their ICD-10-CM lists for the side. */
export function readReferralBundle(
  bytes: Uint8Array,
  today: Temporal.PlainDate,
  conditions: readonly Pick<Condition, 'icd10'>[] = [],
): ReferralFile {
  const decoded = decodeText(bytes)
  if (!decoded.ok) return unreadable(ENCODING_FAULT_WORDS[decoded.error])
  const { text } = decoded.value
  if (/^\s*</.test(text)) return unreadable('The file is XML. Export it as FHIR R4 in JSON.')
  let json: unknown
  try {
    json = JSON.parse(text)
  } catch {
    return unreadable('The file is not JSON, or it is cut off. Export it again.')
  }

  const entries = readEntries(json)
  if ('reason' in entries) return unreadable(entries.reason, 0, entries.column)
  const file: ReferralFile = { drafts: [], faults: [] }
  const index = indexOf(entries.list)
  for (const entry of entries.list) {
    const { line, resource } = entry
    if (OLDER_REQUESTS.has(resource.resourceType)) {
      file.faults.push({ line, column: resource.resourceType, reason: OLDER_WORDS })
    }
    if (resource.resourceType !== 'ServiceRequest') continue
    const read = readRequest(entry, index, today, conditions)
    if (read.ok) file.drafts.push({ line, draft: read.value })
    else file.faults.push(...read.error.map((fault) => ({ line, ...fault })))
  }
  if (file.drafts.length === 0 && file.faults.length === 0) {
    return unreadable('There is no ServiceRequest in this file.', 0, 'Bundle.entry')
  }
  return file
}

/** Names that a request had before R4. */
const OLDER_REQUESTS = new Set(['ReferralRequest', 'ProcedureRequest', 'DiagnosticRequest', 'DiagnosticOrder'])
const OLDER_WORDS = 'This is from an older FHIR version. Export the file as FHIR R4.'

function readEntries(json: unknown): { list: Entry[] } | { column: string; reason: string } {
  const root = fhirResource.safeParse(json)
  if (!root.success) return { column: 'resourceType', reason: 'This is JSON but not FHIR. Export a FHIR R4 Bundle.' }
  if (root.data.resourceType !== 'Bundle') return { list: [{ line: 1, fullUrl: '', resource: root.data }] }
  const bundle = fhirBundle.safeParse(json)
  if (!bundle.success) {
    return { column: pathOf('Bundle', bundle.error), reason: 'This part of the Bundle is not shaped as FHIR R4 says.' }
  }
  const list = (bundle.data.entry ?? []).flatMap(({ fullUrl, resource }, index) =>
    resource ? [{ line: index + 1, fullUrl: fullUrl ?? '', resource }] : [],
  )
  return { list }
}

type Fault = Omit<FileFault, 'line'>

function readRequest(
  entry: Entry,
  index: Index,
  today: Temporal.PlainDate,
  conditions: readonly Pick<Condition, 'icd10'>[],
): Result<ReferralDraft, Fault[]> {
  const request = fhirServiceRequest.safeParse(entry.resource)
  if (!request.success) return err([misshapen('ServiceRequest', request.error)])
  const refusal = refuseRequest(request.data)
  if (refusal) return err([refusal])
  const find = finder(entry, request.data.contained ?? [], index)

  const subject = find(request.data.subject.reference, 'Patient')
  if (!subject) return err([{ column: 'ServiceRequest.subject', reason: NO_PATIENT_WORDS }])
  const patient = fhirPatient.safeParse(subject)
  if (!patient.success) return err([misshapen('Patient', patient.error)])
  const patientRefusal = refusePatient(patient.data)
  if (patientRefusal) return err([patientRefusal])

  const found: FhirCondition[] = []
  for (const one of request.data.reasonReference ?? []) {
    const resource = find(one.reference, 'Condition')
    if (!resource) continue
    const condition = fhirCondition.safeParse(resource)
    if (!condition.success) return err([misshapen('Condition', condition.error)])
    if (condition.data.modifierExtension)
      return err([{ column: 'Condition.modifierExtension', reason: MODIFIER_WORDS }])
    if (!isRuledOut(condition.data)) found.push(condition.data)
  }

  const raw: RawReferral = {
    ...readPatient(patient.data),
    ...readReferrer(request.data, find),
    ...readReason(request.data, found, conditions),
    receivedOn: receivedOn(request.data.authoredOn, today),
  }
  const draft = readDraft(raw, today)
  if (draft.ok) return draft
  return err(draft.error.map(({ field, code }) => ({ column: PATHS[field], reason: sayDraftFault(code) })))
}

const NO_PATIENT_WORDS = 'The patient of this request is not in the file. Export it together with its Patient.'
const MODIFIER_WORDS =
  'This carries a modifier that changes its meaning and that we cannot read. Enter the referral by hand.'
const OPEN_STATUSES = new Set(['draft', 'active', 'on-hold', 'unknown'])

function refuseRequest(request: ServiceRequest): Fault | null {
  if (request.modifierExtension) return { column: 'ServiceRequest.modifierExtension', reason: MODIFIER_WORDS }
  if (request.doNotPerform === true) {
    return {
      column: 'ServiceRequest.doNotPerform',
      reason: 'This request says what must not be done. It is not a referral.',
    }
  }
  if (!OPEN_STATUSES.has(request.status)) {
    return {
      column: 'ServiceRequest.status',
      reason: 'This request is not open (completed, revoked or entered in error).',
    }
  }
  // R5 gave these another shape; read as R4, the reason would be lost without a word.
  if ('reason' in request || (request.code && 'concept' in request.code)) {
    return { column: 'ServiceRequest.reason', reason: 'This is from a newer FHIR version. Export the file as FHIR R4.' }
  }
  return null
}

function refusePatient(patient: Patient): Fault | null {
  if (patient.modifierExtension) return { column: 'Patient.modifierExtension', reason: MODIFIER_WORDS }
  if (patient.deceasedBoolean === true || patient.deceasedDateTime !== undefined) {
    return { column: 'Patient.deceased', reason: 'The file says that this patient has died. Ask the sender.' }
  }
  return null
}

/** A condition that was refuted or entered by mistake says nothing about this patient. */
function isRuledOut({ verificationStatus }: FhirCondition): boolean {
  return (verificationStatus?.coding ?? []).some(({ code }) => code === 'refuted' || code === 'entered-in-error')
}

type Index = ReadonlyMap<string, Resource>

/** By fullUrl and by type/id; the first wins. */
function indexOf(entries: readonly Entry[]): Index {
  const index = new Map<string, Resource>()
  for (const { fullUrl, resource } of entries) {
    for (const key of [fullUrl, `${resource.resourceType}/${resource.id}`])
      if (!index.has(key)) index.set(key, resource)
  }
  return index
}

type Find = (written: string | undefined, type: string) => Resource | null

/** As FHIR R4 resolves references in a Bundle (bundle.html#references): inside the resource (#id), by fullUrl on the same base, then by type and id. */
function finder(entry: Entry, contained: readonly Resource[], index: Index): Find {
  const base = /^(.*\/)[A-Za-z]+\/[^/]+$/.exec(entry.fullUrl)?.[1] ?? ''
  return (written, type) => {
    if (written === undefined || written === '') return null
    const current = written.replace(/\/_history\/[^/]+$/, '')
    const found = written.startsWith('#')
      ? contained.find((one) => `#${one.id}` === written)
      : (index.get(base + current) ?? index.get(current))
    return found?.resourceType === type ? found : null
  }
}

const INTERPRETER_REQUIRED = 'http://hl7.org/fhir/StructureDefinition/patient-interpreterRequired'

function readPatient(patient: Patient): RawReferral {
  const name = chooseName(patient.name ?? [])
  const home = (patient.address ?? []).find((one) => one.use !== 'old' && one.use !== 'billing')
  const preferred = patient.communication?.find((one) => one.preferred === true) ?? patient.communication?.[0]
  const written =
    preferred?.language.coding?.find((one) => one.code !== undefined)?.code ?? preferred?.language.text ?? null
  const tag = written === null ? null : (canonicalTag(written) ?? written)
  const isOurs = tag !== null && /^(en|es|english|spanish|español)(-|$)/i.test(tag)
  const isInterpreterNeeded = patient.extension?.find((one) => one.url === INTERPRETER_REQUIRED)?.valueBoolean
  return {
    givenName: name?.given?.join(' ') ?? null,
    familyName: name?.family ?? null,
    // R4 allows a year or a month alone. That opens no home check, so it counts as not told and is asked for.
    birthDate:
      patient.birthDate !== undefined && /^\d{4}(-\d{2})?$/.test(patient.birthDate)
        ? null
        : (patient.birthDate ?? null),
    phone: choosePhone(patient.telecom),
    email: sorted(patient.telecom, 'email')[0] ?? null,
    language: isOurs ? tag : null,
    // Somebody who reads neither of our languages needs an interpreter unless the sender says no.
    interpreterLanguage: (isInterpreterNeeded ?? !isOurs) ? tag : null,
    addressLine: home?.line?.join(', ') ?? null,
    city: home?.city ?? null,
    state: home?.state ?? null,
    postalCode: home?.postalCode ?? null,
  }
}

const NAME_USES = ['official', 'usual', undefined, 'nickname', 'anonymous', 'temp', 'maiden']

function chooseName(names: readonly z.output<typeof humanName>[]): z.output<typeof humanName> | undefined {
  return NAME_USES.flatMap((use) => names.filter((one) => one.use === use))[0]
}

type Telecom = readonly z.output<typeof contactPoint>[] | undefined

/** Preferred first (rank 1 is the best), old ones left out. */
function sorted(telecom: Telecom, system: string): string[] {
  return (telecom ?? [])
    .filter((one) => one.system === system && one.use !== 'old')
    .sort((a, b) => (a.rank ?? Number.MAX_VALUE) - (b.rank ?? Number.MAX_VALUE))
    .flatMap((one) => one.value ?? [])
}

/** The first that can be dialled; if none can, the first, so that the fault is told. */
function choosePhone(telecom: Telecom): string | null {
  const numbers = [...sorted(telecom, 'phone'), ...sorted(telecom, 'sms')]
  return numbers.find((one) => readPhone(one).ok) ?? numbers[0] ?? null
}

function readReferrer(request: ServiceRequest, find: Find): RawReferral {
  const written = request.requester?.reference
  const role = fhirPractitionerRole.safeParse(find(written, 'PractitionerRole')).data
  const found = find(written, 'Practitioner') ?? find(role?.practitioner?.reference, 'Practitioner')
  const practitioner = fhirPractitioner.safeParse(found).data
  const name = chooseName(practitioner?.name ?? [])
  const inParts = [...(name?.given ?? []), name?.family ?? ''].join(' ').trim()
  return {
    referrerName: request.requester?.display ?? name?.text ?? (inParts || role?.practitioner?.display) ?? null,
    referrerPhone: choosePhone(role?.telecom) ?? choosePhone(practitioner?.telecom),
  }
}

const ICD10_CM = 'http://hl7.org/fhir/sid/icd-10-cm'

function readReason(
  request: ServiceRequest,
  found: readonly FhirCondition[],
  conditions: readonly Pick<Condition, 'icd10'>[],
): RawReferral {
  const reasons: Concept[] = [
    ...(request.reasonCode ?? []),
    ...found.flatMap((one): Concept[] => (one.code ? [one.code] : [])),
  ]
  const displays = (request.reasonReference ?? []).map((one) => one.display ?? '')
  const codings = reasons.flatMap((one) => one.coding ?? [])
  const codes = [...new Set(codings.flatMap((one) => (one.system === ICD10_CM ? (one.code ?? []) : [])))]
  const notes = (request.note ?? []).map((one) => one.text)
  const asked = request.code ? [say(request.code)] : []
  return {
    externalId: externalId(request),
    reason: firstUnique([...notes, ...reasons.map(say), ...displays, ...asked]).join('\n'),
    conditionText: firstUnique([...reasons.map(say), ...displays])[0] ?? null,
    icd10: codes.join(' '),
    side: readSide(request, found, codes, conditions),
    priority: request.priority ?? null,
  }
}

function readSide(
  request: ServiceRequest,
  found: readonly FhirCondition[],
  codes: readonly string[],
  conditions: readonly Pick<Condition, 'icd10'>[],
): Side | null {
  const sites: Concept[] = [...(request.bodySite ?? []), ...found.flatMap((one): Concept[] => one.bodySite ?? [])]
  const named: Concept[] = [
    ...sites,
    ...(request.reasonCode ?? []),
    ...found.flatMap((one): Concept[] => (one.code ? [one.code] : [])),
  ]
  const texts = named.flatMap((one) => [one.text ?? '', ...(one.coding ?? []).map(({ display }) => display ?? '')])
  return agreed([...texts.map(sideFromText), sideFromCodes(codes, conditions)])
}

function externalId(request: ServiceRequest): string | null {
  const told = request.identifier?.find((one) => one.value !== undefined)
  if (!told) return null
  return told.system === undefined ? (told.value ?? null) : `${told.system}|${told.value}`
}

/** The day it was written, which is the same each time the file comes; a sender east of us may already be in tomorrow. */
function receivedOn(authoredOn: string | undefined, today: Temporal.PlainDate): string {
  const day =
    authoredOn !== undefined && /^\d{4}-\d{2}-\d{2}/.test(authoredOn) ? authoredOn.slice(0, 10) : today.toString()
  return day === today.add({ days: 1 }).toString() ? today.toString() : day
}

function say(one: Concept): string {
  return one.text ?? one.coding?.find(({ display }) => display !== undefined)?.display ?? ''
}

function firstUnique(texts: readonly string[]): string[] {
  return [...new Set(texts.map((one) => one.trim()).filter((one) => one !== ''))]
}

function misshapen(root: string, error: z.ZodError): Fault {
  return { column: pathOf(root, error), reason: 'This is missing or not shaped as FHIR R4 says.' }
}

function pathOf(root: string, error: z.ZodError): string {
  const path = error.issues[0]?.path ?? []
  return path.reduce<string>(
    (text, step) => (typeof step === 'number' ? `${text}[${step}]` : `${text}.${String(step)}`),
    root,
  )
}

/** Where each field was read from. */
const PATHS: Readonly<Record<DraftField, string>> = {
  externalId: 'ServiceRequest.identifier',
  givenName: 'Patient.name.given',
  familyName: 'Patient.name.family',
  birthDate: 'Patient.birthDate',
  phone: "Patient.telecom.where(system='phone')",
  email: "Patient.telecom.where(system='email')",
  language: 'Patient.communication.language',
  interpreterLanguage: 'Patient.communication.language',
  addressLine: 'Patient.address.line',
  city: 'Patient.address.city',
  state: 'Patient.address.state',
  postalCode: 'Patient.address.postalCode',
  timeZone: 'Patient.address.state',
  referrerName: 'ServiceRequest.requester',
  referrerPhone: 'PractitionerRole.telecom',
  receivedOn: 'ServiceRequest.authoredOn',
  reason: 'ServiceRequest.reasonCode',
  icd10: 'Condition.code',
  conditionText: 'Condition.code.text',
  side: 'ServiceRequest.bodySite',
  priority: 'ServiceRequest.priority',
}
