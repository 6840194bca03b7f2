import { isSafeSku, LONGEST_SKU } from '../plan/folder-name.ts';
import { type Problem, ProblemError } from '../problem.ts';

/** The last look before folders are made, by the rule that plans go by: nothing else may name one. */
export function checkSkus(skus: readonly string[]): void {
  const problems: Problem[] = [];
  const seen = new Map<string, string>();
  for (const sku of skus) {
    const lower = sku.toLowerCase();
    const twin = seen.get(lower);
    if (!isSafeSku(sku) || twin !== undefined) {
      problems.push({
        code: twin === undefined ? 'sku-not-a-folder-name' : 'sku-twice',
        severity: 'error',
        path: sku,
        expected:
          twin === undefined
            ? `letters, figures, - _ . (at most ${LONGEST_SKU})`
            : 'SKUs that differ in more than case',
        received: twin === undefined ? JSON.stringify(sku) : `${twin} and ${sku}`,
        advice: 'Change the SKU pattern.',
      });
    }
    seen.set(lower, sku);
  }
  if (problems.length > 0) throw new ProblemError(problems);
}
