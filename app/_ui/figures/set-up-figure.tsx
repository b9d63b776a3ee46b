/** One set-up drawn from its measures, and said in words. */
import type { SetUpGeometry } from '#lib/domain/geometry/set-up-geometry.ts'
import type { Locale } from '#lib/domain/protocol/schema.ts'
import { drawingsOf } from '#lib/figures/set-up-drawings.ts'
import { captionOf } from '#lib/words/set-up-words.ts'
import { Drawn } from './drawn.tsx'
import styles from './figures.module.css'

export function SetUpFigure({ geometry, locale }: { geometry: SetUpGeometry; locale: Locale }) {
  return (
    <figure className={styles.figure}>
      {drawingsOf(geometry, locale).map((drawing) => (
        <Drawn key={drawing.title} drawing={drawing} />
      ))}
      <figcaption className={styles.caption}>{captionOf(geometry, locale)}</figcaption>
    </figure>
  )
}
