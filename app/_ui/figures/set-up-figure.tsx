/** One set-up drawn from its measures: from the side, from above where the phone stands by itself, and in words. */
import type { SetUpGeometry } from '#lib/domain/geometry/set-up-geometry.ts'
import type { Locale } from '#lib/domain/protocol/schema.ts'
import { captionOf } from '#lib/words/set-up-words.ts'
import { BedPlan } from './bed-plan.tsx'
import { Elevation } from './elevation.tsx'
import styles from './figures.module.css'
import { FloorPlan } from './floor-plan.tsx'

export function SetUpFigure({ geometry, locale }: { geometry: SetUpGeometry; locale: Locale }) {
  const Plan = geometry.position === 'lying' ? BedPlan : FloorPlan
  return (
    <figure className={styles.figure}>
      <Elevation geometry={geometry} locale={locale} />
      {!geometry.camera.handheld && <Plan geometry={geometry} locale={locale} />}
      <figcaption className={styles.caption}>{captionOf(geometry, locale)}</figcaption>
    </figure>
  )
}
