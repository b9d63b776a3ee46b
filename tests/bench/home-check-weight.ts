/**
 * How much JavaScript does a home-check page bring beyond an empty page of the same app? Read from the build itself: the
 * files that the framework lists for each route, packed as a server would (gzip, level 9). Needs `npm run build` before.
 */
import { existsSync, globSync, readFileSync } from 'node:fs'
import { gzipSync } from 'node:zlib'
import { invariant } from '#lib/base/invariant.ts'
import type { BenchRow } from './bench-row.ts'

const BUILD = '.next'
const PAGES = `${BUILD}/server/app/(patient)`
/** A page of words alone, in the same frame. */
const EMPTY = 'link-needed'
/** At most so much, so that a first page is there on a slow line (400 kbit/s: 0.3 s). */
const GOAL_KB = 15

/** Weighs every home-check route; the heaviest counts. */
export async function rows(): Promise<BenchRow[]> {
  invariant(existsSync(`${BUILD}/BUILD_ID`), 'the app is built: run npm run build before')
  const empty = filesOf(EMPTY)
  const routes = globSync('my/check/**/page.js', { cwd: PAGES }).map((path) => path.slice(0, -'/page.js'.length))
  invariant(routes.length > 3, 'the build holds the pages of the home check')
  const weighed = routes
    .map((route) => ({ route, kB: weigh(filesOf(route).filter((file) => !empty.includes(file))) }))
    .sort((a, b) => b.kB - a.kB)
  const [heaviest] = weighed
  invariant(heaviest, 'there is a heaviest page')
  return [
    {
      id: 'home-check-weight',
      kB: heaviest.kB,
      note:
        `JavaScript, gzip, of ${heaviest.route} beyond the ${weigh(empty).toFixed(1)} kB of an empty page; goal at most ` +
        `${GOAL_KB} kB; all: ${weighed.map(({ route, kB }) => `${route.replace('my/check', '')} ${kB.toFixed(1)}`).join(', ')}`,
    },
  ]
}

type Manifest = { entryJSFiles: Record<string, string[]> }

/** Every script that a route's page, layouts and error pages bring, with what the framework puts on each page. */
function filesOf(route: string): string[] {
  const text = readFileSync(`${PAGES}/${route}/page_client-reference-manifest.js`, 'utf8')
  const manifest = JSON.parse(text.slice(text.indexOf('{', text.indexOf('"] ='))).replace(/;\s*$/, '')) as Manifest
  const { rootMainFiles } = JSON.parse(readFileSync(`${BUILD}/build-manifest.json`, 'utf8')) as {
    rootMainFiles: string[]
  }
  return [...new Set([...rootMainFiles, ...Object.values(manifest.entryJSFiles).flat()])]
}

function weigh(files: readonly string[]): number {
  return files.reduce((sum, file) => sum + gzipSync(readFileSync(`${BUILD}/${file}`), { level: 9 }).length, 0) / 1000
}
