/** Which build of the app answers: what one build has drawn, another may not understand. */
import { readFileSync } from 'node:fs'
import { join } from 'node:path'

let known: string | undefined

/** As the framework names it. While it is developed there is no build, and no name. */
export function buildId(): string {
  known ??= readBuildId()
  return known
}

function readBuildId(): string {
  try {
    return readFileSync(join(/* turbopackIgnore: true */ process.cwd(), '.next', 'BUILD_ID'), 'utf8')
  } catch {
    return ''
  }
}
