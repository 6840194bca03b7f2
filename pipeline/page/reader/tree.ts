/**
 * A piece of page as plain data, so that what the writer puts into index.html and what the script makes later is said
 * once: `toHtml` (`page/tree-html.ts`) writes it, `grow` (`element.ts`) makes elements of it.
 */
export interface Tree {
  tag: string;
  attributes: Record<string, string | number>;
  children: (Tree | string)[];
}

/** Attributes and children that are `undefined` are left out. */
export function tree(
  tag: string,
  attributes: Record<string, string | number | undefined> = {},
  ...children: (Tree | string | undefined)[]
): Tree {
  const given = Object.entries(attributes).filter((pair): pair is [string, string | number] => {
    return pair[1] !== undefined;
  });
  return {
    tag,
    attributes: Object.fromEntries(given),
    children: children.filter((child): child is Tree | string => child !== undefined && child !== ''),
  };
}
