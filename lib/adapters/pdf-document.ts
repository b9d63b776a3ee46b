/**
 * A printable document from plain blocks: headings, paragraphs, lists, tables and drawings. Tagged as ISO 14289-1 (PDF/UA)
 * asks: a structure tree in reading order, the language, a title, words for every drawing, and everything that only
 * decorates marked as such. It says what it is given and nothing else.
 */
import PDFDocument from 'pdfkit'
import { type Drawing, type Shape, WORDS_LINE, WORDS_SIZE } from '#lib/figures/drawing.ts'
import { WIDTH } from '#lib/figures/scene.ts'
import { FACES, type Typeface, typeface, type Weight } from './typeface.ts'

export type PdfBlock =
  /** `text` goes on in its line. */
  | { heading: string; level: 1 | 2 | 3 | 4; text?: string }
  /** `label` stands before the text, in bold. */
  | { text: string; label?: string; look?: 'quiet' | 'strong' }
  | { address: string }
  /**
   * `also` stands under its item. `lead` stands before the list, and is said again on every page that it reaches. In columns
   * it is read down the left one first, on each page by itself.
   */
  | { list: readonly ListItem[]; lead?: string; numbered?: boolean; columns?: boolean }
  /** `shares`: how wide the columns are beside each other. Its head is said again on every page. */
  | { table: { head: readonly string[]; rows: readonly (readonly string[])[]; shares?: readonly number[] } }
  /** The words with the drawings to their right, all on one page; blocks that begin under the drawings go on below them. */
  | { beside: readonly Drawing[]; blocks: readonly PdfBlock[] }
  /** Two columns on one page, of which the left one is read first. */
  | { sideBySide: readonly [readonly PdfBlock[], readonly PdfBlock[]] }
  /** On one page if one page holds it. `ruled` = with a line along its left side. */
  | { together: readonly PdfBlock[]; ruled?: boolean }

type ListItem = { text: string; also?: readonly string[] }

export type PdfContent = {
  title: string
  /** BCP 47. */
  language: string
  /** At the foot of every page, such as whom to call. */
  foot: string
  pageOf: (page: number, pages: number) => string
  blocks: readonly PdfBlock[]
  /** Points of the body text: 12 for people at home, less for staff. */
  bodySize?: number
  /** When it was made: the same content gives the same bytes. */
  madeAt: Date
}

/** US Letter, as the clinics' printers hold it: 612 × 792 points. */
const PAGE = { size: 'LETTER', margins: { top: 42, left: 50, right: 50, bottom: 54 } } as const
const FOOT_SIZE = 10.5
const INK = '#0f2a2c'
const SOFT = '#3f5658'
const RULE = '#8d9c98'
const SUNK = '#eef1ec'

/** Leading and room around blocks, in parts of the body size. */
const LINE_GAP = 0.17
const AFTER = 0.45
const ITEM_AFTER = 0.2
const RULED_AFTER = 1.4
const HEADINGS = {
  1: { size: 1.9, before: 0, after: 0.4 },
  2: { size: 1.4, before: 1, after: 0.3 },
  3: { size: 1.15, before: 0.9, after: 0.3 },
  4: { size: 1, before: 0, after: 0.2 },
} as const
const INDENT = 1.1
/** Between words in bold and what goes on in their line. */
const APART = '  '
const CELL = 0.4
/** Between two columns, in parts of the body size. */
const GUTTER = 1.4
/** Points a drawing is wide: its words are then as large as a caption. */
const DRAWING_WIDTH = (10.5 / WORDS_SIZE) * WIDTH

/** The whole document, as a file's bytes. */
export async function renderPdf(content: PdfContent): Promise<Buffer> {
  const writer = new Writer(content, await typeface())
  return writer.write()
}

type Doc = PDFKit.PDFDocument
type Parent = { add(child: unknown): unknown; end(): void }
type Box = { x: number; width: number }
type Style = { size: number; weight?: Weight; color?: string }

type Block<Key extends string> = Extract<PdfBlock, { [key in Key]: unknown }>

class Writer {
  private readonly content: PdfContent
  private readonly faces: Typeface
  private readonly doc: Doc
  private readonly size: number
  private readonly root: Parent

  constructor(content: PdfContent, faces: Typeface) {
    this.content = content
    this.size = content.bodySize ?? 12
    this.doc = new PDFDocument({
      ...PAGE,
      pdfVersion: '1.7',
      subset: 'PDF/UA' as never,
      tagged: true,
      lang: content.language,
      displayTitle: true,
      bufferPages: true,
      font: null as never,
      info: { Title: content.title, Creator: 'Farstep', Producer: 'Farstep', CreationDate: content.madeAt },
    })
    this.faces = faces
    for (const [face, font] of faces) this.doc.registerFont(face, font as never)
    this.root = this.doc.struct('Document') as never
    this.doc.addStructure(this.root as never)
  }

  async write(): Promise<Buffer> {
    const parts: Buffer[] = []
    this.doc.on('data', (part: Buffer) => parts.push(part))
    const ended = new Promise((resolve) => this.doc.once('end', resolve))
    const { left, right } = PAGE.margins
    const box = { x: left, width: this.doc.page.width - left - right }
    this.blocks(this.content.blocks, this.root, () => box)
    this.root.end()
    this.feet()
    this.doc.end()
    await ended
    return Buffer.concat(parts)
  }

  private blocks(blocks: readonly PdfBlock[], parent: Parent, boxHere: () => Box): void {
    for (const [at, block] of blocks.entries()) {
      const next = blocks[at + 1]
      const box = boxHere()
      // A heading never stands alone at the end of a page.
      const needed = this.leastOf(block, box) + ('heading' in block && next ? this.leastOf(next, box) : 0)
      if (!this.isAtTop() && this.doc.y + needed > this.floor()) this.doc.addPage()
      this.block(block, parent, boxHere())
    }
  }

  private block(block: PdfBlock, parent: Parent, box: Box): void {
    if ('heading' in block) this.heading(block, parent, box)
    else if ('text' in block) this.paragraph(block, parent, box)
    else if ('address' in block) this.address(block.address, parent, box)
    else if ('list' in block) this.list(block, parent, box)
    else if ('table' in block) this.table(block.table, parent, box)
    else if ('beside' in block) this.beside(block, parent, box)
    else if ('sideBySide' in block) this.sideBySide(block.sideBySide, parent, box)
    else if (block.ruled) this.ruled(block.together, parent, box)
    else this.blocks(block.together, parent, () => box)
  }

  private heading({ heading, level, text }: Block<'heading'>, parent: Parent, box: Box): void {
    const { size, before, after } = HEADINGS[level]
    if (!this.isAtTop()) this.doc.y += before * this.size
    if (level === 2) this.artifact(() => this.rule(box, this.doc.y - 0.35 * this.size))
    const style = { size: size * this.size, weight: 'strong' } as const
    if (text === undefined) this.element(`H${level}`, parent, () => this.words(heading, box, style, { lineGap: 0 }))
    else {
      this.element(`H${level}`, parent, () => this.words(heading + APART, box, style, { continued: true }))
      this.element('P', parent, () => this.words(text, box, { size: this.size }))
    }
    this.doc.y += after * this.size
  }

  private paragraph({ text, label, look }: Block<'text'>, parent: Parent, box: Box): void {
    const style = this.styleOf(look)
    this.element('P', parent, () => {
      if (label) this.words(label + APART, box, { ...style, weight: 'strong' }, { continued: true })
      this.words(text, box, style)
    })
    this.doc.y += AFTER * this.size
  }

  private styleOf(look: 'quiet' | 'strong' | undefined): Style {
    return {
      size: look === 'quiet' ? this.size * 0.88 : this.size,
      weight: look === 'strong' ? 'strong' : 'plain',
      color: look === 'quiet' ? SOFT : INK,
    }
  }

  private address(address: string, parent: Parent, box: Box): void {
    const paragraph = this.doc.struct('P') as never as Parent
    parent.add(paragraph)
    this.element('Link', paragraph, () =>
      this.words(address, box, { size: this.size, weight: 'strong' }, { link: address, underline: true }),
    )
    paragraph.end()
    this.doc.y += AFTER * this.size
  }

  private list(block: Block<'list'>, parent: Parent, box: Box): void {
    const { lead } = block
    if (lead !== undefined) this.paragraph({ text: lead, look: 'strong' }, parent, box)
    // As the head of a table: what is said again is heard once.
    const onNextPage = () => {
      this.doc.addPage()
      if (lead === undefined) return
      this.artifact(() => this.words(lead, box, this.styleOf('strong')))
      this.doc.y += AFTER * this.size
    }
    this.items(block, onNextPage, parent, box)
    this.doc.y += (AFTER - ITEM_AFTER) * this.size
  }

  private items(
    { list: items, numbered, columns }: Block<'list'>,
    onNextPage: () => void,
    parent: Parent,
    box: Box,
  ): void {
    const list = this.doc.struct('L') as never as Parent
    parent.add(list)
    const label = (at: number) => (numbered ? `${at + 1}. ` : '• ')
    if (columns) this.inColumns(items, onNextPage, list, box)
    else
      for (const [at, item] of items.entries()) {
        if (this.doc.y + this.leastOfItem(item, box) > this.floor()) onNextPage()
        this.item(item, label(at), list, box)
      }
    list.end()
  }

  private item({ text, also = [] }: ListItem, label: string, list: Parent, box: Box): void {
    const indent = INDENT * this.size
    const inner = { x: box.x + indent, width: box.width - indent }
    const item = this.doc.struct('LI') as never as Parent
    list.add(item)
    const top = this.doc.y
    this.element('Lbl', item, () => this.words(label, { ...box, width: indent }, { size: this.size }))
    this.doc.y = top
    const body = this.doc.struct('LBody') as never as Parent
    item.add(body)
    this.element('P', body, () => this.words(text, inner, { size: this.size }))
    this.doc.y += ITEM_AFTER * this.size
    const under = also.map((each) => ({ text: each }))
    if (under.length > 0) this.items({ list: under }, () => this.doc.addPage(), body, inner)
    body.end()
    item.end()
  }

  /** Two columns of about one height, on each page that they reach; an item stays whole. */
  private inColumns(items: readonly ListItem[], onNextPage: () => void, list: Parent, box: Box): void {
    const column = this.columnOf(box)
    const heights = items.map((item) => this.heightOfItem(item, column))
    let isFresh = this.isAtTop()
    for (let from = 0; from < items.length; ) {
      const { left, right } = fillColumns(heights.slice(from), this.floor() - this.doc.y - 1)
      if (left === 0) {
        // Longer than a page: it goes on over the next one, as wide as the page.
        if (isFresh) this.item(items[from++] as ListItem, '• ', list, box)
        else onNextPage()
        isFresh = !isFresh
        continue
      }
      isFresh = false
      const top = this.doc.y
      for (const item of items.slice(from, from + left)) this.item(item, '• ', list, column)
      const foot = this.doc.y
      this.doc.y = top
      const other = { ...column, x: box.x + box.width - column.width }
      for (const item of items.slice(from + left, from + left + right)) this.item(item, '• ', list, other)
      this.doc.y = Math.max(foot, this.doc.y)
      from += left + right
    }
  }

  private sideBySide(columns: Block<'sideBySide'>['sideBySide'], parent: Parent, box: Box): void {
    const left = this.columnOf(box)
    const right = { ...left, x: box.x + box.width - left.width }
    const top = this.doc.y
    let foot = top
    for (const [at, column] of [left, right].entries()) {
      this.doc.y = top
      this.blocks(columns[at] ?? [], parent, () => column)
      foot = Math.max(foot, this.doc.y)
    }
    this.doc.y = foot
  }

  private columnOf({ x, width }: Box): Box {
    return { x, width: (width - GUTTER * this.size) / 2 }
  }

  private table({ head, rows, shares }: Block<'table'>['table'], parent: Parent, box: Box): void {
    const parts = shares ?? head.map(() => 1)
    const whole = parts.reduce((sum, part) => sum + part, 0)
    const pad = CELL * this.size
    let x = box.x
    const columns = parts.map((part) => {
      const width = (box.width * part) / whole
      x += width
      return { x: x - width + pad, width: width - 2 * pad }
    })
    const cellsOf = (cells: readonly string[], weight: Weight) =>
      columns.map((column, at) => ({ column, text: cells[at] ?? '', style: { size: this.size * 0.92, weight } }))
    const heightOf = (cells: ReturnType<typeof cellsOf>) =>
      Math.max(...cells.map(({ column, text, style }) => this.heightOf(text, column.width, style))) + 2 * pad
    const row = (cells: ReturnType<typeof cellsOf>, tag: 'TH' | 'TD', into: Parent | null) => {
      const top = this.doc.y
      const height = heightOf(cells)
      this.artifact(() => {
        if (tag === 'TH') this.doc.rect(box.x, top, box.width, height).fill(SUNK)
        this.rule(box, top + height)
      })
      const line = into && (this.doc.struct('TR') as never as Parent)
      if (into && line) into.add(line)
      for (const { column, text, style } of cells) {
        this.doc.y = top + pad
        const draw = () => this.words(text, column, style, { lineGap: LINE_GAP * style.size })
        // A head that is said again on the next page is heard once.
        if (line) this.element(tag, line, draw, tag === 'TH' ? { scope: 'Column' } : {})
        else this.artifact(draw)
      }
      line?.end()
      this.doc.y = top + height
    }
    const table = this.doc.struct('Table') as never as Parent
    parent.add(table)
    row(cellsOf(head, 'strong'), 'TH', table)
    for (const cells of rows) {
      const line = cellsOf(cells, 'plain')
      if (this.doc.y + heightOf(line) > this.floor()) {
        this.doc.addPage()
        row(cellsOf(head, 'strong'), 'TH', null)
      }
      row(line, 'TD', table)
    }
    table.end()
    this.doc.y += 2 * AFTER * this.size
  }

  /** The drawings are heard after the block that begins it, which is its heading. */
  private beside({ beside: drawings, blocks }: Block<'beside'>, parent: Parent, box: Box): void {
    const words = this.wordsBeside(box)
    const page = this.pageIndex()
    const [first] = blocks
    const before = first && 'heading' in first && !this.isAtTop() ? HEADINGS[first.level].before * this.size : 0
    const top = this.doc.y + before
    const foot = top + this.drawingsHeight(drawings)
    const boxHere = () => (this.pageIndex() === page && this.doc.y < foot ? words : box)
    this.blocks(blocks.slice(0, 1), parent, boxHere)
    const here = this.doc.y
    this.figures(drawings, parent, box.x + box.width - DRAWING_WIDTH, top)
    this.doc.y = here
    this.blocks(blocks.slice(1), parent, boxHere)
    if (this.pageIndex() === page) this.doc.y = Math.max(this.doc.y, foot)
  }

  private figures(drawings: readonly Drawing[], parent: Parent, x: number, top: number): void {
    const scale = DRAWING_WIDTH / WIDTH
    let y = top
    for (const { width, height, title, description, shapes } of drawings) {
      const [from, right, bottom] = [y, x + width * scale, y + height * scale]
      this.element('Figure', parent, () => this.draw(shapes, x, from, scale), {
        alt: `${title}. ${description}`,
        bbox: [x, from, right, bottom],
        placement: 'Block',
      })
      y = bottom + AFTER * this.size
    }
  }

  private wordsBeside({ x, width }: Box): Box {
    return { x, width: width - DRAWING_WIDTH - GUTTER * this.size }
  }

  private drawingsHeight(drawings: readonly Drawing[]): number {
    const heights = drawings.map(({ height }) => (height * DRAWING_WIDTH) / WIDTH + AFTER * this.size)
    return heights.reduce((sum, each) => sum + each, 0)
  }

  /** The line is drawn when it is known where the blocks end, on every page that they reach. */
  private ruled(blocks: readonly PdfBlock[], parent: Parent, box: Box): void {
    const from = { page: this.pageIndex(), y: this.doc.y }
    const inner = { x: box.x + this.size, width: box.width - this.size }
    this.blocks(blocks, parent, () => inner)
    const to = { page: this.pageIndex(), y: this.doc.y - AFTER * this.size }
    for (let page = from.page; page <= to.page; page += 1) {
      this.doc.switchToPage(page)
      const top = page === from.page ? from.y : PAGE.margins.top
      const bottom = page === to.page ? to.y : this.floor()
      this.artifact(() => this.doc.rect(box.x, top, 2, bottom - top).fill(RULE))
    }
    this.doc.y = to.y + RULED_AFTER * AFTER * this.size
  }

  /** Whom to call and which page, once it is known how many there are. */
  private feet(): void {
    const { count } = this.doc.bufferedPageRange()
    const { left, right, bottom } = PAGE.margins
    const width = this.doc.page.width - left - right
    for (let page = 0; page < count; page += 1) {
      this.doc.switchToPage(page)
      // The foot stands in the margin, where text would begin another page.
      this.doc.page.margins.bottom = 0
      const y = this.doc.page.height - bottom + 14
      this.artifact(
        () => {
          this.rule({ x: left, width }, y - 6)
          this.doc.y = y
          this.words(this.content.foot, { x: left, width: width * 0.78 }, { size: FOOT_SIZE, color: SOFT })
          this.doc.y = y
          const number = this.content.pageOf(page + 1, count)
          const box = { x: left + width * 0.8, width: width * 0.2 }
          this.words(number, box, { size: FOOT_SIZE, color: SOFT }, { align: 'right' })
        },
        { type: 'Pagination', attached: ['Bottom'] },
      )
      this.doc.page.margins.bottom = bottom
    }
  }

  private element(tag: string, parent: Parent, draw: () => void, options: Record<string, unknown> = {}): void {
    parent.add(this.doc.struct(tag as never, options as never, [draw] as never))
  }

  private artifact(draw: () => void, options: Record<string, unknown> = { type: 'Layout' }): void {
    this.doc.markContent('Artifact', options as never)
    draw()
    this.doc.endMarkedContent()
  }

  private rule({ x, width }: Box, y: number): void {
    this.doc
      .moveTo(x, y)
      .lineTo(x + width, y)
      .lineWidth(0.75)
      .stroke(RULE)
  }

  /** Words that end with a space, so that whoever reads them aloud keeps one element's last word from the next one's first. */
  private words(
    text: string,
    { x, width }: Box,
    { size, weight = 'plain', color = INK }: Style,
    options: PDFKit.Mixins.TextOptions = {},
  ): void {
    const runs = this.runsOf(text, weight)
    this.doc.fontSize(size).fillColor(color)
    for (const [at, { face, run }] of runs.entries()) {
      this.doc.font(face)
      const isLast = at === runs.length - 1
      const own = { lineGap: LINE_GAP * size, ...options, width, continued: isLast ? options.continued === true : true }
      const isBegun = at > 0 || isContinued(this.doc)
      if (isBegun) this.doc.text(run, own)
      else this.doc.text(run, x, this.doc.y, own)
    }
  }

  /** Each stretch with the first face that has its letters; a letter that no face has becomes a question mark. */
  private runsOf(text: string, weight: Weight): { face: string; run: string }[] {
    const runs: { face: string; run: string }[] = []
    for (const letter of unbroken(text.normalize('NFC'))) {
      const known = FACES[weight].find((face) => this.faces.get(face)?.hasGlyphForCodePoint(letter.codePointAt(0) ?? 0))
      const last = runs.at(-1)
      const face = letter === ' ' && last ? last.face : (known ?? FACES[weight][0])
      const shown = known ? letter : '?'
      if (last?.face === face) last.run += shown
      else runs.push({ face, run: shown })
    }
    return runs.length > 0 ? runs : [{ face: FACES[weight][0], run: ' ' }]
  }

  private heightOf(text: string, width: number, { size, weight = 'plain' }: Style, lineGap = LINE_GAP * size): number {
    this.doc.font(FACES[weight][0]).fontSize(size)
    return this.doc.heightOfString(unbroken(text) || ' ', { width, lineGap })
  }

  /** What must fit on the page for a block to begin on it: all of what stays together, two lines of the rest. */
  private leastOf(block: PdfBlock, box: Box): number {
    const page = this.floor() - PAGE.margins.top
    if ('beside' in block) return Math.min(this.heightsBeside(block, box).least, page)
    const whole = this.heightOfBlock(block, box)
    if ('together' in block || 'sideBySide' in block) return whole > page ? this.line() * 2 : whole
    if ('list' in block) {
      const [first] = block.list
      const least = !first
        ? 0
        : block.columns
          ? this.heightOfItem(first, this.columnOf(box))
          : this.leastOfItem(first, box)
      return this.heightOfLead(block, box) + least
    }
    return 'heading' in block ? whole : Math.min(whole, this.line() * 2)
  }

  private heightOfBlock(block: PdfBlock, box: Box): number {
    if ('heading' in block) {
      const { size, before, after } = HEADINGS[block.level]
      const style = { size: size * this.size, weight: 'strong' } as const
      const words = block.text === undefined ? block.heading : block.heading + APART + block.text
      const lineGap = block.text === undefined ? 0 : undefined
      return this.heightOf(words, box.width, style, lineGap) + (before + after) * this.size
    }
    if ('text' in block) {
      const words = block.label ? block.label + APART + block.text : block.text
      return this.heightOf(words, box.width, this.styleOf(block.look)) + AFTER * this.size
    }
    if ('address' in block)
      return this.heightOf(block.address, box.width, { size: this.size, weight: 'strong' }) + AFTER * this.size
    if ('list' in block) {
      const heights = (inside: Box) => block.list.map((item) => this.heightOfItem(item, inside))
      const around = this.heightOfLead(block, box) + (AFTER - ITEM_AFTER) * this.size
      if (!block.columns) return sum(heights(box)) + around
      const columns = heights(this.columnOf(box))
      const { left } = fillColumns(columns, Number.POSITIVE_INFINITY)
      return Math.max(sum(columns.slice(0, left)), sum(columns.slice(left))) + around
    }
    if ('beside' in block) return this.heightsBeside(block, box).whole
    if ('sideBySide' in block) {
      const column = this.columnOf(box)
      return Math.max(...block.sideBySide.map((blocks) => sum(blocks.map((each) => this.heightOfBlock(each, column)))))
    }
    if ('table' in block) return this.line() * 3
    const inner = block.ruled ? { ...box, width: box.width - this.size } : box
    const after = block.ruled ? (RULED_AFTER - 1) * AFTER * this.size : 0
    return sum(block.together.map((each) => this.heightOfBlock(each, inner))) + after
  }

  private heightOfLead({ lead }: Block<'list'>, { width }: Box): number {
    return lead === undefined ? 0 : this.heightOf(lead, width, this.styleOf('strong')) + AFTER * this.size
  }

  /** Its first two lines, if it has so many. */
  private leastOfItem({ text }: ListItem, box: Box): number {
    return Math.min(this.heightOfItem({ text }, box), this.line() * 2)
  }

  private heightOfItem({ text, also = [] }: ListItem, { width }: Box): number {
    const indent = INDENT * this.size
    const heights = [text, ...also].map((each, at) =>
      this.heightOf(each, width - (at === 0 ? 1 : 2) * indent, { size: this.size }),
    )
    return sum(heights) + heights.length * ITEM_AFTER * this.size
  }

  /** All of it, and as far as what begins beside the drawings goes. */
  private heightsBeside({ beside, blocks }: Block<'beside'>, box: Box): { whole: number; least: number } {
    const foot = this.drawingsHeight(beside)
    const words = this.wordsBeside(box)
    let whole = 0
    let least = foot
    for (const block of blocks) {
      const isBeside = whole < foot
      whole += this.heightOfBlock(block, isBeside ? words : box)
      if (isBeside) least = Math.max(foot, whole)
    }
    return { whole: Math.max(whole, foot), least }
  }

  private draw(shapes: readonly Shape[], x: number, y: number, scale: number): void {
    this.doc.save().translate(x, y).scale(scale)
    for (const shape of shapes) this.shape(shape)
    this.doc.restore()
  }

  private shape(shape: Shape): void {
    const { doc } = this
    if ('words' in shape) {
      doc.font(FACES.plain[0]).fontSize(WORDS_SIZE)
      for (const [at, line] of shape.words.entries()) {
        const width = doc.widthOfString(line)
        const left = shape.at[0] - (shape.align === 'left' ? 0 : shape.align === 'middle' ? width / 2 : width)
        const foot = shape.at[1] + at * WORDS_LINE
        // Words stay clear of the lines behind them.
        doc.rect(left - 2, foot - WORDS_SIZE * 0.8, width + 4, WORDS_SIZE).fill('white')
        doc.fillColor(INK).text(`${line} `, left, foot, { lineBreak: false, baseline: 'alphabetic' })
      }
      return
    }
    if ('path' in shape) doc.path(shape.path)
    else if ('circle' in shape) doc.circle(...shape.circle.at, shape.circle.radius)
    else doc.roundedRect(...shape.box.at, shape.box.width, shape.box.height, 2)
    switch (shape.hand) {
      case 'solid':
        doc.fill(INK)
        return
      case 'wedge':
        doc.lineWidth(1).dash(4, { space: 4 }).fillAndStroke(SUNK, RULE).undash()
        return
      case 'paper':
        doc.lineWidth(2.5).lineJoin('round').fillAndStroke('white', INK)
        return
      case 'measure':
        doc.lineWidth(1).stroke(SOFT)
        return
      case 'dotted':
        doc.lineWidth(2.5).lineCap('round').dash(2, { space: 8 }).stroke(INK).undash()
        return
      case 'ink':
      case 'faint':
        doc
          .lineWidth(2.5)
          .lineCap('round')
          .lineJoin('round')
          .stroke(shape.hand === 'ink' ? INK : RULE)
    }
  }

  private isAtTop(): boolean {
    return this.doc.y <= PAGE.margins.top
  }

  private line(): number {
    return this.size * 1.5
  }

  private floor(): number {
    return this.doc.page.height - PAGE.margins.bottom
  }

  private pageIndex(): number {
    const { start, count } = this.doc.bufferedPageRange()
    return start + count - 1
  }
}

/** A number stays in one line with its unit, and a telephone number with its area. */
function unbroken(text: string): string {
  return text.replace(/(?<=\d) (?=(cm|m|ft|in)(?!\p{L}))|(?<=\(\d+\)) (?=\d)/gu, '\u00a0')
}

/** How many of the first items stand in each of two columns of this room: as many as it holds, as evenly as can be. */
function fillColumns(heights: readonly number[], room: number): { left: number; right: number } {
  for (let count = heights.length; count > 0; count -= 1) {
    const sizes = Array.from({ length: count }, (_, at) =>
      Math.max(sum(heights.slice(0, at + 1)), sum(heights.slice(at + 1, count))),
    )
    const least = Math.min(...sizes)
    const left = sizes.indexOf(least) + 1
    if (least <= room) return { left, right: count - left }
  }
  return { left: 0, right: 0 }
}

function sum(numbers: readonly number[]): number {
  return numbers.reduce((whole, each) => whole + each, 0)
}

/** Whether the text before it said that it goes on in the same line. */
function isContinued(doc: Doc): boolean {
  return (doc as never as { _wrapper?: unknown })._wrapper != null
}
