/**
 * Of a program's code what its entry point reaches. The parts in shader/ come whole, and a browser reads and checks all of what
 * it is given; and programs that differ in what none of them uses are one program then. What is done only where a scene has
 * what this one hasn't (scene-traits.ts) is left out too: compilers write functions out wherever they are called, and only then
 * see what of it is never done.
 */

const COMMENTS = /\/\*[\s\S]*?\*\//g;
/** Declarations begin lines; what is in them doesn't. */
const BEGINNINGS = /^(?=(?:@group|@compute|fn|const|var|struct|alias)\b)/m;
const NAME = /\b(?:fn|const|var(?:<[^>]*>)?|struct|alias)\s+(\w+)/;

/** Traits that the scene hasn't. */
const LACKED = /\bconst (HAS_\w+): bool = false;/g;

export function reachable(code: string, entryPoint: string): string {
  const plain = withoutLacked(code.replace(COMMENTS, '').replace(/\)\nfn /g, ') fn '));
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

/** Drops `if (HAS_… && …) { … }` of traits that the scene hasn't; where there is an `else` it is left to compilers. */
function withoutLacked(code: string): string {
  const lacked = new Set(Array.from(code.matchAll(LACKED), ([, name]) => name));
  let kept = '';
  let from = 0;
  for (const { 1: name, 2: condition, index } of code.matchAll(/\bif \((HAS_\w+)((?: && .*?)?)\) \{/g)) {
    if (index < from || !lacked.has(name) || condition.includes('||')) continue;
    const end = endOfBlock(code, code.indexOf('{', index));
    if (code.startsWith(' else', end)) continue;
    kept += code.slice(from, index);
    from = end;
  }
  return kept + code.slice(from);
}

/** @returns the place after the brace that closes the one at `open` */
function endOfBlock(code: string, open: number): number {
  let depth = 0;
  for (let at = open; at < code.length; at++) {
    if (code[at] === '{') depth++;
    if (code[at] === '}' && --depth === 0) return at + 1;
  }
  return code.length;
}
