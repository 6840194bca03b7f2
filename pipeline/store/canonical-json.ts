/**
 * JSON with sorted keys and no spaces, so that equal values give equal text. Properties that are undefined
 * are left out, as JSON.stringify does.
 * @throws TypeError for numbers that JSON cannot hold
 */
export function canonicalJson(value: unknown): string {
  if (typeof value === 'number' && !Number.isFinite(value))
    throw new TypeError(`canonical JSON needs finite numbers, not ${value}`);
  if (Array.isArray(value)) return `[${value.map((v) => canonicalJson(v ?? null)).join(',')}]`;
  if (typeof value === 'object' && value !== null) {
    const entries = Object.entries(value)
      .filter(([, v]) => v !== undefined)
      .sort(([a], [b]) => (a < b ? -1 : 1));
    return `{${entries.map(([k, v]) => `${JSON.stringify(k)}:${canonicalJson(v)}`).join(',')}}`;
  }
  return JSON.stringify(value);
}
