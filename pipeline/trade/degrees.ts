/** Tenths of a degree from the top, over -180 to 180, of an angle in rad. */
export function degreesFromTop(theta: number): number {
  const tenths = Math.round((theta * 1800) / Math.PI);
  // not -0 just before the top
  return (tenths - 3600 * Math.ceil(tenths / 3600 - 0.5)) / 10 + 0;
}
