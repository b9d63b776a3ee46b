/**
 * Why is it so, in one sentence for each reader?
 *
 * The coordinator hears the rule with its flags, stations and facts by name. The
 * patient hears plain words that never name a diagnosis and never frighten.
 */
import { unreachable } from '#lib/base/invariant.ts'
import { expand, type PlainNeed } from '../protocol/expand.ts'
import { type Need, NOTHING } from '../protocol/need.ts'
import type { Protocol, Text } from '../protocol/schema.ts'
import { setUpOf } from '../protocol/set-up-of.ts'
import { type Cube, cubes, type Literal, unanswered } from './evaluate.ts'
import type { Screening, StationScreening } from './screening.ts'

/** One sentence each on why the disposition is what it is. */
export function explain(screening: Screening, protocol: Protocol): { coordinator: string; patient: Text } {
  return { coordinator: forCoordinator(screening, protocol), patient: forPatient(screening, protocol) }
}

function forCoordinator({ rule, because, seeBy }: Screening, protocol: Protocol): string {
  const titles = [...protocol.redFlags, ...protocol.conditions, ...protocol.homeRules, ...protocol.stations]
  const named = because.map((id) => titles.find((each) => each.id === id)?.title ?? id).join('; ')
  const by = seeBy === null ? '' : `, to be seen within ${seeBy.within} ${seeBy.unit.replace('_', ' ')}`
  switch (rule) {
    case 'emergency_flag':
      return `Emergency advice: red flag raised (${named}).`
    case 'urgent_flag':
      return `Urgent in person${by}: red flag raised (${named}).`
    case 'urgent_condition':
      return `Urgent in person${by}: ${named} is not cleared by video.`
    case 'in_person_flag':
      return `In person${by}: red flag raised (${named}).`
    case 'unsafe_at_home':
      return `In person: a visit at home is not possible or not wanted (${named}).`
    case 'essential_impossible':
      return `In person: essential stations can't be done at this home (${named}).`
    case 'essential_impossible_gap_allowed':
      return `Video with gaps, as the clinic allows: essential stations are left for a follow-up in person (${named}).`
    case 'safety_not_known':
      return `Ask again: safety is not known (${named}).`
    case 'essential_not_known':
      return `Ask again: it is not known whether essential stations can be done (${named}).`
    case 'useful_missing':
      return `Video with gaps: useful stations are missing (${named}).`
    case 'all_possible':
      return 'Video: every essential and useful station can be done at this home.'
    default:
      return unreachable(rule)
  }
}

function forPatient({ rule, because, raised }: Screening, protocol: Protocol): Text {
  switch (rule) {
    case 'emergency_flag':
    case 'urgent_flag':
    case 'in_person_flag': {
      // The gravest flag's own advice; flags are few and each carries its words.
      const first = raised.find(({ flagId }) => because.includes(flagId))
      const flag = protocol.redFlags.find(({ id }) => id === first?.flagId)
      return flag?.advice ?? { en: 'Please call the clinic now.', es: 'Llame a la clínica ahora.' }
    }
    case 'urgent_condition': {
      const condition = protocol.conditions.find(({ id }) => because.includes(id))
      return (
        condition?.inPerson?.because ?? {
          en: 'We need to see you at the clinic soon.',
          es: 'Tenemos que verle pronto en la clínica.',
        }
      )
    }
    case 'unsafe_at_home': {
      const homeRule = protocol.homeRules.find(({ id }) => because.includes(id))
      return homeRule?.because ?? IN_PERSON
    }
    case 'essential_impossible':
      return IN_PERSON
    case 'essential_impossible_gap_allowed':
      return {
        en: 'We can see you by video first. You will then come to the clinic for the tests we can’t do at home.',
        es: 'Primero le vemos por video. Luego viene a la clínica para lo que no se puede hacer en casa.',
      }
    case 'safety_not_known':
      return {
        en: 'We need a few more answers from you to be sure that a video visit is safe.',
        es: 'Nos faltan unas respuestas para saber si la visita por video es segura.',
      }
    case 'essential_not_known':
      return {
        en: 'We need a few more answers from you to plan your visit.',
        es: 'Nos faltan unas respuestas para preparar su visita.',
      }
    case 'useful_missing':
      return {
        en: 'We can see you by video. There are a few tests that we will leave out.',
        es: 'Le podemos ver por video. No haremos todas las pruebas.',
      }
    case 'all_possible':
      return {
        en: 'You have what you need at home. We can see you by video.',
        es: 'Tiene en casa lo que hace falta. Le podemos ver por video.',
      }
    default:
      return unreachable(rule)
  }
}

const IN_PERSON: Text = {
  en: 'Some of the tests you need can’t be done at home, so we will see you at the clinic.',
  es: 'Algunas pruebas no se pueden hacer en casa. Por eso le vemos en la clínica.',
}

/** What closes a station, or leaves it open, in a few words for staff: "no helper", "lane under 3.2 m". */
export function reasonFor(screened: StationScreening, protocol: Protocol): string {
  const label = (id: string) => protocol.facts.find((fact) => fact.id === id)?.label ?? id
  if (screened.can === 'yes') return ''
  if (screened.can === 'not_known') return `not known: ${screened.unknown.map(label).join(', ')}`
  const first = screened.closedBy[0]
  if (first === undefined) return ''
  if (first.kind === 'forbidden') return 'not at home while this is suspected'
  const station = protocol.stations.find(({ id }) => id === screened.stationId)
  if (station === undefined) return ''
  const setUps = station.ways.map((way) => setUpOf(protocol, station, way).needs)
  const need: Need = {
    safety: station.safety,
    set_up: { any: setUps },
    way: { any: station.ways.map((way, index) => ({ all: [setUps[index] ?? NOTHING, way.needs] })) },
  }[first.kind]
  const cube = closingCube(expand(need, protocol), first.facts)
  return first.facts.map((id) => phrase(id, cube?.get(id), protocol)).join(', ')
}

/** What each fact must have been, for these facts alone to close a need. */
function closingCube(need: PlainNeed, facts: readonly string[]): Cube | undefined {
  return cubes(need, false, unanswered({})).find(
    (cube) => cube.size === facts.length && facts.every((id) => cube.has(id)),
  )
}

function phrase(id: string, wanted: Literal | undefined, protocol: Protocol): string {
  const fact = protocol.facts.find((each) => each.id === id)
  const label = fact?.label ?? id
  if (wanted === undefined) return label
  if ('is' in wanted) return wanted.is ? label : `no ${label}`
  const unit = fact?.unit ?? ''
  return Number.isFinite(wanted.below)
    ? `${label} under ${wanted.below} ${unit}`
    : `${label} of ${wanted.from} ${unit} or more`
}
