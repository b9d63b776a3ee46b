/** One set-up drawn from its measures, and said in words. */
import type { SetUpGeometry } from '#lib/domain/geometry/set-up-geometry.ts'
import type { Locale } from '#lib/domain/protocol/schema.ts'
import { drawingsOf } from '#lib/figures/set-up-drawings.ts'
import { captionOf } from '#lib/words/set-up-words.ts'
import { Drawn } from './drawn.tsx'
import styles from './figures.module.css'

type Props = {
  geometry: SetUpGeometry
  locale: Locale
  /** Where some of what is drawn was said already. */
  caption?: string | null
}

export function SetUpFigure({ geometry, locale, caption }: Props) {
  return (
    <figure className={styles.figure}>
      {drawingsOf(geometry, locale).map((drawing) => (
        <Drawn key={drawing.title} drawing={drawing} />
      ))}
      <figcaption className={styles.caption}>{caption ?? captionOf(geometry, locale)}</figcaption>
    </figure>
  )
}
