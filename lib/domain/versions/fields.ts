/**
 * Which values of a protocol does a lead change in practice, and what is each called?
 *
 * One description serves the form, the reading of what was typed, and the words for a fault. A field is named by its path
 * as the loader tells it, so that a fault finds its field. What has no field here is changed in the whole document.
 */
import {
  type FLAG_LEVELS,
  IMPORTANCES,
  type Importance,
  type MeasureUnit,
  type Protocol,
  type SeeBy,
  type Text,
} from '../protocol/schema.ts'
import { setUpOf } from '../protocol/set-up-of.ts'
import { type Threshold, thresholdsIn } from './need-words.ts'
import { capital, PARTS, type Part, placeOf } from './parts.ts'

export type Field = {
  /** The places it is written to: one, or every place where a threshold stands. The first is its name. */
  paths: readonly string[]
  label: string
  kind: 'line' | 'text' | 'number' | 'choice' | 'yes_no'
  /** What stands there now, as one would type it; '' = nothing. */
  value: string
  unit?: string
  hint?: string
  options?: readonly { value: string; label: string }[]
  /** May be left empty; the thing at this path is taken out when all its fields are. */
  leftOutWith?: string
  /** Left empty, it takes out the thing at this path, whatever else stands in it. */
  takesOut?: string
}
export type FieldGroup = { heading: string; fields: readonly Field[] }

/** How a station stands in a condition: one of the importances, not part of it, or never done at home. */
export const STANDINGS = [...IMPORTANCES, 'not_part', 'forbidden'] as const
export type Standing = (typeof STANDINGS)[number]
const STANDING_WORDS: Record<Standing, string> = {
  essential: 'Essential',
  useful: 'Useful',
  optional: 'Optional',
  not_part: 'Not part of it',
  forbidden: 'Never at home',
}
/** Between a condition's path and a station's id: no place of the document, but one choice for the four lists in it. */
export const STANDS = '.standing.'

const UNITS: Record<SeeBy['unit'], string> = { hours: 'hours', days: 'days', working_days: 'working days' }

/** The fields of one thing of a part, in groups; null where there is no such thing. */
export function fieldsOf(protocol: Protocol, part: Part, id: string): FieldGroup[] | null {
  const { list } = PARTS[part]
  const index = protocol[list].findIndex((each) => each.id === id)
  if (index === -1) return null
  const path = `${list}.${index}`
  const groups = GROUPS[part](protocol, index, path)
  const source = line(`${path}.source`, 'Source', protocol[list][index]?.source, {
    hint: 'A citation, or “common practice”.',
  })
  return [...groups, { heading: 'Where it comes from', fields: [source] }].filter(({ fields }) => fields.length > 0)
}

const GROUPS: Record<Part, (protocol: Protocol, index: number, path: string) => FieldGroup[]> = {
  stations: (protocol, index, path) => {
    const station = protocol.stations[index]
    if (!station) return []
    return [
      {
        heading: 'The station',
        fields: [
          line(`${path}.title`, 'Title for staff', station.title),
          text(`${path}.looksFor`, 'What the clinician looks for', station.looksFor),
          number(`${path}.minutes`, 'Minutes each time it is done', station.minutes, 'minutes'),
          ...both(`${path}.plain`, 'Title for the patient', station.plain, 'line'),
          ...both(`${path}.unsafeBecause`, 'Said when it is not safe', station.unsafeBecause),
          ...thresholds(protocol, station.safety, `${path}.safety`, 'Safe with'),
        ],
      },
      ...station.ways.map((way, at): FieldGroup => {
        const here = `${path}.ways.${at}`
        return {
          heading: `Way: ${wayWords(way.id)}, in “${setUpOf(protocol, station, way).title.en}”`,
          fields: [
            number(`${here}.value`, 'Information value', way.value, undefined, {
              hint: 'Above 0, to 1. 1 is as good as the reference manner; the highest that the home allows is chosen.',
            }),
            text(`${here}.misses`, 'What it misses', way.misses, {
              hint: 'For the clinician. Needed below 1.',
              leftOutWith: `${here}.misses`,
            }),
            ...both(`${here}.instructions`, 'What the patient is told', way.instructions),
            ...(way.helper || way.helperInstructions
              ? both(`${here}.helperInstructions`, 'What the helper is told', way.helperInstructions, 'text', true)
              : []),
            ...thresholds(protocol, way.needs, `${here}.needs`, 'Needs'),
          ],
        }
      }),
      ...(station.measures ?? []).map((measure, at): FieldGroup => {
        const here = `${path}.measures.${at}`
        const unit = MEASURE_UNIT_WORDS[measure.unit]
        return {
          heading: `Measured: ${measure.title}`,
          fields: [
            number(`${here}.min`, 'The least that is plausible', measure.min, unit),
            number(`${here}.max`, 'The most that is plausible', measure.max, unit),
            ...measure.references.flatMap(({ who, from, to, source }, place) => {
              const reference = `${here}.references.${place}`
              return [
                number(`${reference}.from`, `Published for ${who}, from`, from, unit, {
                  leftOutWith: `${reference}.from`,
                }),
                number(`${reference}.to`, `Published for ${who}, to`, to, unit, { leftOutWith: `${reference}.to` }),
                line(`${reference}.source`, `Published for ${who}, source`, source),
              ]
            }),
          ],
        }
      }),
    ]
  },
  'set-ups': (protocol, index, path) => {
    const setUp = protocol.setUps[index]
    if (!setUp) return []
    return [
      {
        heading: 'The set-up',
        fields: [
          ...both(`${path}.title`, 'Title', setUp.title, 'line'),
          ...both(`${path}.instructions`, 'What the patient is told', setUp.instructions),
          number(`${path}.camera.heightCm`, 'Height of the camera', setUp.camera.heightCm, 'cm'),
          number(`${path}.camera.mustSeeUpToCm`, 'Must see up to', setUp.camera.mustSeeUpToCm, 'cm'),
          ...(setUp.support
            ? [
                number(
                  `${path}.support.heightCm`,
                  'Height of the seat or bed, if not answered',
                  setUp.support.heightCm,
                  'cm',
                ),
              ]
            : []),
          ...thresholds(protocol, setUp.needs, `${path}.needs`, 'Needs'),
        ],
      },
    ]
  },
  conditions: (protocol, index, path) => {
    const condition = protocol.conditions[index]
    if (!condition) return []
    return [
      {
        heading: 'The condition',
        fields: [
          line(`${path}.title`, 'Title for staff', condition.title),
          ...both(`${path}.plain`, 'Title for the patient', condition.plain, 'line'),
        ],
      },
      {
        heading: 'Seen in person whatever the home allows',
        fields: [
          ...seeBy(`${path}.inPerson.seeBy`, condition.inPerson?.seeBy, `${path}.inPerson`),
          ...both(`${path}.inPerson.because`, 'Why, for the patient', condition.inPerson?.because, 'text', true).map(
            (field) => ({ ...field, leftOutWith: `${path}.inPerson` }),
          ),
          yesNo(`${path}.earlyLook`, 'An early video look may be offered beside it', condition.earlyLook),
          yesNo(`${path}.imageFirst`, 'An image must have been seen first', condition.imageFirst),
        ],
      },
      {
        heading: 'Its stations',
        fields: protocol.stations.map(
          (station): Field => ({
            paths: [`${path}${STANDS}${station.id}`],
            label: station.title,
            kind: 'choice',
            value: standingOf(condition, station.id),
            options: STANDINGS.map((value) => ({ value, label: STANDING_WORDS[value] })),
          }),
        ),
      },
    ]
  },
  'red-flags': (protocol, index, path) => {
    const flag = protocol.redFlags[index]
    if (!flag) return []
    return [
      {
        heading: 'The red flag',
        fields: [
          line(`${path}.title`, 'Title for staff', flag.title),
          {
            ...choice(`${path}.level`, 'Level', flag.level, FLAG_LEVEL_WORDS),
            hint: 'At emergency level nothing is booked: leave the see-by time empty then.',
          },
          ...seeBy(`${path}.seeBy`, flag.seeBy, `${path}.seeBy`),
          ...both(`${path}.advice`, 'Advice to the patient', flag.advice),
          ...thresholds(protocol, flag.when, `${path}.when`, 'Raised with'),
        ],
      },
    ]
  },
  safety: (protocol, index, path) => {
    const rule = protocol.homeRules[index]
    if (!rule) return []
    return [
      {
        heading: 'The safety screen',
        fields: [
          line(`${path}.title`, 'Title for staff', rule.title),
          ...both(`${path}.because`, 'Why, for the patient', rule.because),
          ...thresholds(protocol, rule.when, `${path}.when`, 'Applies with'),
        ],
      },
    ]
  },
  'worked-out': (protocol, index, path) => {
    const derived = protocol.derived[index]
    if (!derived) return []
    return [
      {
        heading: 'The fact',
        fields: [
          line(`${path}.title`, 'Title for staff', derived.title),
          ...both(`${path}.plain`, 'For the patient', derived.plain),
          ...thresholds(protocol, derived.when, `${path}.when`, 'True with'),
        ],
      },
    ]
  },
  questions: (protocol, index, path) => {
    const fact = protocol.facts[index]
    if (!fact) return []
    const { change } = fact
    return [
      {
        heading: 'The question',
        fields: [
          line(`${path}.label`, 'What staff call it', fact.label, {
            hint: 'So that “helper” and “no helper” read well.',
          }),
          ...both(`${path}.ask`, 'The question', fact.ask),
          ...both(`${path}.hint`, 'A hint below it', fact.hint, 'text', true),
          ...both(`${path}.why`, 'Why it is asked', fact.why),
          ...(fact.kind === 'number'
            ? [
                number(`${path}.min`, 'The least that can be answered', fact.min, fact.unit),
                number(`${path}.max`, 'The most that can be answered', fact.max, fact.unit),
              ]
            : []),
        ],
      },
      {
        heading: 'What a household can do about it',
        fields: change
          ? [
              number(`${path}.change.cost`, 'How much trouble it is', change.cost, undefined, {
                hint: '1 = fetch it, 5 = hard.',
              }),
              ...(typeof change.to === 'number'
                ? [number(`${path}.change.to`, 'What it should become', change.to, fact.unit)]
                : []),
              ...both(`${path}.change.say`, 'How it is said', change.say),
            ]
          : [],
      },
    ]
  },
  things: (protocol, index, path) => {
    const thing = protocol.equipment[index]
    if (!thing) return []
    const options = protocol.facts.filter(
      ({ id, kind, area }) =>
        kind === 'yes_no' && (area === 'equipment' || area === 'camera' || thing.anyOf.some(({ fact }) => fact === id)),
    )
    return [
      { heading: 'The thing', fields: both(`${path}.title`, 'Title for the patient', thing.title, 'line') },
      ...[...thing.anyOf, null].map((serving, at): FieldGroup => {
        const here = `${path}.anyOf.${at}`
        const heading = at === 0 ? 'The thing itself' : serving === null ? 'One more stand-in' : `Stand-in ${at}`
        return {
          heading,
          fields: [
            {
              paths: [`${here}.fact`],
              label: 'Answered by',
              kind: 'choice',
              value: serving?.fact ?? '',
              options: [{ value: '', label: 'Nothing: leave it out' }].concat(
                options.map(({ id, label }) => ({ value: id, label: capital(label) })),
              ),
              ...(serving === null ? { leftOutWith: here } : { takesOut: here }),
            },
            ...both(`${here}.title`, 'What the patient is told to fetch', serving?.title, 'line').map((field) => ({
              ...field,
              ...(serving === null && { leftOutWith: here }),
            })),
          ],
        }
      }),
    ]
  },
}

/** Costs, weights and every threshold, the same ones in one field: they are decided together. */
export function figureFields(protocol: Protocol): FieldGroup[] {
  const { costs, weights } = protocol
  const sec = (key: 'moveCameraSec' | 'changePositionSec' | 'callHelperSec' | 'releaseHelperSec', label: string) =>
    number(`costs.${key}`, label, costs[key], 'seconds')
  return [
    {
      heading: 'Thresholds',
      fields: [
        ...Map.groupBy(allThresholds(protocol), ({ words, value, unit }) => `${words} ${value} ${unit}`).values(),
      ].map((same): Field => {
        const first = same[0] as Threshold
        const places = new Set(same.map(({ path }) => placeOf(protocol, { path, message: '' })?.title ?? path))
        return {
          // With its value: the same fact may have several, each for something else.
          ...number(first.path, `${capital(first.words)} (${first.value} ${first.unit})`, first.value, first.unit),
          paths: same.map(({ path }) => path),
          hint: `In: ${[...places].join('; ')}.`,
        }
      }),
    },
    {
      heading: 'What it costs to go from one station to the next',
      fields: [
        sec('moveCameraSec', 'Move the camera'),
        sec('changePositionSec', 'Change position'),
        sec('callHelperSec', 'Call the helper in'),
        sec('releaseHelperSec', 'Let the helper go'),
        line('costs.source', 'Source of these times', costs.source),
      ],
    },
    {
      heading: 'Weight in the coverage',
      fields: [
        ...IMPORTANCES.map((importance) =>
          number(`weights.${importance}`, STANDING_WORDS[importance], weights[importance]),
        ),
        line('weights.source', 'Source of these weights', weights.source),
      ],
    },
  ]
}

/** Every threshold of the document, with its place. */
export function allThresholds(protocol: Protocol): Threshold[] {
  const { setUps, stations, redFlags, homeRules, derived, facts } = protocol
  const places = [
    ...setUps.map(({ needs }, at) => [needs, `setUps.${at}.needs`] as const),
    ...stations.flatMap(({ safety, ways }, at) => [
      [safety, `stations.${at}.safety`] as const,
      ...ways.map(({ needs }, which) => [needs, `stations.${at}.ways.${which}.needs`] as const),
    ]),
    ...redFlags.map(({ when }, at) => [when, `redFlags.${at}.when`] as const),
    ...homeRules.map(({ when }, at) => [when, `homeRules.${at}.when`] as const),
    ...derived.map(({ when }, at) => [when, `derived.${at}.when`] as const),
    ...facts.flatMap(({ askWhen }, at) => (askWhen ? [[askWhen, `facts.${at}.askWhen`] as const] : [])),
  ]
  return places.flatMap(([need, path]) => thresholdsIn(need, path, protocol))
}

/** How a station stands in a condition. */
export function standingOf(
  { stations, forbids }: Pick<Protocol['conditions'][number], 'stations' | 'forbids'>,
  stationId: string,
): Standing {
  if (forbids.includes(stationId)) return 'forbidden'
  return IMPORTANCES.find((importance: Importance) => stations[importance].includes(stationId)) ?? 'not_part'
}

/** "helper resists" */
export function wayWords(id: string): string {
  return id.replaceAll('_', ' ')
}

export const FLAG_LEVEL_WORDS = {
  emergency: 'Emergency',
  same_day: 'Same day',
  urgent: 'Urgent',
  in_person: 'In person',
} as const satisfies Record<(typeof FLAG_LEVELS)[number], string>

export const MEASURE_UNIT_WORDS = { deg: '°', s: 'seconds', count: 'times', cm: 'cm' } as const satisfies Record<
  MeasureUnit,
  string
>

type More = Partial<Pick<Field, 'hint' | 'leftOutWith'>>

function line(path: string, label: string, value: string | undefined, more: More = {}): Field {
  return { paths: [path], label, kind: 'line', value: value ?? '', ...more }
}

function text(path: string, label: string, value: string | undefined, more: More = {}): Field {
  return { ...line(path, label, value, more), kind: 'text' }
}

function number(path: string, label: string, value: number | undefined, unit?: string, more: More = {}): Field {
  return {
    paths: [path],
    label,
    kind: 'number',
    value: value === undefined ? '' : String(value),
    ...(unit && { unit }),
    ...more,
  }
}

function choice<V extends string>(path: string, label: string, value: V, words: Record<V, string>): Field {
  const options = (Object.keys(words) as V[]).map((each) => ({ value: each, label: words[each] }))
  return { paths: [path], label, kind: 'choice', value, options }
}

function yesNo(path: string, label: string, value: boolean): Field {
  return { ...choice(path, label, value ? 'yes' : 'no', { yes: 'Yes', no: 'No' }), kind: 'yes_no' }
}

/** A text in both languages. */
function both(
  path: string,
  label: string,
  value: Text | undefined,
  kind: 'line' | 'text' = 'text',
  isOptional = false,
): Field[] {
  const more = isOptional ? { leftOutWith: path } : {}
  return [
    { ...line(`${path}.en`, `${label}, English`, value?.en, more), kind },
    { ...line(`${path}.es`, `${label}, Spanish`, value?.es, more), kind },
  ]
}

function seeBy(path: string, value: SeeBy | undefined, leftOutWith: string): Field[] {
  return [
    { ...number(`${path}.within`, 'See-by time, within', value?.within), leftOutWith },
    {
      ...choice(`${path}.unit`, 'Counted in', value?.unit ?? 'hours', UNITS),
      value: value?.unit ?? '',
      options: [{ value: '', label: 'No see-by time' }].concat(
        Object.entries(UNITS).map(([unit, label]) => ({ value: unit, label })),
      ),
      leftOutWith,
    },
  ]
}

function thresholds(
  protocol: Protocol,
  need: Parameters<typeof thresholdsIn>[0],
  path: string,
  before: string,
): Field[] {
  return thresholdsIn(need, path, protocol).map(({ path: at, words, value, unit }) =>
    number(at, `${before}: ${words}`, value, unit),
  )
}
