/** A drawing as data, so that the page and the print draw the same lines: what is drawn, not by whom. */
import type { Point } from './scene.ts'

/** wedge: what the camera sees. faint: what the patient sits or lies on. paper: filled, so that it covers what is behind. */
export type Hand = 'wedge' | 'ink' | 'faint' | 'dotted' | 'solid' | 'paper' | 'measure'

export type Shape =
  /** Path data of SVG 1.1, section 8.3. */
  | { hand: Hand; path: string }
  | { hand: Hand; circle: { at: Point; radius: number } }
  | { hand: Hand; box: { at: Point; width: number; height: number } }
  /** One or more lines under each other; `at` is on the foot of the first. */
  | { words: readonly string[]; at: Point; align: 'left' | 'middle' | 'right' }

export type Drawing = {
  width: number
  height: number
  title: string
  /** All that it shows, in words. */
  description: string
  /** From the back to the front. */
  shapes: readonly Shape[]
}

/** Distance between two lines of words, and the size of their letters. */
export const WORDS_LINE = 22
export const WORDS_SIZE = 20
