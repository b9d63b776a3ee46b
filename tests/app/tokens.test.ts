/**
 * Contrast of the tokens, computed from the file itself. Formula and limits: WCAG 2.2, "relative luminance" and "contrast
 * ratio" in the glossary; SC 1.4.6 (7:1 for text) and 1.4.11 (3:1 for edges that mean something).
 */
import { globSync, readFileSync } from 'node:fs'
import { describe, expect, test } from 'vitest'

const source = readFileSync('app/_ui/tokens.css', 'utf8')

function colours(css: string): Record<string, string> {
  return Object.fromEntries(
    [...css.matchAll(/--([\w-]+):\s*(#[0-9a-f]{6});/g)].map((match) => [match[1] ?? '', match[2] ?? '']),
  )
}

const [light = '', dark = '', print = ''] = source.split(/@media [^{]+\{/)
const SCHEMES = {
  light: colours(light),
  dark: { ...colours(light), ...colours(dark) },
  print: { ...colours(light), ...colours(print) },
}

function luminance(hex: string): number {
  const [r = 0, g = 0, b = 0] = [1, 3, 5].map((at) => {
    const channel = Number.parseInt(hex.slice(at, at + 2), 16) / 255
    return channel <= 0.04045 ? channel / 12.92 : ((channel + 0.055) / 1.055) ** 2.4
  })
  return 0.2126 * r + 0.7152 * g + 0.0722 * b
}

function contrast(one: string, other: string): number {
  const [darker = 0, lighter = 0] = [luminance(one), luminance(other)].sort((a, b) => a - b)
  return (lighter + 0.05) / (darker + 0.05)
}

test('the formula gives the published ratio of black on white, and of the grey that just reaches 4.5', () => {
  expect(contrast('#000000', '#ffffff')).toBeCloseTo(21, 5)
  // WCAG 2.2 technique G18 works with 4.5:1; #767676 on white is the well-known last grey (4.54), from memory.
  expect(contrast('#767676', '#ffffff')).toBeCloseTo(4.54, 2)
})

const PAPERS = ['paper', 'paper-raised', 'paper-sunk']
const TEXTS = ['ink', 'ink-soft', 'accent', 'alarm']

describe.each(Object.entries(SCHEMES))('in %s', (_scheme, colour) => {
  const of = (name: string) => colour[name] ?? `--${name} is missing`

  test.each(PAPERS.flatMap((paper) => TEXTS.map((text) => [text, paper])))('%s is read on %s at 7:1', (text, paper) => {
    expect(contrast(of(text), of(paper))).toBeGreaterThanOrEqual(7)
  })

  test.each([
    ['on-accent', 'accent'],
    ['on-alarm', 'alarm'],
  ])('%s is read on %s at 7:1', (text, ground) => {
    expect(contrast(of(text), of(ground))).toBeGreaterThanOrEqual(7)
  })

  test.each(PAPERS)('edges of fields are seen on %s at 3:1', (paper) => {
    expect(contrast(of('rule-strong'), of(paper))).toBeGreaterThanOrEqual(3)
  })
})

test('no colour is written down anywhere but in the tokens', () => {
  const files = globSync('app/**/*.css').filter((file) => !file.endsWith('tokens.css'))
  expect(files.length).toBeGreaterThan(5)
  const strays = files.filter((file) =>
    /#[0-9a-f]{3,8}\b|\b(rgb|hsl|oklch|lab)a?\(/i.test(readFileSync(file, 'utf8').replaceAll(/\/\*[\s\S]*?\*\//g, '')),
  )
  expect(strays).toEqual([])
})
