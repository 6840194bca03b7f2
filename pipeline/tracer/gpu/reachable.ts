/**
 * Of a program's code what its entry point reaches. The parts in shader/ come whole, and a browser reads and checks all of what
 * it is given; and programs that differ in what none of them uses are one program then.
 */

const COMMENTS = /\/\*[\s\S]*?\*\//g;
/** Declarations begin lines; what is in them doesn't. */
const BEGINNINGS = /^(?=(?:@group|@compute|fn|const|var|struct|alias)\b)/m;
const NAME = /\b(?:fn|const|var(?:<[^>]*>)?|struct|alias)\s+(\w+)/;

export function reachable(code: string, entryPoint: string): string {
  const plain = code.replace(COMMENTS, '').replace(/\)\nfn /g, ') fn ');
  const declared = new Map<string, string>();
  for (const text of plain.split(BEGINNINGS)) {
    const name = NAME.exec(text)?.[1];
    if (name !== undefined) declared.set(name, text);
  }
  const reached = new Set([entryPoint]);
  // a set goes on over what is added to it
  for (const name of reached)
    for (const word of declared.get(name)?.match(/[a-zA-Z_]\w*/g) ?? [])
      if (declared.has(word)) reached.add(word);
  return [...declared].flatMap(([name, text]) => (reached.has(name) ? [text] : [])).join('');
}
