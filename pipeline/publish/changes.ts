/**
 * changes.json: what each publication changed, so that a shop syncs that and no more. States are named by the SHA-256 of
 * catalogue.json. A shop that knows under which state it last looked takes all steps since then; one that finds `state` to be its own
 * has nothing to do. A publication that changes nothing leaves the file as it is; where the file is lost, all begins anew.
 */
import * as z from 'zod';
import type { Catalogue, CatalogueEntry } from '../facts/catalogue-schema.ts';
import { sha256 } from '../store/content-key.ts';

/** Steps that are kept; who missed more takes the whole catalogue. */
const MOST_STEPS = 50;

const PARTS = [
  'title',
  'choices',
  'measures',
  'materials',
  'price',
  'offered',
  'pictures',
  'models',
  'cautions',
  'other',
] as const;
type Part = (typeof PARTS)[number];

const step = z.strictObject({
  from: z.string().nullable().describe('state before; null: there was none'),
  to: z.string(),
  added: z.array(z.string()),
  removed: z.array(z.string()),
  renamed: z
    .array(z.strictObject({ from: z.string(), to: z.string() }))
    .describe('the same band under another SKU'),
  changed: z.array(z.strictObject({ sku: z.string(), what: z.array(z.enum(PARTS)) })),
});
const changesSchema = z.strictObject({
  version: z.literal(1),
  state: z.string().describe('SHA-256 of catalogue.json'),
  steps: z.array(step).describe('newest first'),
});
export type Changes = z.infer<typeof changesSchema>;

/** @param before texts of catalogue.json and changes.json of the last publication; `after` the text that will stand */
export function nextChanges(
  before: { catalogue: Catalogue; text: string } | undefined,
  kept: string | undefined,
  after: { catalogue: Catalogue; text: string },
): Changes {
  const to = sha256(Buffer.from(after.text));
  const known = read(kept);
  // a run that ended between this file and catalogue.json has told this step already
  if (known?.state === to) return known;
  const from = before && known ? sha256(Buffer.from(before.text)) : null;
  // steps to states that never came to stand lead nowhere
  const reached = known?.steps.findIndex((s) => s.to === from) ?? -1;
  const steps = known && reached >= 0 ? known.steps.slice(reached) : [];
  const made = { from, to, ...compare((known && before?.catalogue.items) ?? [], after.catalogue.items) };
  return { version: 1, state: to, steps: [made, ...steps].slice(0, MOST_STEPS) };
}

function read(text: string | undefined): Changes | undefined {
  try {
    const parsed = changesSchema.safeParse(JSON.parse(text ?? ''));
    return parsed.success ? parsed.data : undefined;
  } catch {
    return undefined;
  }
}

export function compare(
  before: readonly CatalogueEntry[],
  after: readonly CatalogueEntry[],
): Omit<Changes['steps'][number], 'from' | 'to'> {
  const old = new Map(before.map((entry) => [entry.sku, entry]));
  const now = new Map(after.map((entry) => [entry.sku, entry]));
  const added = after.filter(({ sku }) => !old.has(sku));
  const removed = before.filter(({ sku }) => !now.has(sku));
  const renamed: { from: string; to: string }[] = [];
  const same = new Map(removed.map((entry) => [identity(entry), entry.sku]));
  for (const entry of added) {
    const from = same.get(identity(entry));
    if (from === undefined || renamed.some((r) => r.from === from)) continue;
    renamed.push({ from, to: entry.sku });
  }
  const changed = after.flatMap((entry) => {
    const was = old.get(entry.sku);
    if (!was) return [];
    const [a, b] = [partsOf(was), partsOf(entry)];
    const what = PARTS.filter((part) => JSON.stringify(a[part]) !== JSON.stringify(b[part]));
    return what.length > 0 ? [{ sku: entry.sku, what }] : [];
  });
  const kept = ({ sku }: CatalogueEntry) => !renamed.some((r) => r.from === sku || r.to === sku);
  return {
    added: added.filter(kept).map(({ sku }) => sku),
    removed: removed.filter(kept).map(({ sku }) => sku),
    renamed,
    changed,
  };
}

/** What a band is whatever it is called: its shape, its colours and what it is chosen by. */
function identity({ kind, bands }: CatalogueEntry): string {
  const told = bands.map((b) => [
    b.axes,
    b.circumferenceMm,
    b.widthMm,
    b.thicknessMm,
    b.metals.map((m) => [m.alloy, m.lanes]),
    b.rows.map((r) => [r.stone, r.origin, r.treatments, r.cut, r.diameterMm, r.count]),
  ]);
  return JSON.stringify([kind, told]);
}

function partsOf({ title, bands, shots, cautions, documents }: CatalogueEntry): Record<Part, unknown> {
  return {
    title,
    choices: bands.map((b) => b.axes),
    measures: bands.map((b) => [b.circumferenceMm, b.widthMm, b.thicknessMm, b.back, b.sizes]),
    materials: bands.map((b) => [b.metals, b.metalMassG, b.rows, b.totalCarats, b.finishes, b.marks]),
    price: bands.map((b) => b.price),
    offered: bands.map((b) => b.heldBack ?? []),
    pictures: shots.map((s) => [s.name, s.label, s.alt, s.pictures.map((p) => [p.file, p.sha256])]),
    models: bands.map((b) => [b.model, b.ownModels]),
    cautions,
    other: [documents, bands.map((b) => [b.fits, b.checks, b.caster])],
  };
}
