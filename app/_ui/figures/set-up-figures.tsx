/** Every set-up of an exam, drawn to measure; closed until somebody wants to look. For staff. */
import type { SetUpGeometry } from '#lib/domain/geometry/set-up-geometry.ts'
import { SetUpFigure } from './set-up-figure.tsx'

export function SetUpFigures({ geometries }: { geometries: readonly SetUpGeometry[] }) {
  if (geometries.length === 0) return null
  return (
    <details>
      <summary>Set-ups, drawn to measure</summary>
      {geometries.map((geometry) => (
        <section key={geometry.setUpId}>
          <h3>{geometry.title.en}</h3>
          <SetUpFigure geometry={geometry} locale="en" />
        </section>
      ))}
    </details>
  )
}
