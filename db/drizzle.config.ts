import { defineConfig } from 'drizzle-kit'

/** `npm run generate` compares the schema with the last migration and writes the next one. */
export default defineConfig({
  dialect: 'postgresql',
  schema: './db/schema/index.ts',
  out: './db/migrations',
})
