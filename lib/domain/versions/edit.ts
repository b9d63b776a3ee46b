/**
 * What does a protocol say after a form was filled in, and what is wrong with it?
 *
 * Text that is no number is told at its field. Everything else is told by the loader, by the very paths that the fields are
 * named by. A fault that lies somewhere else stays with the draft, which can be kept with it and never signed off.
 */
import { err, ok, type Result } from '#lib/base/result.ts'
import { loadProtocol, type ProtocolFault } from '../protocol/load.ts'
import { IMPORTANCES, type Protocol, protocolSchema } from '../protocol/schema.ts'
import { type Field, STANDS, type Standing } from './fields.ts'
import { copyOf } from './json.ts'

/** `field`: its name. */
export type FieldFault = { field: string; message: string }

/** Writes what was typed into a copy of the document. Faults are those of the fields at hand. */
export function writeFields(
  document: Protocol,
  fields: readonly Field[],
  typed: Readonly<Record<string, string>>,
): Result<Protocol, FieldFault[]> {
  const copy = copyOf(document)
  const faults: FieldFault[] = []
  const emptied = new Map<string, boolean>()
  for (const field of fields) {
    const [name = ''] = field.paths
    const raw = (typed[name] ?? field.value).replaceAll('\r\n', '\n').trim()
    const { leftOutWith } = field
    if (field.takesOut !== undefined && raw === '') {
      emptied.set(field.takesOut, true)
      continue
    }
    if (leftOutWith !== undefined) emptied.set(leftOutWith, emptied.get(leftOutWith) !== false && raw === '')
    if (raw === field.value && leftOutWith === undefined) continue
    if (name.includes(STANDS)) stand(copy, name, raw as Standing)
    else if (field.kind === 'number' && raw !== '' && !isNumber(raw))
      faults.push({ field: name, message: `${field.label}: write a number, such as 0.5` })
    else for (const path of field.paths) setAt(copy, path, readAs(field, raw))
  }
  // From the end, so that places in a list stay what they were.
  for (const [path, isEmpty] of [...emptied].reverse()) if (isEmpty) takeOut(copy, path)
  if (faults.length > 0) return err(faults)
  const own = faultsOf(copy).flatMap((fault) => {
    const field = fieldAt(fields, fault.path)
    return field ? [{ field: field.paths[0] ?? '', message: `${field.label}: ${fault.message}` }] : []
  })
  if (own.length > 0) return err(own)
  // A form changes values alone; their shape was told above.
  return ok(protocolSchema.parse(copy))
}

function readAs({ kind, leftOutWith }: Field, raw: string): unknown {
  if (raw === '') return leftOutWith === undefined && kind !== 'number' ? '' : undefined
  if (kind === 'number') return Number(raw)
  return kind === 'yes_no' ? raw === 'yes' : raw
}

/** Everything that is wrong with a document, in a lead's words; [] = it may be signed off. */
export function faultsOf(document: unknown): ProtocolFault[] {
  const loaded = loadProtocol(document)
  return loaded.ok ? [] : loaded.error.map(({ path, message }) => ({ path, message: plainly(message) }))
}

/** A whole document as it was brought in: without any fault, and the same version of the same protocol as the draft. */
export function readDocument(text: string, { id, version }: Protocol): Result<Protocol, ProtocolFault[]> {
  let document: unknown
  try {
    document = JSON.parse(text)
  } catch (error) {
    return err([{ path: '', message: `is not JSON: ${error instanceof Error ? error.message : String(error)}` }])
  }
  const loaded = loadProtocol(document)
  if (!loaded.ok) return err(faultsOf(document))
  const faults = [
    ...(loaded.value.id === id ? [] : [{ path: 'id', message: `is another protocol; here it is "${id}"` }]),
    ...(loaded.value.version === version ? [] : [{ path: 'version', message: `is not ${version}, as this draft is` }]),
  ]
  return faults.length > 0 ? err(faults) : loaded
}

/** The field that a fault is mended in: the one it lies in, or the first of what it lies in below a whole thing. */
export function fieldAt(fields: readonly Field[], path: string): Field | undefined {
  return (
    fields.find(({ paths }) => paths.includes(path)) ??
    (path.split('.').length > 2
      ? fields.find(({ paths }) => paths.some((each) => each.startsWith(`${path}.`)))
      : undefined) ??
    fields.find(({ leftOutWith }) => leftOutWith !== undefined && path.startsWith(`${leftOutWith}.`))
  )
}

/** Takes a station out, and with it everything that only it needed. */
export function retireStation(document: Protocol, stationId: string): Protocol {
  const copy = copyOf(document)
  const without = (list: string[]) => list.filter((id) => id !== stationId)
  copy.stations = copy.stations.filter(({ id }) => id !== stationId)
  copy.precedence = copy.precedence.filter(({ first, second }) => first !== stationId && second !== stationId)
  for (const condition of copy.conditions) {
    condition.forbids = without(condition.forbids)
    for (const importance of IMPORTANCES) condition.stations[importance] = without(condition.stations[importance])
  }
  const [usedBefore, usedNow] = [equipmentUsed(document), equipmentUsed(copy)]
  copy.equipment = copy.equipment.filter(({ id }) => usedNow.has(id) || !usedBefore.has(id))
  // What was there without use before is not ours to take out.
  const before = new Set(faultsOf(document).map(({ message }) => message))
  for (;;) {
    const unused = faultsOf(copy).filter(
      ({ path, message }) => /^(facts|setUps)\.\d+$/.test(path) && !before.has(message),
    )
    if (unused.length === 0) return copy
    for (const { path } of unused.reverse()) takeOut(copy, path)
  }
}

function equipmentUsed(document: unknown): Set<string> {
  if (typeof document !== 'object' || document === null) return new Set()
  return new Set(
    Object.entries(document).flatMap(([key, value]) => {
      if (key === 'equipment' && typeof value === 'string') return [value]
      if (key === 'fetch' && Array.isArray(value)) return value as string[]
      return [...equipmentUsed(value)]
    }),
  )
}

type Json = Record<string, unknown>

function stand(document: Protocol, name: string, standing: Standing): void {
  const [path = '', stationId = ''] = name.split(STANDS)
  const condition = document.conditions[Number(path.split('.')[1])]
  if (!condition) return
  const put = (list: string[], isIn: boolean) =>
    isIn ? [...list, ...(list.includes(stationId) ? [] : [stationId])] : list.filter((id) => id !== stationId)
  condition.forbids = put(condition.forbids, standing === 'forbidden')
  for (const importance of IMPORTANCES)
    condition.stations[importance] = put(condition.stations[importance], standing === importance)
}

function setAt(document: unknown, path: string, value: unknown): void {
  const keys = path.split('.')
  const last = keys.pop() ?? ''
  let at = document as Json
  for (const key of keys) {
    if (typeof at[key] !== 'object' || at[key] === null) {
      if (value === undefined) return
      at[key] = {}
    }
    at = at[key] as Json
  }
  if (value === undefined) delete at[last]
  else at[last] = value
}

function takeOut(document: unknown, path: string): void {
  const keys = path.split('.')
  const last = keys.pop() ?? ''
  const holder = keys.reduce<unknown>((at, key) => (at as Json | undefined)?.[key], document)
  if (Array.isArray(holder)) holder.splice(Number(last), 1)
  else if (holder) delete (holder as Json)[last]
}

function isNumber(raw: string): boolean {
  return /^-?\d+(\.\d+)?$/.test(raw)
}

/** The schema's own English is for programmers. */
function plainly(message: string): string {
  const [, sign, least] = /^Too small: expected number to be (>=?)(.+)$/.exec(message) ?? []
  if (sign) return sign === '>' ? `must be more than ${least}` : `must be ${least} or more`
  const [, most] = /^Too big: expected number to be <=?(.+)$/.exec(message) ?? []
  if (most) return `must be ${most} at the most`
  if (/^Too small: expected string/.test(message)) return 'must not be empty'
  if (/^Invalid (input|option)/.test(message)) return 'is missing, or of the wrong kind'
  return message
}
