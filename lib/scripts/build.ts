/** `npm run build`: the production build, stamped with what it was built from. */
import { buildApp } from './built-app.ts'

buildApp()
