/** Between two names: an ampersand or plus sign, or the word for it in English and German. */
const BETWEEN = /\s*[&+]\s*|\s+(?:and|und|u\.)\s+/iu;

/** Words that stand before a name and are none: "Mr and Mrs Vale" names one. */
const TITLE = /^(?:mr|mrs|ms|miss|mx|dr|prof|herr|frau|familie|eheleute|brautpaar|the couple)\.?$/iu;

/** The names of the two bands' wearers, in order; undefined unless the text names exactly two. */
export function namesOfTwo(names: string): [string, string] | undefined {
  const parts = names.split(BETWEEN).map((name) => name.trim());
  const [first, second] = parts;
  if (parts.length !== 2 || first === second) return undefined;
  // a name has letters, as a number of persons or a dash has not
  return [first, second].every((name) => /\p{L}/u.test(name) && !TITLE.test(name))
    ? [first, second]
    : undefined;
}
