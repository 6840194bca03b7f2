/** A text as a cell of a table. */
export const cell = (text: string) => text.replaceAll('|', '\\|').replaceAll('\n', ' ').trim();

export function table(head: readonly string[], rows: readonly (readonly string[])[]): string {
  const lines = [head, head.map(() => '---'), ...rows.map((row) => row.map(cell))];
  return lines.map((row) => `| ${row.join(' | ')} |`).join('\n');
}

const PART = (name: string) => new RegExp(`(<!-- generated: ${name} -->\\n)[\\s\\S]*?(<!-- end -->)`);

/** A document with its generated parts as they are today. */
export function filled(text: string, parts: Readonly<Record<string, string>>): string {
  return Object.entries(parts).reduce((done, [name, part]) => {
    if (!PART(name).test(done)) throw new Error(`the document has no place for its part "${name}"`);
    return done.replace(PART(name), (_, before, after) => `${before}\n${part.trim()}\n\n${after}`);
  }, text);
}
