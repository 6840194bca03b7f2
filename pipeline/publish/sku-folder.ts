import { type Problem, ProblemError } from '../problem.ts';

const RESERVED = new Set([
  'models',
  'page',
  'swatches',
  'comparison',
  'comparison.html',
  'index.html',
  'catalogue.json',
  'catalogue.jsonld',
  'catalogue.csv',
  'feed.csv',
]);
const WINDOWS_DEVICE = /^(con|prn|aux|nul|com\d|lpt\d)(\.|$)/i;

/** SKUs name folders on any file system, also those that do not tell upper from lower case. */
export function checkSkus(skus: readonly string[]): void {
  const problems: Problem[] = [];
  const seen = new Map<string, string>();
  for (const sku of skus) {
    const lower = sku.toLowerCase();
    const sound =
      /^[a-z0-9]([\w.-]{0,118}\w)?$/i.test(sku) && !RESERVED.has(lower) && !WINDOWS_DEVICE.test(sku);
    const twin = seen.get(lower);
    if (!sound || twin !== undefined) {
      problems.push({
        code: twin === undefined ? 'sku-not-a-folder-name' : 'sku-twice',
        severity: 'error',
        path: sku,
        expected:
          twin === undefined ? 'letters, figures, - _ . (at most 120)' : 'SKUs that differ in more than case',
        received: twin === undefined ? JSON.stringify(sku) : `${twin} and ${sku}`,
        advice: 'Change the SKU pattern.',
      });
    }
    seen.set(lower, sku);
  }
  if (problems.length > 0) throw new ProblemError(problems);
}
