/** The one place Temporal comes from. Node 24 has none of its own, so a polyfill stands in until it does. */
export { Temporal } from 'temporal-polyfill'
