import { defineConfig } from 'vitest/config'

const root = new URL('..', import.meta.url).pathname

/**
 * Three projects: `pure` needs nothing, `data` runs the same specification on
 * both back ends, `mail` talks to a real SMTP server in the process.
 */
export default defineConfig({
  root,
  test: {
    include: ['tests/**/*.test.ts', 'tests/**/*.test.tsx'],
    exclude: ['tests/e2e/**', 'node_modules/**'],
  },
})
