/** After the journeys: their database goes. */
import { rmSync } from 'node:fs'

export default function removeE2eData(): void {
  const folder = process.env.E2E_DATA_DIR
  if (folder) rmSync(folder, { recursive: true, force: true })
}
