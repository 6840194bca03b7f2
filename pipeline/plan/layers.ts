import type { Place } from '../problem.ts';
import type { Locate } from './findings.ts';
import { mergeRaw, replaces, valueAt } from './raw-merge.ts';
import type { FieldPath, YamlSource } from './yaml-source.ts';

/** A part of a file that is laid over others. */
export interface TemplateLayer {
  source: YamlSource;
  /** where in the file the layer starts */
  at: FieldPath;
  raw: unknown;
}

/** Layers laid over each other, the last one on top. */
export function mergeLayers(layers: readonly TemplateLayer[]): unknown {
  return layers.reduce<unknown>((base, layer) => mergeRaw(base, layer.raw), undefined);
}

/** Layers that have a say at a path, the topmost first: what lies below one that replaces a mapping on the way has none. */
export function layersAt(layers: readonly TemplateLayer[], path: FieldPath): TemplateLayer[] {
  const seen: TemplateLayer[] = [];
  for (let i = layers.length - 1; i >= 0; i--) {
    seen.push(layers[i]);
    const below = mergeLayers(layers.slice(0, i));
    const hidden = path.some((_, n) => {
      if (n === 0) return false;
      const at = path.slice(0, n);
      const own = valueAt(layers[i].raw, at);
      return own !== undefined && replaces(valueAt(below, at), own, at);
    });
    if (hidden) break;
  }
  return seen;
}

function placeIn(layer: TemplateLayer, path: FieldPath, key: boolean): Place | undefined {
  const full = [...layer.at, ...path];
  return key ? (layer.source.keyPlaceOf(full) ?? layer.source.placeOf(full)) : layer.source.placeOf(full);
}

/** Finds a field in the topmost layer that has it; failing that, the nearest field around it. */
export function locateIn(layers: readonly TemplateLayer[]): Locate {
  return (path, key) => {
    const open = layersAt(layers, path);
    for (let n = path.length; n >= 0; n--) {
      for (const layer of open) {
        // an upper layer's top says nothing about a field which only a lower one could hold
        if (n === 0 && layer !== layers[0]) continue;
        const place = placeIn(layer, path.slice(0, n), key && n === path.length);
        if (place) return place;
      }
    }
    return undefined;
  };
}

export function locateInSource(source: YamlSource): Locate {
  return locateIn([{ source, at: [], raw: source.raw }]);
}
