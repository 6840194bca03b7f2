/**
 * What a logo drawn as SVG must not hold. The renderer (librsvg) neither runs script nor loads files by
 * itself; these checks say so beforehand, and keep the result the same on every machine.
 */

export interface SvgHazard {
  expected: string;
  received: string;
  advice: string;
}

const PLAIN = 'a plain drawing (paths, shapes, gradients, embedded PNG or JPEG)';

/** Every kind of hazard found, in a fixed order; empty for a sound file. */
export function findSvgHazards(svg: string): SvgHazard[] {
  const hazards: SvgHazard[] = [];
  const report = (received: string, advice: string) => hazards.push({ expected: PLAIN, received, advice });
  if (svg.includes('\uFFFD') || svg.includes('\0')) {
    report('text that is not UTF-8', 'Save the file as UTF-8.');
  }
  if (/<!(DOCTYPE|ENTITY)/i.test(svg)) {
    report('a document type or entity declaration', 'Delete the DOCTYPE line and save as plain SVG.');
  }
  const text = plainText(svg);
  if (
    /<([\w-]+:)?script[\s/>]/i.test(text) ||
    /[\s"']on[a-z]+\s*=/i.test(text) ||
    /javascript\s*:/i.test(text)
  ) {
    report('script', 'Save the drawing as plain SVG without scripts or event handlers.');
  }
  if (/<([\w-]+:)?foreignObject[\s/>]/i.test(text)) {
    report('foreign content (foreignObject)', 'Turn it into paths.');
  }
  const outside = findOutsideReference(text);
  if (outside) {
    report(
      `a reference to outside the file (${outside.slice(0, 60)})`,
      'Embed images, and turn linked parts into paths.',
    );
  }
  if (/<([\w-]+:)?text[\s/>]/i.test(text)) {
    report('text set in a font', 'Convert text to paths: the machine that renders may not have the font.');
  }
  return hazards;
}

/** Character references and CSS escapes undone, so that nothing hides behind them. Comments stay: they may hide too. */
function plainText(svg: string): string {
  const character = (code: number) => (code > 0 && code <= 0x10ffff ? String.fromCodePoint(code) : '');
  return svg
    .replace(/&#x([0-9a-f]+);/gi, (_, hex: string) => character(Number.parseInt(hex, 16)))
    .replace(/&#(\d+);/g, (_, digits: string) => character(Number(digits)))
    .replace(/\\([0-9a-f]{1,6})\s?/gi, (_, hex: string) => character(Number.parseInt(hex, 16)));
}

function findOutsideReference(text: string): string | undefined {
  if (/<\?xml-stylesheet/i.test(text)) return 'xml-stylesheet';
  if (/@import/i.test(text)) return '@import';
  const inside = /^\s*(#|data:image\/(png|jpe?g)[;,]|$)/i;
  for (const [, , quoted] of text.matchAll(/[\s:](?:href|src)\s*=\s*(["'])([\s\S]*?)\1/gi)) {
    // the link of a metadata block or an anchor loads nothing, but has no place in a logo either
    if (!inside.test(quoted)) return quoted.trim();
  }
  for (const [, target] of text.matchAll(/url\(\s*["']?([^"')]*)/gi)) {
    if (!inside.test(target)) return target.trim();
  }
  return undefined;
}
