/**
 * No start in time: what stands on the task that says so, as codes. Which limit, when the first start after it is, and
 * which single conditions, set aside, would give a start before it. The words are made where it is shown.
 */
import { z } from 'zod'
import { RELAXATIONS, type RelaxationKind } from '../calendar/demand.ts'
import type { VisitMode } from '../calendar/supply.ts'

/** Instants are ISO text. */
export type Breach = {
  mode: VisitMode
  seeBy: string
  /** The first start there is, after the see-by time; null = none as far ahead as the clinic books. */
  firstAt: string | null
  /** What could be set aside, each with the earliest start it gives, all in time. */
  helps: { kind: RelaxationKind; startsAt: string }[]
}

export type BreachDetail = { mode: VisitMode; seeBy: string; helps: string[]; firstAt?: string }

/** As a task keeps it. */
export function breachDetail({ mode, seeBy, firstAt, helps }: Breach): BreachDetail {
  return {
    mode,
    seeBy,
    helps: helps.map(({ kind, startsAt }) => `${kind} ${startsAt}`),
    ...(firstAt !== null && { firstAt }),
  }
}

const detailSchema = z.object({
  mode: z.enum(['video', 'in_person']),
  seeBy: z.iso.datetime(),
  helps: z.array(z.string()),
  firstAt: z.iso.datetime().optional(),
})

/** Null where a task was written before it held these codes. */
export function readBreach(detail: unknown): Breach | null {
  const read = detailSchema.safeParse(detail)
  if (!read.success) return null
  const { mode, seeBy, firstAt = null } = read.data
  const helps = read.data.helps.flatMap((text) => {
    const [name, startsAt] = text.split(' ')
    const kind = RELAXATIONS.find((one) => one === name)
    return kind && startsAt ? [{ kind, startsAt }] : []
  })
  return { mode, seeBy, firstAt, helps }
}
