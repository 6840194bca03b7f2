import type { ShapeDesign } from './design.ts';
import type { EngravingDesign, EngravingsDesign } from './engraving-design.ts';
import type { Findings, Locate } from './findings.ts';
import { engraving as engravingSchema } from './marks-schema.ts';
import type { MilgrainDesign, SeamMarks } from './seam-design.ts';
import { adviseName } from './suggestion.ts';
import type { Template } from './template-schema.ts';

type Seam = Template['seams'][string];
type Engraving = NonNullable<Template['engraving']>;
type Letters = Exclude<Engraving['inside'] | Engraving['outside'], 'none' | undefined>;

/** Distance of bead middles when the file gives none, in bead diameters: beads nearly touch (common practice). */
const PITCH = 1.06;

/**
 * Common practice: cutters for letters are ground to an included angle of about 30°, and a laser that sinks letters layer
 * by layer leaves walls about as steep. A graver's V of 90° is 45 degrees.
 */
const USUAL_WALLS = (15 * Math.PI) / 180;

/** A mark that is there: neither left out nor `none`. */
function given<T>(mark: T | 'none' | undefined): T | undefined {
  return mark === 'none' ? undefined : mark;
}

function milgrainDesign(m: { bead: number; pitch?: number; lane?: string }): MilgrainDesign {
  const { bead, pitch = PITCH * bead, lane } = m;
  return { beadMm: bead, pitchMm: pitch, ...(lane === undefined ? {} : { lane }) };
}

/** What runs along a seam, if anything. */
export function seamMarksDesign(name: string, seam: Seam): { marks?: SeamMarks } {
  const milgrain = given(seam.milgrain);
  const groove = given(seam.groove);
  if (!milgrain && !groove) return {};
  return {
    marks: {
      seam: name,
      ...(milgrain && { milgrain: milgrainDesign(milgrain) }),
      ...(groove && {
        groove: { widthMm: groove.width, depthMm: groove.depth, profile: groove.profile },
      }),
    },
  };
}

/** A drawing that has no name is called by its form. */
const UNNAMED = 'SVG';

const linesOf = (text: Letters['text']) =>
  Array.isArray(text) ? text.map((line) => line.trim()).join('\n') : text;

function lettersDesign(l: Letters, text: string, widthMm: number, usualAt: number): EngravingDesign {
  const slantRad = l.walls ?? USUAL_WALLS;
  return {
    text: text.normalize('NFC').trim(),
    ...(l.drawing !== undefined && { drawing: l.drawing }),
    heightMm: l.height,
    depthMm: l.depth,
    ...(slantRad > 0 && { slantRad }),
    style: l.font,
    atRad: l.at ?? usualAt,
    ...(l.across && { centreMm: l.across.share * widthMm + l.across.mm - widthMm / 2 }),
    ...(l.heads && { heads: l.heads }),
  };
}

function engravings(
  engraving: Engraving | undefined,
  widthMm: number,
  textOf: (letters: Letters) => string | undefined,
): EngravingsDesign {
  const inside = given(engraving?.inside);
  const outside = given(engraving?.outside);
  const [within, without] = [inside && textOf(inside), outside && textOf(outside)];
  return {
    ...(inside && within !== undefined && { inside: lettersDesign(inside, within, widthMm, Math.PI) }),
    ...(outside &&
      without !== undefined && {
        outside: {
          ...lettersDesign(outside, without, widthMm, 0),
          lane: outside.lane,
          ...(outside.follow === 'lane' && { follow: 'lane' as const }),
        },
      }),
  };
}

/** Letters and edge beads of a band. */
export function bandMarks(
  { engraving, edges }: Template,
  widthMm: number,
): Pick<ShapeDesign, 'engraving' | 'edgeMilgrain'> {
  const letters = engravings(engraving, widthMm, ({ text, drawing }) =>
    text === undefined && drawing !== undefined ? UNNAMED : linesOf(text),
  );
  const milgrain = given(edges?.milgrain);
  return {
    ...(Object.keys(letters).length > 0 && { engraving: letters }),
    ...(milgrain && { edgeMilgrain: milgrainDesign(milgrain) }),
  };
}

/** Where the letters of an order go, of places that a template gives without a text; undefined if it gives none. */
export function letterPlaces({ engraving }: Template, widthMm: number): EngravingsDesign | undefined {
  const places = engravings(engraving, widthMm, ({ text, drawing }) =>
    text === undefined && drawing === undefined ? '' : undefined,
  );
  return Object.keys(places).length > 0 ? places : undefined;
}

/**
 * Common practice: letters outside are cut 0.2 mm deep, lest they wear off, as the bench rule asks. Walls of 15° meet before
 * that in the strokes of lower letters.
 */
const USUAL_OUTSIDE = { height: 1.4, depth: 0.2 };

/** Letters in a place that the design says nothing of; in the bore they are the schema's own. */
export function usualLetters(side: 'inside' | 'outside', lane: string, widthMm: number): EngravingsDesign {
  const written = side === 'inside' ? { inside: {} } : { outside: { lane, ...USUAL_OUTSIDE } };
  return engravings(engravingSchema.parse(written), widthMm, () => '');
}

/** Reports lanes that marks name and aren't there, beads that would overlap, arcs deeper than a half circle. */
export function checkMarks(template: Template, findings: Findings, locate: Locate): void {
  const lanes = Object.keys(template.lanes);
  const wrong = (code: string, path: string[], expected: string, received: string, advice: string) =>
    findings.add({ code, path, expected, received, advice }, locate);
  const unknownLane = (path: string[], lane: string, known: string[]) =>
    wrong('unknown-name', path, `one of ${known.join(', ')}`, JSON.stringify(lane), adviseName(lane, known));
  const overlap = (path: string[], m: { bead: number; pitch?: number }) => {
    if (m.pitch === undefined || m.pitch >= m.bead) return;
    const expected = `at least the bead, ${m.bead} mm`;
    wrong('beads-overlap', [...path, 'pitch'], expected, `${m.pitch} mm`, 'Leave "pitch" out or raise it.');
  };
  Object.entries(template.seams).forEach(([name, seam], i) => {
    const path = ['seams', name];
    const milgrain = given(seam.milgrain);
    const groove = given(seam.groove);
    if (milgrain) overlap([...path, 'milgrain'], milgrain);
    const beside = lanes.slice(i, i + 2);
    if (milgrain?.lane !== undefined && !beside.includes(milgrain.lane))
      unknownLane([...path, 'milgrain', 'lane'], milgrain.lane, beside);
    if (groove?.profile === 'round' && groove.depth > groove.width / 2) {
      const expected = `at most half the width, ${groove.width / 2} mm, for a round groove`;
      const advice = 'Make it shallower or wider, or use the profile "v".';
      wrong('groove-too-deep', [...path, 'groove', 'depth'], expected, `${groove.depth} mm`, advice);
    }
  });
  const edge = given(template.edges?.milgrain);
  if (edge) overlap(['edges', 'milgrain'], edge);
  const outside = given(template.engraving?.outside);
  if (outside && !lanes.includes(outside.lane))
    unknownLane(['engraving', 'outside', 'lane'], outside.lane, lanes);
}
