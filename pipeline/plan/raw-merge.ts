/** A mapping, not a list. */
export function isMapping(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

/** `change` laid over `base`: mappings key by key, everything else replaced. Neither is modified. */
export function mergeRaw(base: unknown, change: unknown): unknown {
  if (change === undefined) return base;
  if (!isMapping(base) || !isMapping(change)) return change;
  const out = { ...base };
  for (const [name, value] of Object.entries(change))
    out[name] = Object.hasOwn(base, name) ? mergeRaw(base[name], value) : value;
  return out;
}
