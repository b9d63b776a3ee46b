/** The board's address as text, also where the browser draws the board: so without the reading of addresses. */
import type { BoardAddress } from './address.ts'

/** The address with something else in it. What is as it would be anyway is left out. */
export function boardHref(address: BoardAddress, change: Partial<BoardAddress> = {}): string {
  const query = new URLSearchParams(queryOf({ ...address, ...change }))
  return query.size === 0 ? '/board' : `/board?${query}`
}

/** The same as fields of a form that is sent by address. */
export function queryOf(address: BoardAddress): [string, string][] {
  const { clinicianId, sort, page, ...rest } = address
  const all = {
    ...rest,
    clinician: clinicianId,
    sort: sort === 'clinician' ? null : sort,
    page: page > 1 ? page : null,
  }
  return Object.entries(all).flatMap(([name, value]): [string, string][] =>
    value === null ? [] : [[name, String(value)]],
  )
}

/** For another choice of visits: nothing stays open, and the first page is shown. */
export const AFRESH = { page: 1, open: null, act: null, did: null } as const
