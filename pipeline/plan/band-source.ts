import type { Place, Problem } from '../problem.ts';
import type { ShapeDesign } from './design.ts';
import { layersAt, locateIn, type TemplateLayer } from './layers.ts';
import { chosenText, isMapping, valueAt } from './raw-merge.ts';
import type { Template } from './template-schema.ts';
import type { FieldPath, YamlSource } from './yaml-source.ts';

/** What a band is written in. */
export interface BandSource {
  /** template, overrides and what the band's axis values and its pair change, the topmost last */
  layers: readonly TemplateLayer[];
  /** what they come to, before a partner's seams follow the other band's */
  written: Template;
  design: ShapeDesign;
  /** axis → where its value stands in the config; what it decides beside the template is not asked of that */
  decided: Readonly<Record<string, FieldPath>>;
  config: YamlSource;
  /** the template is a file of the config's own */
  ownTemplate: boolean;
  /** its seams follow those of the other band of a pair */
  follows: boolean;
}

/** Where a value stands, or would be written. */
export interface ValueOrigin {
  file: string;
  /** of the value's key, or of what lacks it */
  line: number;
  column: number;
  /** keys from the root of that file */
  path: FieldPath;
  /** the file has it */
  written: boolean;
  /** limits that stand in one text with it, to be written anew behind it */
  limits?: string;
}

/** Keys of a path as text such as `rows.crest.coverage[2]`. */
export function keysOf(text: string): FieldPath {
  return text.split(/[.[\]]+/).flatMap((key) => (key === '' ? [] : [/^\d+$/.test(key) ? Number(key) : key]));
}

/** A file of which `at` may be the root or any mapping, with the nearest place that it has. */
function originIn(source: YamlSource, path: FieldPath): ValueOrigin {
  const own = source.keyPlaceOf(path) ?? source.placeOf(path);
  let place: Place | undefined = own;
  for (let n = path.length - 1; !place && n >= 0; n--)
    place = source.keyPlaceOf(path.slice(0, n)) ?? source.placeOf(path.slice(0, n));
  const { line, column } = place ?? { line: 1, column: 1 };
  return { file: source.file, line, column, path, written: own !== undefined };
}

/**
 * Where a value of the template is to be changed for one band: in the topmost layer that holds it, and if none does in
 * the lowest that has a say. A template that comes along is never written to: what stands there is changed in the
 * config's overrides.
 */
export function originOf(band: BandSource, path: FieldPath): ValueOrigin {
  const { config, ownTemplate } = band;
  if (path.length === 1 && path[0] === 'width' && band.decided.width)
    return originIn(config, decidedWidth(config, band.decided.width));
  const open = layersAt(band.layers, path);
  const holder = open.find(({ raw }) => valueAt(raw, path) !== undefined);
  const layer = holder ?? open[open.length - 1];
  if (layer !== band.layers[0] || ownTemplate) {
    const at = [...layer.at, ...path];
    if (path.length !== 2 || path[0] !== 'let') return originIn(layer.source, at);
    // what can be chosen stands by itself or among its limits
    const own = valueAt(layer.raw, path);
    if (isMapping(own)) return originIn(layer.source, [...at, 'value']);
    const { from, to } = chosenText(own);
    return { ...originIn(layer.source, at), ...(from === undefined ? {} : { limits: `${from} .. ${to}` }) };
  }
  return originIn(config, ['overrides', ...path]);
}

/** A width of the grid is written by itself or with a label, a partner's beside what else the pair changes. */
function decidedWidth(config: YamlSource, path: FieldPath): FieldPath {
  const raw = valueAt(config.raw, path);
  if (!isMapping(raw)) return path;
  return [...path, Object.hasOwn(raw, 'value') ? 'value' : 'width'];
}

/** A problem of a band's geometry, whose path is written as in its template, with the place in the file that holds it. */
export function placedProblem(problem: Problem, band: BandSource | undefined): Problem {
  if (problem.place || !band) return problem;
  const place = locateIn(band.layers)(keysOf(problem.path), true);
  return place ? { ...problem, place } : problem;
}
