import type { Surface, TraceScene } from '../scene/trace-scene.ts';
import { albedoTable, meanAlbedo } from './albedo-table.ts';
import * as at from './kernel/layout.ts';
import type { MemoryView } from './kernel-memory.ts';

/** lobes narrower than this sample lights only by chance of reflection: a shadow ray could hardly ever help */
const MIRROR_ALPHA = 0.01;
const LEAST_ALPHA = 1e-3;
/** µm, the sodium D line, where gem tables give their index */
const D_LINE = 0.5893;

/** Byte offsets of what may change while all else of a loaded scene stays. */
export type ColourPlaces = Record<'surfaces' | 'albedos' | 'metalColours' | 'gems' | 'gemColours', number>;

/** What of a scene says how its metals and stones look. */
export type SceneColours = Pick<TraceScene, 'surfaces' | 'gems' | 'colourways'>;

/** Lays colours and finishes, also over those of a loaded scene which has as many of each. */
export function layColours(view: MemoryView, scene: SceneColours, places: ColourPlaces): void {
  laySurfaces(view, scene, places);
  layMetalColours(view, scene, places);
  layGems(view, scene, places);
}

function laySurfaces(view: MemoryView, { surfaces }: SceneColours, places: ColourPlaces): void {
  surfaces.forEach((s, i) => {
    const ax = Math.min(Math.max(s.alphaX, LEAST_ALPHA), 1);
    const ay = Math.min(Math.max(s.alphaY, LEAST_ALPHA), 1);
    const record = places.surfaces + i * at.SURFACE_BYTES;
    view.floats(record, ax, ay);
    view.words(record + 8, s.metal, Math.max(ax, ay) < MIRROR_ALPHA ? 1 : 0);
    const albedoAt = places.albedos + i * at.ALBEDO_MU * at.ALBEDO_TURN * 4;
    const table = albedoTable(at.ALBEDO_MU, at.ALBEDO_TURN, ax, ay, s.coat);
    view.array(albedoAt, table);
    view.words(record + 16, albedoAt);
    view.floats(record + 20, ...s.axis);
    layRelief(view, s.relief, record);
    const body = s.coat ? 1 / (Math.PI * (1 - meanAlbedo(table, at.ALBEDO_MU, at.ALBEDO_TURN))) : 0;
    view.floats(record + at.COAT_RATIO, s.coat ? 1 / s.coat : 0, body);
    view.words(record + at.OTHER_LAYER, places.surfaces + (s.pattern?.other ?? i) * at.SURFACE_BYTES);
    layPattern(view, s.pattern, record);
  });
}

const STROKES = { crossed: at.CROSSED, circles: at.CIRCLES };
/** Cells round the ring and across in sizes of marks: strokes lie at 45°, rows of spots as closely as circles lie. */
const STRETCH = { none: [1, 1], crossed: [Math.SQRT2, Math.SQRT2], circles: [1, Math.sqrt(3) / 2] };

/** Memory is used again from scene to scene: a smooth surface must say so. */
function layRelief(view: MemoryView, relief: Surface['relief'], record: number): void {
  if (!relief) {
    view.floats(record + at.RELIEF, 0);
    return;
  }
  const { along, across, slopeAlong, slopeAcross, strokes, centre, x, radius } = relief;
  const { tilt = strokes ? STROKES[strokes] : -1 } = relief;
  const [wide, high] = STRETCH[strokes ?? 'none'];
  const columns = Math.max(3, Math.round((2 * Math.PI * radius) / (along * wide)));
  view.floats(record + at.RELIEF, columns, 1 / (across * high), slopeAlong, slopeAcross);
  view.floats(record + at.RELIEF_CENTRE, ...centre, radius);
  view.floats(record + at.RELIEF_X, ...x, tilt);
}

function layPattern(view: MemoryView, pattern: Surface['pattern'], record: number): void {
  if (!pattern) {
    view.floats(record + at.PATTERN, 0);
    return;
  }
  const { centre, x, radius, seed } = pattern;
  view.floats(record + at.RELIEF_CENTRE, ...centre, radius);
  view.floats(record + at.RELIEF_X, ...x);
  if (pattern.kind === 'layers') {
    const { stackMm, share, turns, barMm, bendMm, bendLengthMm } = pattern;
    view.floats(record + at.PATTERN, at.LAYERED);
    view.floats(record + at.PATTERN_NUMBERS, 1 / stackMm, share, turns, barMm);
    view.floats(record + at.PATTERN_NUMBERS + 16, bendMm, 1 / bendLengthMm, seed, radius);
    return;
  }
  const { ringMm, pithMm, round, poreMm, poreShare, waver } = pattern;
  view.floats(record + at.PATTERN, at.WOODEN);
  view.floats(record + at.PATTERN_NUMBERS, 1 / ringMm, pithMm, round ? 1 : 0, poreMm > 0 ? 1 / poreMm : 0);
  view.floats(record + at.PATTERN_NUMBERS + 16, poreShare, waver, seed, radius);
}

function layMetalColours(view: MemoryView, { colourways }: SceneColours, places: ColourPlaces): void {
  // b of F(c) = F0 + (1 − F0)(1 − c)^5 − b c (1 − c)^6, from the reflectance at 82°
  const c = Math.cos((82 * Math.PI) / 180);
  const c5 = (1 - c) ** 5;
  const c6 = c * (1 - c) ** 6;
  for (let m = 0; m < colourways[0].metals.length; m++) {
    colourways.forEach(({ metals }, w) => {
      const colour = metals[m];
      const record = places.metalColours + (m * colourways.length + w) * at.METAL_COLOUR_BYTES;
      if ('tones' in colour) {
        const [first, second] = colour.tones;
        view.floats(record, ...first, 0, ...second, 0);
        return;
      }
      const { f0, f82 } = colour;
      const b = f0.map((f, k) => (f + (1 - f) * c5 - f82[k]) / c6);
      view.floats(record, ...f0, 0, ...b, 0);
    });
  }
}

function layGems(view: MemoryView, { gems, colourways }: SceneColours, places: ColourPlaces): void {
  gems.forEach(({ cauchyA, cauchyB }, g) => {
    const absorbs = colourways.some((w) => w.gems[g].absorption.some((a) => a > 0));
    const index = cauchyA + cauchyB / (D_LINE * D_LINE);
    view.floats(places.gems + g * at.GEM_BYTES, cauchyA, cauchyB, index, absorbs ? 1 : 0);
    colourways.forEach((w, i) => {
      view.floats(places.gemColours + (g * colourways.length + i) * 16, ...w.gems[g].absorption, 0);
    });
  });
}
