/**
 * A cookie that a page sets for the moment in which it reads itself again because something changed: nobody did anything, so
 * the session is not kept alive by it (ASVS 5.0 7.3.1). What a person does is told apart from it, see `idle-warning.tsx`.
 */
export const LOOKS_BY_ITSELF = 'farstep_looks_by_itself'
