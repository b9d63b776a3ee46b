/**
 * A table as a CSV file (RFC 4180) that a spreadsheet can open without harm: a cell that begins like a formula would be run
 * by the program that shows it, so it gets an apostrophe in front (OWASP, CSV Injection).
 */

/** Lines end in CRLF, also the last. */
export function csvOf(rows: readonly (readonly (string | number)[])[]): string {
  return rows.map((cells) => `${cells.map(cellOf).join(',')}\r\n`).join('')
}

function cellOf(value: string | number): string {
  // A number of ours can't be a formula, whatever its sign.
  const text = typeof value === 'string' && /^[=+\-@\t\r\n]/.test(value) ? `'${value}` : String(value)
  return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text
}
