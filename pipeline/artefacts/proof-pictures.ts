/** Pictures of proofs, out of what was traced for the catalogue. */

import type { ProofPicture } from '../papers/proof-page.ts';
import { ALT_ENGLISH, type AltWords, altText } from '../plan/alt-text.ts';
import { ALT_GERMAN } from '../plan/alt-text-de.ts';
import { PROOF_IMAGES } from '../plan/client-plan.ts';
import type { Plan, ShotName, Sku, Variant } from '../plan/plan.ts';
import type { Language } from '../trade/words.ts';
import { grouped } from './grouped.ts';
import type { Source } from './kind.ts';
import { PICTURE, type PictureWork } from './picture.ts';
import { decodeBundle } from './picture-bundle.ts';

const ALT_WORDS: Record<Language, AltWords> = { en: ALT_ENGLISH, de: ALT_GERMAN };

const bySku = ({ skus }: PictureWork) => skus;

/** The pair together if it was pictured, else each band by itself; two equal bands share a picture. */
export async function heroPictures(
  bands: readonly Variant[],
  pair: Sku | undefined,
  source: Source,
  language: Language,
): Promise<ProofPicture[]> {
  const together = pair === undefined ? undefined : await heroPicture(pair, bands, source, language);
  if (together) return [together];
  const single: ProofPicture[] = [];
  for (const band of new Map(bands.map((b) => [b.sku, b])).values()) {
    const picture = await heroPicture(band.sku, [band], source, language);
    if (picture) single.push(picture);
  }
  return single;
}

/** The picture of the first shot of the config that shows the SKU. */
async function heroPicture(
  sku: Sku,
  bands: readonly Variant[],
  { plan, store, pieces }: Source,
  language: Language,
): Promise<ProofPicture | undefined> {
  const order = plan.shots.map((s) => s.name);
  const at = ({ take }: PictureWork) => order.indexOf(take.take.shot.name);
  const pictures = grouped(pieces(PICTURE), bySku).get(sku) ?? [];
  for (const { key, take } of [...pictures].sort((a, b) => at(a) - at(b))) {
    const bundle = await store.get('picture', key);
    const file = bundle && decodeBundle(bundle).find((p) => p.name === PROOF_IMAGES);
    if (file) return { ...file, alt: altOf(take.take.shot.view, bands, plan, language) };
  }
  return undefined;
}

function altOf(view: ShotName, bands: readonly Variant[], { shapes }: Plan, language: Language): string {
  const depicted = bands.map((band) => ({ band, design: shapes[band.shape] }));
  return altText(view, depicted, ALT_WORDS[language]);
}
