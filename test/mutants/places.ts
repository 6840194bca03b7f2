/** Files that are mutated, each with the tests that hold it: the nearest ones, and quick, since each mutant runs them. */
import { readdirSync } from 'node:fs';

const TABLES = [
  'test/trade/outside-values.test.ts',
  'test/trade/alloys.test.ts',
  'test/publish/colours.test.ts',
];
const MATTER = [...TABLES, 'test/plan/matter.test.ts', 'test/facts/material-checks.test.ts'];
const WORDS = ['test/trade/bench-words.test.ts', 'test/trade/words.test.ts'];
const DRESS = ['test/facts/dress-checks.test.ts', 'test/facts/metal-checks.test.ts'];
const RULES = [
  'test/setting/rule-choices.test.ts',
  'test/setting/rule-edges.test.ts',
  'test/setting/bench-limits.test.ts',
];

const NEAREST: Readonly<Record<string, readonly string[]>> = {
  'pipeline/trade/alloy.ts': TABLES,
  'pipeline/trade/alloys.ts': TABLES,
  'pipeline/trade/gold-alloys.ts': TABLES,
  'pipeline/trade/bodies.ts': MATTER,
  'pipeline/trade/lab.ts': TABLES,
  'pipeline/trade/layered-metals.ts': MATTER,
  'pipeline/trade/matter.ts': MATTER,
  'pipeline/trade/mixture.ts': TABLES,
  'pipeline/trade/rgb.ts': TABLES,
  'pipeline/trade/bench-care.ts': ['test/trade/laws.test.ts', ...DRESS],
  'pipeline/trade/bench-limits.ts': RULES,
  'pipeline/trade/bench-words.ts': [...WORDS, ...DRESS],
  'pipeline/trade/bench-rules-de.ts': WORDS,
  'pipeline/trade/bench-words-de.ts': WORDS,
  'pipeline/trade/charted-weights.ts': [
    'test/trade/laws.test.ts',
    'test/trade/charted-weights.test.ts',
    'test/trade/outside-values.test.ts',
  ],
  'pipeline/trade/colour-difference.ts': ['test/trade/colour-difference.test.ts', 'test/trade/laws.test.ts'],
  'pipeline/trade/colour-table.ts': ['test/publish/colours.test.ts', 'test/trade/laws.test.ts'],
  'pipeline/trade/conductor.ts': ['test/trade/conductor.test.ts', 'test/trade/outside-values.test.ts'],
  'pipeline/trade/cuts.ts': ['test/trade/outside-values.test.ts', 'test/trade/laws.test.ts'],
  'pipeline/trade/declared-stone.ts': ['test/trade/stones.test.ts', 'test/trade/laws.test.ts'],
  'pipeline/trade/degrees.ts': WORDS,
  'pipeline/trade/finishes.ts': ['test/trade/laws.test.ts'],
  'pipeline/trade/hallmark.ts': ['test/facts/metal-checks.test.ts'],
  'pipeline/trade/market.ts': ['test/trade/laws.test.ts'],
  'pipeline/trade/mass.ts': ['test/trade/mass.test.ts', 'test/trade/laws.test.ts'],
  'pipeline/trade/money.ts': ['test/trade/money.test.ts', 'test/trade/laws.test.ts'],
  'pipeline/trade/ring-removal.ts': [],
  'pipeline/trade/number-format.ts': WORDS,
  'pipeline/trade/other-materials.ts': TABLES,
  'pipeline/trade/read-ring-size.ts': ['test/trade/ring-size.test.ts', 'test/trade/laws.test.ts'],
  'pipeline/trade/ring-size.ts': ['test/trade/ring-size.test.ts', 'test/trade/laws.test.ts'],
  'pipeline/trade/sieve-classes.ts': ['test/papers/working-measures.test.ts'],
  'pipeline/trade/size-slug.ts': ['test/trade/ring-size.test.ts', 'test/trade/laws.test.ts'],
  'pipeline/trade/stone-optics.ts': ['test/trade/stones.test.ts'],
  'pipeline/trade/stones.ts': [
    'test/trade/outside-values.test.ts',
    'test/trade/stones.test.ts',
    'test/trade/laws.test.ts',
  ],
  'pipeline/trade/textures.ts': ['test/trade/laws.test.ts', 'test/band/texture.test.ts'],
  'pipeline/trade/trade-words.ts': WORDS,
  'pipeline/trade/words.ts': WORDS,
  'pipeline/trade/words-de.ts': WORDS,
  'pipeline/facts/dress-checks.ts': DRESS,
  'pipeline/facts/metal-checks.ts': DRESS,
  'pipeline/tracer/spectrum.ts': ['test/tracer/light-tables.test.ts'],
  'pipeline/tracer/albedo-table.ts': ['test/tracer/light-tables.test.ts'],
  'pipeline/scene/softbox.ts': ['test/scene/softbox.test.ts'],
  'pipeline/picture/tone.ts': ['test/picture/tone.test.ts'],
  'pipeline/picture/srgb.ts': ['test/picture/srgb.test.ts'],
};

const named = (folder: string, wanted: RegExp) =>
  readdirSync(folder)
    .filter((name) => wanted.test(name))
    .map((name) => `${folder}/${name}`);

/** @throws Error for a file of `trade/` that nobody named tests for */
export function places(): ReadonlyMap<string, readonly string[]> {
  const all = new Map(Object.entries(NEAREST));
  for (const file of named('pipeline/setting', /(-rules|^bench-rule|^between)\.ts$/)) all.set(file, RULES);
  const missing = named('pipeline/trade', /\.ts$/).filter((file) => !all.has(file));
  if (missing.length > 0)
    throw new Error(`name the tests of ${missing.join(', ')} in test/mutants/places.ts`);
  return all;
}
