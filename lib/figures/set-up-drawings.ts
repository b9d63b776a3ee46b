/** One set-up drawn from its measures: from the side, and from above where the phone stands by itself. */
import type { SetUpGeometry } from '#lib/domain/geometry/set-up-geometry.ts'
import type { Locale } from '#lib/domain/protocol/schema.ts'
import { bedPlan } from './bed-plan.ts'
import type { Drawing } from './drawing.ts'
import { elevation } from './elevation.ts'
import { floorPlan } from './floor-plan.ts'

/** Side view first. */
export function drawingsOf(geometry: SetUpGeometry, locale: Locale): Drawing[] {
  const plan = geometry.position === 'lying' ? bedPlan : floorPlan
  return [elevation(geometry, locale), ...(geometry.camera.handheld ? [] : [plan(geometry, locale)])]
}
