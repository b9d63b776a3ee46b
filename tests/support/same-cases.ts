/**
 * Laws are tried on the same random cases on every run: a change is judged by what it changed, not by luck.
 * Other cases: `SEED=$RANDOM npm test`. What they find becomes a test of its own.
 */
import fc from 'fast-check'

fc.configureGlobal({ seed: Number(process.env.SEED ?? 20260310) })
