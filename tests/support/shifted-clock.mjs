/**
 * A clock that a test puts forward: loaded into the server under test before anything else (`node --import`), it adds the
 * milliseconds that stand in a file to whatever time it is. Nothing of the product knows of it.
 */
import { readFileSync } from 'node:fs'

const file = process.env.CLOCK_SHIFT_FILE
const RealDate = Date
const shift = () => {
  try {
    return Number(readFileSync(file, 'utf8')) || 0
  } catch {
    return 0
  }
}

if (file) {
  globalThis.Date = class ShiftedDate extends RealDate {
    constructor(...args) {
      if (args.length === 0) super(RealDate.now() + shift())
      else super(...args)
    }
    static now() {
      return RealDate.now() + shift()
    }
    // The framework copies what is a date's own, and would not find these further up.
    static UTC = RealDate.UTC
    static parse = RealDate.parse
  }
}
