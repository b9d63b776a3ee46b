/**
 * Can this very start be booked, and if not, why not? A start made by hand, or
 * offered a while ago, is held against the same conditions as the search. The
 * database still has the last word on who gets it.
 */
import { err, ok, type Result } from '#lib/base/result.ts'
import type { AskedStart, BookRefusal, Demand, Start } from './demand.ts'
import { firstFit, type Timeline } from './interval.ts'
import { closesFor, compile, onGrain, servesMode, servesSite } from './query.ts'
import { choose, draft, finish } from './start.ts'
import type { PreparedSupply } from './supply.ts'

/** Whether one start can be booked, by the same conditions as the search; the first that fails is named. */
export function isBookable(supply: PreparedSupply, demand: Demand, asked: AskedStart): Result<Start, BookRefusal> {
  const query = compile(supply, demand)
  const { start } = asked
  const end = start + query.length
  const open = supply.sessions.get(asked.sessionId)
  if (!open) return err('no_such_session')
  const { session } = open
  if (!servesMode(session, demand.mode)) return err('wrong_mode')
  if (demand.clinician?.only && demand.clinician.clinicianId !== session.owner.id) return err('wrong_clinician')
  if (!servesSite(session, demand)) return err('wrong_site')
  if (start < demand.now) return err('in_the_past')
  const terms = query.termsOf(open)
  if (start < terms.noticed) return err('notice_too_short')
  if (start < demand.notBefore) return err('too_early')
  if (demand.seeBy !== null && start > demand.seeBy) return err('after_see_by')
  if (start >= query.to) return err('beyond_horizon')
  const opening = open.openings.find((each) => each.start <= start && end <= each.end)
  if (!opening) return err('outside_session')
  if (onGrain(opening.start, terms.grain, start) !== start) return err('off_grain')
  if (end > closesFor(terms, opening)) return err('kept_for_urgent')
  if (demand.mode === 'video' && demand.placeState === null) return err('place_not_known')

  const fits = (free: Timeline, from: number, length: number) => firstFit(free, from, length) === from
  const taken = terms.before + query.length + terms.after
  if (!fits(terms.licensed, start, query.length)) return err('not_licensed')
  if (!fits(terms.clinicianFree, start - terms.before, taken)) return err('clinician_busy')
  if (!fits(query.patientFree, start, query.length)) return err('patient_busy')
  if (!fits(query.patientTimes, start, query.length)) return err('outside_patient_times')
  if (!fits(query.dayPart, start, 0)) return err('outside_day_part')
  if (demand.helper && !fits(query.helperTimes, start + query.helperFrom, query.helperLength))
    return err('outside_helper_times')
  const places = choose(query, terms, start, asked)
  if (places === 'no_room' || places === 'no_interpreter') return err(places)
  return ok(finish(query, [draft(query, terms, start, places)])[0] as Start)
}
