const known = new Map<string, Intl.NumberFormat>();

/**
 * How numbers are written in a language, with so many decimals at least and at most. Formats are kept: every line of every
 * sheet asks for one, and to make one takes longer than to write the line.
 * @param tag BCP 47
 */
export function numberFormat(
  tag: string,
  least: number,
  most: number,
  useGrouping = true,
): Intl.NumberFormat {
  const name = `${tag} ${least} ${most} ${useGrouping}`;
  let format = known.get(name);
  if (!format) {
    format = new Intl.NumberFormat(tag, {
      minimumFractionDigits: least,
      maximumFractionDigits: most,
      useGrouping,
    });
    known.set(name, format);
  }
  return format;
}
