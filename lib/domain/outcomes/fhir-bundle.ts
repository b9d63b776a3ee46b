/**
 * The signed record as a FHIR R4 document: a Composition first, then whom and what it speaks of, an Observation a finding.
 * A code is given where it is sure (UCUM units, HL7's own code systems); everything else is text, because a wrong code is
 * read by machines that don't ask.
 */
import type { Measure, MeasureUnit } from '../protocol/schema.ts'
import { type NoteFacts, type NoteStation, noteSections, noteTitle, type TimeWords } from './exam-note.ts'
import { JUDGEMENT_WORDS, REASON_WORDS, RESULT_WORDS } from './vocabulary.ts'

type Resource = { resourceType: string; id: string; [field: string]: unknown }
export type FhirBundle = {
  resourceType: 'Bundle'
  type: 'document'
  identifier: { system: string; value: string }
  timestamp: string
  entry: { fullUrl: string; resource: Resource }[]
}

/** UCUM. */
const UNITS: Readonly<Record<MeasureUnit, { unit: string; code: string }>> = {
  deg: { unit: 'deg', code: 'deg' },
  s: { unit: 's', code: 's' },
  cm: { unit: 'cm', code: 'cm' },
  count: { unit: 'times', code: '1' },
}
const UCUM = 'http://unitsofmeasure.org'
const TERMS = 'http://terminology.hl7.org/CodeSystem'

/** `base`: the address under which this installation names its resources. */
export function toFhirBundle(facts: NoteFacts, base: string, timeWords: TimeWords): FhirBundle {
  const { visit, patient, clinic, signed } = facts
  const ref = (type: string, id: string) => ({ reference: `${base}/fhir/${type}/${fhirId(id)}` })
  const about = {
    subject: ref('Patient', patient.id),
    encounter: ref('Encounter', visit.id),
    performer: [{ display: visit.clinicianName }],
  }
  const observations = facts.stations.flatMap((station) => observationsOf(station, facts, about))
  const lastAt = facts.addenda.at(-1)?.at ?? signed.at
  const composition: Resource = {
    resourceType: 'Composition',
    id: fhirId(`note-${visit.id}`),
    status: facts.addenda.length > 0 ? 'amended' : 'final',
    type: { text: 'Exam note of a video visit' },
    subject: about.subject,
    encounter: about.encounter,
    date: lastAt,
    author: [{ display: signed.by }],
    title: noteTitle(facts),
    attester: [{ mode: 'legal', time: signed.at, party: { display: signed.by } }],
    custodian: ref('Organization', clinic.id),
    section: noteSections(facts, timeWords).map(({ heading, lines }) => ({
      title: heading,
      text: {
        status: 'generated',
        div: `<div xmlns="http://www.w3.org/1999/xhtml"><p>${lines.map(escaped).join('</p><p>')}</p></div>`,
      },
      ...(heading === 'Exam' && observations.length > 0
        ? { entry: observations.map(({ id }) => ref('Observation', id)) }
        : {}),
    })),
  }
  const resources: Resource[] = [
    composition,
    {
      resourceType: 'Patient',
      id: fhirId(patient.id),
      name: [{ family: patient.familyName, given: [patient.givenName] }],
      ...(patient.birthDate === null ? {} : { birthDate: patient.birthDate }),
      communication: [{ language: { coding: [{ system: 'urn:ietf:bcp:47', code: patient.language }] } }],
    },
    {
      resourceType: 'Organization',
      id: fhirId(clinic.id),
      name: clinic.name,
      telecom: [{ system: 'phone', value: clinic.phone }],
    },
    {
      resourceType: 'Encounter',
      id: fhirId(visit.id),
      status: facts.outcome === 'no_show' ? 'cancelled' : 'finished',
      class:
        visit.mode === 'video'
          ? { system: `${TERMS}/v3-ActCode`, code: 'VR', display: 'virtual' }
          : { system: `${TERMS}/v3-ActCode`, code: 'AMB', display: 'ambulatory' },
      subject: about.subject,
      period: { start: visit.startsAt, ...(visit.endsAt === null ? {} : { end: visit.endsAt }) },
      serviceProvider: ref('Organization', clinic.id),
    },
    ...observations,
  ]
  return {
    resourceType: 'Bundle',
    type: 'document',
    identifier: { system: `${base}/fhir/exam-note`, value: fhirId(visit.id) },
    timestamp: lastAt,
    entry: resources.map((resource) => ({ fullUrl: ref(resource.resourceType, resource.id).reference, resource })),
  }
}

function observationsOf(station: NoteStation, facts: NoteFacts, about: object): Resource[] {
  const { stationId, title, side, result, reason, reasonText, judgement, text, measures, values } = station
  const id = (part: string) => fhirId(`${facts.visit.id}-${stationId}-${side}${part}`)
  const common = {
    resourceType: 'Observation',
    status: facts.addenda.length > 0 ? 'amended' : 'final',
    ...about,
    effectiveDateTime: facts.visit.startsAt,
    bodySite: {
      text: side === 'both' ? 'Both feet and ankles' : `${side === 'left' ? 'Left' : 'Right'} foot and ankle`,
    },
  }
  const why = [reason === null ? null : REASON_WORDS[reason], reasonText].filter((part) => part !== null).join(', ')
  const went = RESULT_WORDS[result] + (why === '' ? '' : `: ${why}`)
  const isSeen = result === 'done' || result === 'done_with_difficulty' || judgement !== null
  const whole: Resource = {
    ...common,
    id: id(''),
    code: { text: title },
    ...(isSeen
      ? { valueString: judgement === null ? went : `${JUDGEMENT_WORDS[judgement]}${text === null ? '' : `: ${text}`}` }
      : {
          dataAbsentReason: { coding: [{ system: `${TERMS}/data-absent-reason`, code: 'not-performed' }], text: went },
        }),
    ...(judgement === 'normal' || judgement === 'abnormal'
      ? {
          interpretation: [
            {
              coding: [
                {
                  system: `${TERMS}/v3-ObservationInterpretation`,
                  code: judgement === 'normal' ? 'N' : 'A',
                  display: JUDGEMENT_WORDS[judgement],
                },
              ],
            },
          ],
        }
      : {}),
    note: [{ text: went }],
  }
  const measured = measures.flatMap((measure): Resource[] => {
    const value = values[measure.id]
    if (value === undefined) return []
    return [
      {
        ...common,
        id: id(`-${measure.id}`),
        code: { text: `${title}: ${measure.title}` },
        valueQuantity: quantity(value, measure.unit),
        ...(measure.references.length > 0 ? { referenceRange: rangesOf(measure) } : {}),
      },
    ]
  })
  return [whole, ...measured]
}

function rangesOf({ references, unit }: Measure) {
  return references.map(({ who, from, to, source }) => ({
    ...(from === undefined ? {} : { low: quantity(from, unit) }),
    ...(to === undefined ? {} : { high: quantity(to, unit) }),
    text: `${who}: ${source}`,
  }))
}

function quantity(value: number, unit: MeasureUnit) {
  return { value, unit: UNITS[unit].unit, system: UCUM, code: UNITS[unit].code }
}

/** R4 ids are letters, digits, hyphens and dots, at most 64. */
function fhirId(id: string): string {
  return id.replaceAll(/[^A-Za-z0-9.-]/g, '-').slice(-64)
}

function escaped(text: string): string {
  return text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;').replaceAll('"', '&quot;')
}
