/** What a reader of a PDF gets to know: pages, their text and how large it is, the tags, language and title; read by a library of others. */
import { getDocumentProxy } from 'unpdf'

/** An element of the structure tree, with the text of its own and its children in reading order. */
export type Tagged = { tag: string; alt: string | null; text: string; children: Tagged[] }

export async function readPdf(file: Uint8Array) {
  const document = await getDocumentProxy(new Uint8Array(file))
  const pages = await Promise.all(
    Array.from({ length: document.numPages }, async (_, at) => {
      const page = await document.getPage(at + 1)
      const { items } = await page.getTextContent({ includeMarkedContent: true })
      const byMark = new Map<string, string>()
      const open: string[] = []
      const sizes: number[] = []
      let text = ''
      for (const item of items) {
        if ('str' in item) {
          const words = item.str + (item.hasEOL ? ' ' : '')
          text += words
          // ISO 32000-1, 9.4.4: the text's matrix scales its letters, upright by its second row.
          if (item.str.trim() !== '') sizes.push(Math.hypot(item.transform[2], item.transform[3]))
          for (const mark of open) byMark.set(mark, (byMark.get(mark) ?? '') + words)
        } else if (item.type === 'endMarkedContent') open.pop()
        else open.push(item.id ?? '')
      }
      const tree = await page.getStructTree()
      return { text: flat(text), sizes, tree: tree === null ? null : taggedOf(tree, byMark) }
    }),
  )
  const { info } = await document.getMetadata()
  const known = info as { Title?: string; Language?: string }
  return {
    pages,
    text: pages.map(({ text }) => text).join(' '),
    smallestPt: Math.min(...pages.flatMap(({ sizes }) => sizes)),
    tags: pages.flatMap(({ tree }) => (tree === null ? [] : everyOf(tree))),
    title: known.Title ?? null,
    language: known.Language ?? null,
    isTagged: (await document.getMarkInfo())?.Marked === true,
  }
}

type Node = { role?: string; alt?: string; type?: string; id?: string; children?: Node[] }

function taggedOf(node: Node, byMark: ReadonlyMap<string, string>): Tagged {
  const children = (node.children ?? [])
    .filter((child) => child.role !== undefined)
    .map((each) => taggedOf(each, byMark))
  const words = (node.children ?? []).map((child) =>
    child.role === undefined ? (byMark.get(child.id ?? '') ?? '') : taggedOf(child, byMark).text,
  )
  return { tag: node.role ?? '', alt: node.alt ?? null, text: flat(words.join(' ')), children }
}

function everyOf(tagged: Tagged): Tagged[] {
  return [tagged, ...tagged.children.flatMap(everyOf)]
}

/** Lines break where the page is narrow; a reader joins them again. */
export function flat(text: string): string {
  return text.replace(/\s+/g, ' ').trim()
}
