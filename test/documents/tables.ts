import { ALLOYS } from '../../pipeline/trade/alloys.ts';
import { STONE_CARE } from '../../pipeline/trade/bench-care.ts';
import { MELEE_CHART, MELEE_SOURCE } from '../../pipeline/trade/charted-weights.ts';
import { CUTS } from '../../pipeline/trade/cuts.ts';
import { FINISHES } from '../../pipeline/trade/finishes.ts';
import { HALLMARK_LAWS } from '../../pipeline/trade/hallmark.ts';
import { SIZE_SYSTEMS } from '../../pipeline/trade/ring-size.ts';
import { STONES } from '../../pipeline/trade/stones.ts';
import { table } from './markdown.ts';

const code = (text: string) => `\`${text}\``;
const yes = (flag: boolean) => (flag ? 'yes' : '');

/** Tables of the trade with their sources, by the name of their place in pipeline/trade/README.md. */
export function tradeTables(): Record<string, string> {
  return {
    alloys: alloys(),
    stones: stones(),
    cuts: cuts(),
    finishes: finishes(),
    sizes: sizes(),
    melee: melee(),
    hallmarks: hallmarks(),
  };
}

const alloys = () =>
  table(
    ['name in files', 'alloy', 'g/cm³', 'colour', 'sources', 'cautions'],
    [...ALLOYS.values()].map(({ id, description, density, colour, sources, cautions }) => [
      code(id),
      description,
      String(density),
      colour,
      `density: ${sources.density}; colour: ${sources.f0}`,
      cautions.join(' '),
    ]),
  );

const stones = () =>
  table(
    [
      'name in files',
      'species',
      'may be declared',
      'treatment must be told',
      'g/cm³',
      'index',
      'bench',
      'sources',
      'cautions',
    ],
    [...STONES.values()].map(({ id, species, origins, treated, density, indexD, sources, cautions }) => [
      code(id),
      species,
      origins.join(', '),
      yes(treated),
      String(density),
      String(indexD),
      careWords(id),
      `${sources.density}; ${sources.optics}; colour: ${sources.colour}`,
      cautions.join(' '),
    ]),
  );

function careWords(id: string): string {
  const care = STONE_CARE.get(id);
  if (!care) return '';
  const words = [
    care.brittle && 'breaks under metal pushed onto it',
    care.heatShy && 'no torch',
    care.oiled && 'mostly oiled: no ultrasound or steam',
    care.cleavable && 'splits when hit on a corner',
  ];
  return words.filter(Boolean).join('; ');
}

const cuts = () =>
  table(
    ['name in files', 'cut', 'length ÷ width', 'weight estimate', 'sources'],
    [...CUTS.values()].map(({ id, label, ratio, carats, source }) => [
      code(id),
      label,
      ratio.least === ratio.most ? '1' : `${ratio.usual} (${ratio.least} to ${ratio.most})`,
      `${carats.factor} × ${carats.area} × depth`,
      `${source}; weight: ${carats.source}`,
    ]),
  );

const finishes = () =>
  table(
    ['name in files', 'finish', 'roughness round the ring, across it', 'source'],
    [...FINISHES.values()].map(({ id, label, alphaX, alphaY, source }) => [
      code(id),
      label,
      `${alphaX}, ${alphaY}`,
      source,
    ]),
  );

const sizes = () =>
  table(
    ['mark', 'where', 'also written', 'source', 'note'],
    SIZE_SYSTEMS.map(({ mark, label, aliases, source, note }) => [
      code(mark),
      label,
      aliases.join(', '),
      source,
      note ?? '',
    ]),
  );

const melee = () =>
  `${table(
    ['mm', 'carats each'],
    MELEE_CHART.map(([mm, carats]) => [String(mm), String(carats)]),
  )}\n\nSource: ${MELEE_SOURCE}.`;

const hallmarks = () =>
  table(
    ['country', 'mark due from (g)', 'source'],
    HALLMARK_LAWS.map(({ country, exemptBelowG, source }) => [
      country.toUpperCase(),
      Object.entries(exemptBelowG)
        .map(([metal, grams]) => `${metal} ${grams}`)
        .join(', '),
      source,
    ]),
  );
