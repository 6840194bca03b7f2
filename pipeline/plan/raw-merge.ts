/** A mapping, not a list. */
export function isMapping(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

/** The value at a path; undefined where there is none. */
export function valueAt(raw: unknown, path: readonly (string | number)[]): unknown {
  return path.reduce<unknown>(
    (value, key) =>
      (isMapping(value) || Array.isArray(value)) && Object.hasOwn(value, key)
        ? (value as Record<string | number, unknown>)[key]
        : undefined,
    raw,
  );
}

/** Keys that say what a mapping is: with another word there its other keys mean other things. */
const KINDS = ['kind', 'style'];

/**
 * Whether a change takes the place of what it is laid over: a seam of another kind, a setting of another style and a
 * section of another name keep nothing of the one below.
 */
export function replaces(base: unknown, change: unknown, path: readonly (string | number)[]): boolean {
  if (!isMapping(base) || !isMapping(change)) return change !== undefined;
  const keys = path.length === 1 && path[0] === 'section' ? ['name'] : KINDS;
  return keys.some(
    (key) => change[key] !== undefined && base[key] !== undefined && change[key] !== base[key],
  );
}

/** A section may be given by its name alone, and what a template lets be chosen by its value or limits alone. */
function inFull(value: unknown, path: readonly (string | number)[]): unknown {
  if (path.length === 2 && path[0] === 'let') return isMapping(value) ? value : chosenText(value);
  return path.length === 1 && path[0] === 'section' && typeof value === 'string' ? { name: value } : value;
}

/** `0.5 mm`, `0.3 mm .. 0.9 mm` or `0.5 mm in 0.3 mm .. 0.9 mm` as the mapping that it stands for. */
export function chosenText(written: unknown): Record<string, unknown> {
  const range = typeof written === 'string' ? /^(?:(.+?)\s+in\s+)?(.+?)\s*\.\.\s*(.+)$/.exec(written) : null;
  if (!range) return { value: written };
  const [, value, from, to] = range;
  return { ...(value === undefined ? {} : { value }), from, to };
}

/**
 * `change` laid over `base`: mappings key by key unless they are of different kinds, everything else replaced. Neither
 * is modified.
 */
export function mergeRaw(base: unknown, change: unknown, path: readonly (string | number)[] = []): unknown {
  if (change === undefined) return base;
  const above = path[0] === 'let' ? inFull(change, path) : change;
  const below = isMapping(above) ? inFull(base, path) : base;
  if (replaces(below, above, path) || !isMapping(below) || !isMapping(above)) return change;
  const out = { ...below };
  for (const [name, value] of Object.entries(above))
    out[name] = Object.hasOwn(below, name) ? mergeRaw(below[name], value, [...path, name]) : value;
  return out;
}
