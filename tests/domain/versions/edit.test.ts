import { describe, expect, test } from 'vitest'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import { loadProtocol } from '#lib/domain/protocol/load.ts'
import { diffOf } from '#lib/domain/versions/diff.ts'
import { faultsOf, readDocument, retireStation, writeFields } from '#lib/domain/versions/edit.ts'
import { fieldsOf, figureFields } from '#lib/domain/versions/fields.ts'
import { PART_NAMES, PARTS, placeOf } from '#lib/domain/versions/parts.ts'

const everyThing = PART_NAMES.flatMap((part) => footAndAnkle[PARTS[part].list].map(({ id }) => ({ part, id })))

function flat(part: (typeof PART_NAMES)[number], id: string) {
  return (fieldsOf(footAndAnkle, part, id) ?? []).flatMap(({ fields }) => fields)
}

function keptOf(result: ReturnType<typeof writeFields>) {
  if (!result.ok) throw new Error(JSON.stringify(result.error))
  return result.value
}

/** The field whose path ends so. */
function nameOf(fields: readonly { paths: readonly string[] }[], end: string): string {
  return fields.find(({ paths }) => paths[0]?.endsWith(end))?.paths[0] ?? `no field ${end}`
}

describe('the fields of a thing', () => {
  test.each(everyThing)('of $part $id, sent as they are, change nothing', ({ part, id }) => {
    const fields = flat(part, id)
    const typed = Object.fromEntries(fields.map(({ paths: [name = ''], value }) => [name, value]))
    expect(new Set(fields.map(({ paths }) => paths[0])).size).toBe(fields.length)
    expect(writeFields(footAndAnkle, fields, typed)).toEqual({ ok: true, value: footAndAnkle })
  })

  test('figures sent as they are change nothing, and every number of a need is among them', () => {
    const fields = figureFields(footAndAnkle).flatMap((group) => group.fields)
    const typed = Object.fromEntries(fields.map(({ paths: [name = ''], value }) => [name, value]))
    expect(writeFields(footAndAnkle, fields, typed)).toEqual({ ok: true, value: footAndAnkle })
    const numbers = JSON.stringify(footAndAnkle).match(/"atLeast(Points)?":/g) ?? []
    expect(fields.flatMap(({ paths }) => paths).filter((path) => /atLeast/.test(path))).toHaveLength(numbers.length)
  })

  test('a threshold that stands in several places changes in all of them', () => {
    const fields = figureFields(footAndAnkle).flatMap((group) => group.fields)
    const seat = fields.find(({ paths, label }) => paths.length > 1 && /seat/i.test(label))
    const written = writeFields(footAndAnkle, fields, { [seat?.paths[0] ?? '']: '47' })
    expect(written.ok && diffOf(footAndAnkle, written.value).length).toBeGreaterThan(1)
    expect(JSON.stringify(written).match(/"atLeast":47/g)).toHaveLength(seat?.paths.length ?? 0)
  })
})

describe('what was typed', () => {
  const fields = flat('stations', 'strength_push')
  const [minutes, value, misses] = [
    nameOf(fields, '.minutes'),
    nameOf(fields, '.ways.1.value'),
    nameOf(fields, '.ways.1.misses'),
  ]

  test.each([
    ['no number', { [minutes]: 'five' }, minutes, /write a number/],
    ['a number that can’t be', { [minutes]: '0' }, minutes, /must be more than 0/],
    ['a value above 1', { [value]: '1.5' }, value, /1 at the most/],
    ['a lesser way that misses nothing', { [misses]: '' }, misses, /says what it misses/],
    [
      'an empty text',
      { [nameOf(fields, '.unsafeBecause.es')]: ' ' },
      nameOf(fields, '.unsafeBecause.es'),
      /must not be empty/,
    ],
  ])('%s is told at its field', (_, typed, field, message) => {
    const written = writeFields(footAndAnkle, fields, typed)
    expect(written).toEqual({ ok: false, error: [{ field, message: expect.stringMatching(message) }] })
  })

  test('all faults of a form are told at once', () => {
    const written = writeFields(footAndAnkle, fields, { [minutes]: '0', [value]: '7' })
    expect(!written.ok && written.error.map(({ field }) => field)).toEqual([minutes, value])
  })

  test('a station moves between the lists of a condition, and is in one of them', () => {
    const own = flat('conditions', 'flat_foot')
    const written = writeFields(footAndAnkle, own, { [nameOf(own, '.standing.walk')]: 'useful' })
    const condition = keptOf(written).conditions.find(({ id }) => id === 'flat_foot')
    expect(condition?.stations.essential).not.toContain('walk')
    expect(condition?.stations.useful).toContain('walk')
  })

  test('an emergency that is booked is told at its see-by time', () => {
    const own = flat('red-flags', 'sudden_cold_limb')
    const written = writeFields(footAndAnkle, own, {
      [nameOf(own, '.seeBy.within')]: '2',
      [nameOf(own, '.seeBy.unit')]: 'hours',
    })
    expect(!written.ok && written.error).toEqual([
      { field: nameOf(own, '.seeBy.within'), message: expect.stringMatching(/an emergency is not booked/) },
    ])
  })

  test('a stand-in is added, and taken out again', () => {
    const own = flat('things', 'block')
    const added = writeFields(footAndAnkle, own, {
      [nameOf(own, '.anyOf.2.fact')]: 'towel',
      [nameOf(own, '.anyOf.2.title.en')]: 'A folded towel',
      [nameOf(own, '.anyOf.2.title.es')]: 'Una toalla doblada',
    })
    const block = keptOf(added).equipment.find(({ id }) => id === 'block')
    expect(block?.anyOf.map(({ fact }) => fact)).toEqual(['block', 'book', 'towel'])
    const removed = writeFields(footAndAnkle, own, { [nameOf(own, '.anyOf.1.fact')]: '' })
    const left = keptOf(removed).equipment.find(({ id }) => id === 'block')
    expect(left?.anyOf.map(({ fact }) => fact)).toEqual(['block'])
  })

  test('what goes wrong elsewhere is kept with the draft and told with its place', () => {
    const users = footAndAnkle.conditions.filter(({ stations }) =>
      Object.values(stations).some((list) => list.includes('tarsal_tap')),
    )
    let document = footAndAnkle
    for (const { id } of users) {
      const fields = (fieldsOf(document, 'conditions', id) ?? []).flatMap((group) => group.fields)
      const written = writeFields(document, fields, { [nameOf(fields, '.standing.tarsal_tap')]: 'not_part' })
      if (written.ok) document = written.value
    }
    const [fault] = faultsOf(document)
    expect(fault?.message).toBe('no condition uses "tarsal_tap"')
    expect(fault && placeOf(document, fault)).toMatchObject({ part: 'stations', id: 'tarsal_tap' })
  })
})

describe('a whole document', () => {
  const draft = { ...footAndAnkle, version: 2 }

  test('comes back as it went out', () => {
    expect(readDocument(JSON.stringify(draft, null, 2), draft)).toEqual({ ok: true, value: draft })
  })

  test.each<[string, string, string[]]>([
    ['no JSON', '{"a": ', ['']],
    ['another version', JSON.stringify(footAndAnkle), ['version']],
    ['another protocol', JSON.stringify({ ...draft, id: 'knee' }), ['id']],
    ['two faults of the shape', JSON.stringify({ ...draft, region: 'A', costs: null }), ['region', 'costs']],
    [
      'two faults of the meaning',
      JSON.stringify({ ...draft, helperFact: 'nobody', precedence: [{ first: 'x', second: 'walk', why: 'w' }] }),
      ['helperFact', 'precedence.0'],
    ],
  ])('that is %s is refused with every path', (_, text, paths) => {
    const read = readDocument(text, draft)
    expect(read.ok ? [] : read.error.map(({ path }) => path)).toEqual(paths)
  })
})

describe('retiring a station', () => {
  test.each(footAndAnkle.stations.map(({ id }) => id))('%s leaves a protocol that loads, without it', (id) => {
    const left = retireStation(footAndAnkle, id)
    const loaded = loadProtocol(left)
    // Without its last essential stations a condition still loads; whatever only the station used is gone with it.
    expect(loaded.ok ? [] : loaded.error).toEqual([])
    expect(JSON.stringify([left.stations, left.conditions, left.precedence])).not.toContain(`"${id}"`)
  })
})
