/** The unrolled drawing of the live view: everything at its place and to scale, handles and checks among it. */
import { boreRadius, laneMiddle } from '../band/lane.ts';
import type { BandFacts } from '../facts/catalogue-schema.ts';
import { checkState } from '../facts/verdict.ts';
import { type PaperPoint, type Unrolled, unrolled } from '../papers/unrolled.ts';
import type { BandSource } from '../plan/band-source.ts';
import type { ShapeDesign } from '../plan/design.ts';
import type { BenchRuleName } from '../trade/bench-limits.ts';
import { tradeWords } from '../trade/words.ts';
import type { Locale } from '../words/locale.ts';
import type { Drawing, Handle } from './contract.ts';
import { gripsOf } from './drawing-grips.ts';
import type { Grip } from './grip.ts';

/** Points of a line round the band. */
const STEPS = 360;
/** Between the marks of the angle scale. */
const SCALE_DEG = 30;

const n = (value: number) => Number(value.toFixed(3));
const points = (line: readonly PaperPoint[]) => line.map(([x, y]) => `${n(x)},${n(y)}`).join(' ');

/** @param source without it there are no handles: nothing can be written */
export function drawingOf(
  design: ShapeDesign,
  checks: BandFacts['checks'],
  locale: Locale,
  source?: BandSource,
  alloys: readonly string[] = design.lanes.map(({ name }) => name),
): Drawing {
  const band = unrolled(design, STEPS);
  const [first, second] = band.edges;
  const metals = [...new Set(alloys)];
  const bounds = [first, ...band.seams.map(({ line }) => line), second];
  const round =
    (kind: 'claw' | 'bead') =>
    ({ middle: [x, y], radius }: Unrolled['claws'][number]) => ({
      kind,
      x: n(x),
      y: n(y),
      r: n(radius),
    });
  const { title, about, moved: hint, follows } = locale.messages.shaping.drawing;
  return {
    width: n(band.lengthMm),
    height: n(band.widthMm),
    // wires have no sides that part the outside
    lanes: (design.strands ? [] : band.lanes).map(({ name }, i) => ({
      name,
      metal: metals.indexOf(alloys[i]),
      outline: points([...bounds[i], ...bounds[i + 1].toReversed()]),
    })),
    seams: band.seams.map(({ name, line }) => ({ name, line: points(line) })),
    lines: [
      ...band.facets.map(({ line }) => line),
      ...band.strands.flatMap(({ lines }) => lines),
      ...band.rims,
      ...band.gaps.map(closed),
    ].map(points),
    stones: band.stones.map(({ row, number, outline }) => ({ row, number, outline: points(outline) })),
    rounds: [...band.claws.map(round('claw')), ...band.beads.map(round('bead'))],
    letters: lettersPath(band),
    scale: scaleOf(band, locale),
    handles: source ? gripsOf(source, band).map((grip) => handleOf(grip, locale)) : [],
    checks: placedChecks(checks, design, band, locale),
    title,
    about,
    hint,
    ...(source?.follows && { note: follows }),
  };
}

/** A ring of points that comes back to its first. */
const closed = (ring: Unrolled['gaps'][number]) => [...ring, ring[0]];

function lettersPath({ letters, x, y }: Unrolled): string {
  const outlines = letters?.contours.map(
    (contour) => `M${contour.map(({ theta, z }) => `${n(x(theta))} ${n(y(z))}`).join('L')}Z`,
  );
  return outlines?.join('') ?? '';
}

function scaleOf({ x }: Unrolled, locale: Locale): Drawing['scale'] {
  const marks = Array.from({ length: 360 / SCALE_DEG + 1 }, (_, i) => i * SCALE_DEG - 180);
  return marks.map((degrees) => ({
    x: n(x((degrees * Math.PI) / 180)),
    label: degrees === 0 ? locale.messages.shaping.drawing.top : `${locale.number(degrees, 0)}°`,
  }));
}

function handleOf({ said, name = '', number, settings, ...handle }: Grip, { messages }: Locale): Handle {
  const label = messages.shaping.drawing.handles[said]
    .replace('{name}', name)
    .replace('{number}', String(number ?? ''));
  const text = settings(handle.x, handle.y).map((setting) => setting.text);
  return { ...handle, x: n(handle.x), y: n(handle.y), label, text: text.join(', ') };
}

/** Checks that did not pass, where they were measured: their words name a lane, row or seam, and mostly an angle. */
function placedChecks(
  checks: BandFacts['checks'],
  design: ShapeDesign,
  band: Unrolled,
  { language }: Locale,
): Drawing['checks'] {
  const rules = tradeWords(language).rules;
  return checks.flatMap((check) => {
    const state = checkState(check);
    if (state === 'passed') return [];
    const [x, y] = placeOf(check.place, design, band);
    const rule = rules[check.rule as BenchRuleName] ?? check.rule;
    const label = `${rule}: ${check.measured} (${check.limit}), ${check.place}`;
    const reach = boreRadius(design) + design.thicknessMm;
    const theta = band.theta(x);
    const on: Drawing['checks'][number]['on'] = [
      n(reach * Math.sin(theta)),
      n(reach * Math.cos(theta)),
      n(band.z(y)),
    ];
    return [{ rule: check.rule, x: n(x), y: n(y), on, state, label }];
  });
}

function placeOf(told: string, design: ShapeDesign, band: Unrolled): PaperPoint {
  const figure = /θ = (-?\d+(?:[.,]\d+)?)°/.exec(told)?.[1];
  const given = figure === undefined ? undefined : (Number(figure.replace(',', '.')) * Math.PI) / 180;
  const theta = given === undefined ? undefined : given - 2 * Math.PI * Math.round(given / (2 * Math.PI));
  // names stand between the quotes of the language
  const named = new Set([...told.matchAll(/['„‘]([^'“’]+)['“’]/g)].map(([, name]) => name));
  const row = design.rows.find(
    ({ name }) => named.has(name) || [...named].some((t) => t.startsWith(`${name} `)),
  );
  const seam = design.seams.findIndex(({ name }) => name !== undefined && named.has(name));
  const lane = band.lanes.find(({ name }) => named.has(name) || name === row?.lane);
  const stone = row && band.stones.filter(({ row: own }) => own === row.name);
  if (theta === undefined && stone && stone.length > 0) return stone[Math.floor(stone.length / 2)].middle;
  const at = theta ?? 0;
  const z = seam >= 0 ? band.lanes[seam].high.curve.z(at) : lane ? laneMiddle(lane, at).z : 0;
  return [band.x(at), band.y(z)];
}
