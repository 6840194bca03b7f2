/** A node, mesh or material name any viewer can take: a–z, 0–9, `_` and `-`, beginning with a letter. */
export function plainName(text: string): string {
  const plain = variantName(text);
  return /^[a-z]/.test(plain) ? plain : `n${plain && `_${plain}`}`;
}

/** A variant name: a–z, 0–9, `_` and `-`. A short form that is already plain stays as it is. */
export function variantName(text: string): string {
  return text
    .normalize('NFD')
    .replace(/\p{M}/gu, '')
    .toLowerCase()
    .replace(/[^a-z0-9_-]+/g, '_')
    .replace(/^[_-]+|[_-]+$/g, '');
}
