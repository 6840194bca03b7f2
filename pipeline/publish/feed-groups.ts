import type { Catalogue, CatalogueEntry } from '../facts/catalogue-schema.ts';
import { shortId } from '../plan/feed-id.ts';

/** Axes that product data has attributes for, whatever a design is; a group may hold all their values. */
const SHOWN = ['size', 'metal', 'stone'];

/**
 * `item_group_id` by SKU. Members of a group must differ in a variant attribute (size, colour, material, pattern, age
 * group, gender: support.google.com/merchants/answer/6324507), and no such attribute tells a width. So widths are parted into
 * groups, and what differs in a config's own axes too unless finishes tell it; where attributes still meet, as of alloys that change places, metals and
 * stones are parted too; and what even then is alike stands alone.
 * @param attributes all variant attributes of an item in one text
 */
export function feedGroups(
  { catalogue, axes }: Pick<Catalogue, 'catalogue' | 'axes'>,
  items: readonly CatalogueEntry[],
  attributes: (item: CatalogueEntry) => string,
): Map<string, string> {
  const groups = new Map<string, string>();
  let left = items;
  const unlessWide = axes.map(({ name }) => name).filter((name) => name !== 'width');
  for (const together of [unlessWide, SHOWN, ['size']]) {
    const members = new Map<string, CatalogueEntry[]>();
    for (const item of left) {
      const parted = axes.filter(({ name }) => !together.includes(name));
      const slugs = parted.map(({ name, values }) => {
        const label = item.bands[0].axes[name];
        return values.find((v) => v.label === label)?.slug ?? label;
      });
      const id = shortId([catalogue, ...slugs].join('-'));
      members.set(id, [...(members.get(id) ?? []), item]);
    }
    const taken = new Set(groups.values());
    left = [];
    for (const [id, group] of members) {
      const apart = new Set(group.map(attributes)).size === group.length && !taken.has(id);
      if (apart) for (const { sku } of group) groups.set(sku, id);
      else left = [...left, ...group];
    }
  }
  return groups;
}
