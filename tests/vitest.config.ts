/**
 * Four projects. `rules` reads the sources, `pure` needs nothing; the other two run the same tests, once on the embedded
 * database and once on a PostgreSQL server. Each has another time zone, because nothing may depend on the machine's.
 */
import { configDefaults, defineConfig } from 'vitest/config'

const rules = 'tests/architecture.test.ts'
const onDatabase = [
  'tests/data/**/*.test.{ts,tsx}',
  'tests/usecases/**/*.test.{ts,tsx}',
  'tests/jobs/**/*.test.{ts,tsx}',
]

// One connection cannot race with itself: contention is tested on the server alone.
const onServer = ['tests/concurrency/**/*.test.ts']

export default defineConfig({
  root: new URL('..', import.meta.url).pathname,
  test: {
    setupFiles: ['tests/support/no-console-errors.ts', 'tests/support/same-cases.ts'],
    testTimeout: 20_000,
    hookTimeout: 60_000,
    maxWorkers: 2,
    coverage: {
      provider: 'v8',
      include: ['app/**/*.{ts,tsx}', 'db/**/*.ts', 'emails/**/*.tsx', 'lib/**/*.ts'],
      exclude: ['lib/scripts/**', 'db/drizzle.config.ts'],
      reporter: ['text-summary', 'json-summary', 'html'],
      reportsDirectory: 'coverage',
    },
    projects: [
      { extends: true, test: { name: 'rules', include: [rules] } },
      {
        extends: true,
        test: {
          name: 'pure',
          include: ['tests/**/*.test.{ts,tsx}'],
          exclude: [...configDefaults.exclude, 'tests/e2e/**', rules, ...onDatabase, ...onServer],
          env: { TZ: 'Pacific/Chatham' },
        },
      },
      {
        extends: true,
        test: {
          name: 'data-pglite',
          include: onDatabase,
          globalSetup: ['tests/support/pglite-setup.ts'],
          isolate: false,
          env: { TZ: 'UTC', TEST_BACK_END: 'pglite' },
        },
      },
      {
        extends: true,
        test: {
          name: 'data-postgres',
          include: [...onDatabase, ...onServer],
          globalSetup: ['tests/support/postgres-setup.ts'],
          isolate: false,
          env: { TZ: 'America/New_York', TEST_BACK_END: 'postgres' },
        },
      },
    ],
  },
})
