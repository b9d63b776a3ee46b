/**
 * What the board shows stands in its address, so that it can be kept, sent and come back to: the day, the filters and the
 * order, and which visit is open with which deed. Whatever is not understood counts as not said.
 */
import { z } from 'zod'
import { readBoardInput } from '#lib/usecases/read-board.ts'

/** What can be done from a row. */
export const ACTS = ['call', 'send', 'confirm', 'plan', 'in-person'] as const
export type Act = (typeof ACTS)[number]

const DONE = ['confirmed', 'sent', 'planned', 'moved', 'asked_for_start'] as const
export type Done = (typeof DONE)[number]

const addressSchema = readBoardInput.extend({
  open: z.string().min(1).nullable().catch(null),
  act: z.enum(ACTS).nullable().catch(null),
  /** What was just done, for the row to say so. */
  did: z.enum(DONE).nullable().catch(null),
})
export type BoardAddress = z.output<typeof addressSchema>

type Query = Record<string, string | string[] | undefined>

export function readAddress(query: Query): BoardAddress {
  const { clinician, ...rest } = query
  return addressSchema.parse({ ...rest, clinicianId: clinician })
}

/** Stations of a plan that is being changed stand as `way.ID`; `none` = left out. Null = nothing is asked yet. */
export function readAskedWays(query: Query): Record<string, string | null> | null {
  const asked = Object.entries(query).flatMap(([name, value]): [string, string | null][] =>
    name.startsWith(WAY) && typeof value === 'string'
      ? [[name.slice(WAY.length), value === NO_WAY ? null : value]]
      : [],
  )
  return asked.length === 0 ? null : Object.fromEntries(asked)
}
export const WAY = 'way.'
export const NO_WAY = 'none'
