import type { Alloy, LayerMetal } from './alloy.ts';
import { alloyF82 } from './conductor.ts';
import type { Layers } from './matter.ts';
import type { Rgb } from './rgb.ts';

/** Sheets bonded without solder, then twisted, punched, carved and forged flat, so that the cut surface shows them as lines. */
const BONDED =
  'The pattern is one of many: no two rings are alike, and its lines are drawn by rule. Resized by half a size at most: a joint would cut through the pattern.';
const MIXED_WORDS =
  'Two metals in one: how it may be marked and described is settled by local law; many countries count the lower fineness or none.';

const steel = (f: number): LayerMetal => {
  const f0: Rgb = [f, f, f];
  return { f0, f82: alloyF82(f0, 'nickel') };
};

const usual = (parts: Partial<Layers>): Layers => ({
  kind: 'layers',
  stackMm: 0.5,
  share: 0.5,
  turns: 0,
  barMm: 0,
  bendMm: 0.45,
  bendLengthMm: 2.2,
  seed: 1,
  ...parts,
});

/** Looks of the whole, for lists and swatches of colour: both metals by their shares. */
const mean = ([a, b]: readonly [LayerMetal, LayerMetal], share: number, of: 'f0' | 'f82') =>
  a[of].map((v, i) => share * v + (1 - share) * b[of][i]) as Rgb;

const between = (a: number, b: number, share: number) => Number((share * a + (1 - share) * b).toFixed(2));

/** Percent by weight of two alloys in shares by volume. */
function mixed([one, other]: readonly [Alloy, Alloy], share: number): Record<string, number> {
  const mass = share * one.density;
  const first = mass / (mass + (1 - share) * other.density);
  const out: Record<string, number> = {};
  for (const [{ composition = {} }, part] of [
    [one, first],
    [other, 1 - first],
  ] as const)
    for (const [element, percent] of Object.entries(composition))
      out[element] = (out[element] ?? 0) + part * percent;
  return out;
}

/** Rows of two alloys of the table, in shares by volume: forging and cutting keep each metal's volume. */
export function layeredMetals(table: readonly Alloy[]): Alloy[] {
  const row = (id: string) => {
    const found = table.find((alloy) => alloy.id === id);
    if (!found) throw new RangeError(`${id} is not in the table`);
    return found;
  };
  const mokume = (
    id: string,
    slug: string,
    label: string,
    [one, other]: readonly [string, string],
    fine: Pick<Alloy, 'metal' | 'fineness'> & { description?: string },
  ): Alloy => {
    const pair = [row(one), row(other)] as const;
    const metals: [LayerMetal, LayerMetal] = [pair[0], pair[1]].map(({ f0, f82 }) => ({ f0, f82 })) as [
      LayerMetal,
      LayerMetal,
    ];
    const layers = usual({});
    const warned = pair.flatMap(({ cautions }) => cautions);
    return {
      id,
      label,
      description: `mokume of ${pair[0].description} and ${pair[1].description}`,
      slug,
      ...fine,
      uncastable: true,
      density: between(pair[0].density, pair[1].density, layers.share),
      f0: mean(metals, layers.share, 'f0'),
      f82: mean(metals, layers.share, 'f82'),
      layers: { usual: layers, metals },
      colour: pair.every(({ colour }) => colour === 'published') ? 'published' : 'unmeasured',
      composition: mixed([pair[0], pair[1]], layers.share),
      cautions: [`${BONDED} ${fine.metal === 'none' ? MIXED_WORDS : ''}`.trim(), ...warned],
      sources: {
        density: `half of each by volume: ${pair.map((p) => `${p.id} ${p.density}`).join(', ')}; volumes add up`,
        f0: `each layer as ${pair.map((p) => p.id).join(' and ')}; here their mean`,
        f82: 'as at normal incidence',
        composition: 'that of both by their masses',
      },
    };
  };
  return [
    mokume('mokume-rose-white', 'MRW', 'Mokume 18 ct, rose and white gold', ['rose-18', 'white-18'], {
      metal: 'gold',
      fineness: 750,
      description: '18 carat mokume of rose and white gold (750)',
    }),
    mokume('mokume-rose-silver', 'MRS', 'Mokume, rose gold and silver', ['rose-18', 'silver-925'], {
      metal: 'none',
    }),
    mokume(
      'mokume-palladium-silver',
      'MPS',
      'Mokume, palladium and silver',
      ['palladium-950', 'silver-925'],
      { metal: 'none' },
    ),
    damask(),
  ];
}

function damask(): Alloy {
  const metals: [LayerMetal, LayerMetal] = [steel(0.58), steel(0.27)];
  const layers = usual({ stackMm: 0.42, turns: 9, barMm: 2.2, bendMm: 0.12, bendLengthMm: 1.5 });
  return {
    id: 'damask-steel',
    label: 'Damask steel',
    description: 'twisted damask of two stainless steels, etched',
    slug: 'DS',
    metal: 'none',
    uncastable: true,
    density: between(7.9, 7.7, layers.share),
    f0: mean(metals, layers.share, 'f0'),
    f82: mean(metals, layers.share, 'f82'),
    layers: { usual: layers, metals, etched: 0.38 },
    composition: { Fe: 78.5, Cr: 17, Ni: 4.5 },
    colour: 'unmeasured',
    cautions: [
      `The colour shown is estimated: compare it with a sample before you choose. ${BONDED} The etched steel is rougher and darker; wear brightens it on edges and the palm side, and it can be etched anew. Stainless steels hold nickel: rings in contact with skin may release at most 0.5 µg Ni/cm²/week in the EU (REACH annex XVII entry 27, test EN 1811). Many people react to nickel; have the finished ring tested and follow local rules.`,
    ],
    sources: {
      density:
        'half of each by volume: austenitic steel 7.9, martensitic steel 7.7 (makers’ usual values, from memory)',
      f0: 'from memory, LOW CONFIDENCE: polished stainless steel reflects 0.55 to 0.6, the etched layer about half of it',
      f82: 'estimate: ratio (1 − F82)/(1 − F0) of pure nickel, from its n and k',
      composition:
        'half austenitic steel with 18 % chromium and 9 % nickel, half martensitic with 16 % chromium, from memory; carbon and what else is below 1 % left out',
    },
  };
}
