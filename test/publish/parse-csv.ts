/** Grammar of RFC 4180, section 2. */
export function parseCsv(text: string): string[][] {
  const rows: string[][] = [];
  const cell = /(?:"((?:[^"]|"")*)"|([^",\r\n]*))(,|\r\n)/y;
  let row: string[] = [];
  while (cell.lastIndex < text.length) {
    const match = cell.exec(text);
    if (!match) throw new Error('not RFC 4180');
    row.push(match[1]?.replaceAll('""', '"') ?? match[2]);
    if (match[3] === ',') continue;
    rows.push(row);
    row = [];
  }
  return rows;
}
