import picomatch from 'picomatch';
import type { Pair, PlanGrid, Sku, Variant } from '../plan/plan.ts';
import { CliError } from './usage.ts';

const MOST_CHARACTERS = 400;
/** Time grows with the length of a SKU to the power of this. */
const MOST_STARS = 8;

type Bands = Pick<PlanGrid, 'axes'> & { variants: readonly Variant[]; pairs?: readonly Pair[] };

/**
 * What `--only` lets through: SKUs by a pattern with stars, or bands by values of axes, `metal=R18,size=ISO 5*`; of a
 * pair its left band counts. One that lets nothing through is a slip and refused.
 */
export function skuFilter(text: string | undefined, bands: Bands): ((sku: Sku) => boolean) | undefined {
  if (text === undefined) return undefined;
  const stars = text.split('*').length - 1;
  if (text.length > MOST_CHARACTERS || stars > MOST_STARS)
    throw new CliError(
      `--only: expected at most ${MOST_CHARACTERS} characters and ${MOST_STARS} stars but received ${text.length} and ${stars}`,
    );
  const skus = [...bands.variants, ...(bands.pairs ?? [])].map(({ sku }) => sku);
  const matches = text.includes('=') ? byAxes(text, bands) : picomatch(text, { noextglob: true });
  if (!skus.some((s) => matches(s)))
    throw new CliError(
      text.includes('=')
        ? `--only: no band has ${text} together; each of the values is there`
        : `--only: no SKU matches ${text}; there are ${skus.length}, such as ${skus.slice(0, 3).join(', ')}. ` +
            `Values of axes are asked for as ${bands.axes.map(({ name }) => `${name}=…`).join(' or ')}`,
    );
  return matches;
}

function byAxes(text: string, { axes, variants, pairs = [] }: Bands): (sku: Sku) => boolean {
  const asked = text.split(',').map((part) => {
    const at = part.indexOf('=');
    const name = part.slice(0, at).trim();
    const value = part.slice(at + 1).trim();
    const axis = axes.find((a) => a.name === name);
    if (at < 0 || !axis)
      throw new CliError(
        `--only: expected axis=value with one of the axes ${axes.map((a) => a.name).join(', ')} but received ${part.trim() || 'nothing'}`,
      );
    const matches = picomatch(value === '' ? ' ' : value, { noextglob: true, nocase: true, bash: true });
    const labels = axis.values
      .filter(({ label, slug }) => matches(label) || matches(slug))
      .map((v) => v.label);
    if (labels.length === 0)
      throw new CliError(
        `--only: expected a value of ${name}, ${axis.values.map(({ label, slug }) => (label === slug ? label : `${label} (${slug})`)).join(', ')}, but received ${value || 'nothing'}`,
      );
    return { name, labels };
  });
  const has = (band: Variant) => asked.every(({ name, labels }) => labels.includes(band.axes[name]));
  const wanted = new Set([
    ...variants.filter(has).map(({ sku }) => sku),
    ...pairs.filter(({ left }) => has(left)).map(({ sku }) => sku),
  ]);
  return (sku) => wanted.has(sku);
}
