/** Every way into the app, found in its folder: a page, a handler or an action that nobody decided about is found too. */
import { globSync, readFileSync } from 'node:fs'

/** `/referrals/[id]`: the address of a page or handler. Folders in brackets are not part of it. */
function addressOf(file: string): string {
  const folders = file.split('/').slice(1, -1)
  return `/${folders.filter((folder) => !/^\(.*\)$/.test(folder)).join('/')}`
}

/** `GET /desk` for each page. */
export function discoverPages(): string[] {
  return globSync('app/**/page.tsx').map((file) => `GET ${addressOf(file)}`)
}

/** `POST /api/imports` for each method that a route handler answers. */
export function discoverHandlers(): string[] {
  return globSync('app/**/route.{ts,tsx}').flatMap((file) =>
    [
      ...readFileSync(file, 'utf8').matchAll(
        /export (?:async )?(?:function|const) (GET|HEAD|POST|PUT|PATCH|DELETE|OPTIONS)\b/g,
      ),
    ].map(([, method]) => `${method} ${addressOf(file)}`),
  )
}

/** `app/sign-in/actions.ts signIn` for each server action. */
export function discoverActions(): string[] {
  return globSync('app/**/*.ts')
    .filter((file) => /^\s*(\/\*[\s\S]*?\*\/|\/\/.*\n|\s)*['"]use server['"]/.test(readFileSync(file, 'utf8')))
    .flatMap((file) =>
      [...readFileSync(file, 'utf8').matchAll(/export async function (\w+)/g)].map(([, name]) => `${file} ${name}`),
    )
}

/** Files that hide an action inside a component, where no row could name it. */
export function hiddenActions(): string[] {
  return globSync('app/**/*.{ts,tsx}').filter((file) => /[{;]\s*['"]use server['"]/.test(readFileSync(file, 'utf8')))
}
