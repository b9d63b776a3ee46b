import { readFileSync } from 'node:fs'
import { isAbsolute } from 'node:path'
import { describe, expect, test } from 'vitest'
import { explainFaults, readSettings, SETTING_NAMES } from '#lib/adapters/settings.ts'

const production = { NODE_ENV: 'production', AUTH_SECRET: 'x'.repeat(32), BASE_URL: 'https://visits.example.org' }

function faultsOf(env: Record<string, string>): string[] {
  const result = readSettings(env)
  return result.ok ? [] : result.error.map(({ variable }) => variable)
}

test('.env.example lists exactly the variables that are read', () => {
  const listed = [...readFileSync('.env.example', 'utf8').matchAll(/^([A-Z_]+)=/gm)].map(([, name]) => name)
  expect(listed.sort()).toEqual([...SETTING_NAMES].sort())
})

test('.env.example works as it stands', () => {
  const lines = readFileSync('.env.example', 'utf8').matchAll(/^([A-Z_]+)=(.*)$/gm)
  const env = Object.fromEntries([...lines].map(([, name = '', value = '']) => [name, value.replaceAll('"', '')]))
  expect(faultsOf(env)).toEqual([])
})

test('nothing set means the embedded database, mail in the tray and port 3000', () => {
  const result = readSettings({})
  if (!result.ok) throw new Error('refused')
  expect(result.value).toMatchObject({ databaseUrl: null, smtpUrl: null, port: 3000, baseUrl: 'http://localhost:3000' })
  expect(isAbsolute(result.value.dataDir)).toBe(true)
})

describe('refused at start', () => {
  test.each<[string, Record<string, string>, string[]]>([
    ['production without a secret', { ...production, AUTH_SECRET: '' }, ['AUTH_SECRET']],
    ['a secret of 31 characters', { ...production, AUTH_SECRET: 'x'.repeat(31) }, ['AUTH_SECRET']],
    ['the demo on an address others can reach', { ...production, DEMO: '1' }, ['DEMO']],
    ['the demo over a server', { NODE_ENV: 'production', DEMO: '1', DATABASE_URL: 'postgres://host/db' }, ['DEMO']],
    ['a database address of another kind', { DATABASE_URL: 'mysql://host/db' }, ['DATABASE_URL']],
    ['a base address with a path', { BASE_URL: 'https://example.org/farstep' }, ['BASE_URL']],
    ['a port that is none', { PORT: '65536' }, ['PORT']],
    ['half of single sign-on', { OIDC_ISSUER: 'https://id.example.org' }, ['OIDC_CLIENT_ID', 'OIDC_CLIENT_SECRET']],
    ['a separate worker on the embedded database', { WORKER: 'separate' }, ['WORKER']],
    ['a sender without an address', { MAIL_FROM: 'Our clinic' }, ['MAIL_FROM']],
    ['two faults at once', { PORT: 'x', DEMO: 'yes' }, ['DEMO', 'PORT']],
  ])('%s', (_name, env, variables) => {
    expect(faultsOf(env).sort()).toEqual(variables)
  })
})

test('production with a secret and an address of its own is let through', () => {
  expect(faultsOf({ ...production, DATABASE_URL: 'postgres://host/db' })).toEqual([])
})

test('the demo needs no secret on its own machine', () => {
  expect(faultsOf({ NODE_ENV: 'production', DEMO: '1' })).toEqual([])
})

// A secret that was mistyped must not end up in a log.
test('the message names the variable and the way to mend it, and never shows the value', () => {
  const result = readSettings({ ...production, AUTH_SECRET: 'hunter2' })
  if (result.ok) throw new Error('let through')
  expect(explainFaults(result.error)).toMatch(/AUTH_SECRET: .*\n.*openssl/)
  expect(explainFaults(result.error)).not.toContain('hunter2')
})
