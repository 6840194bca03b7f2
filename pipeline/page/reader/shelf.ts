/** Loads scripts of the folder, each once, and gives what they put on the shelf. */

import { address } from './amounts.ts';
import { type ItemDetail, type PageItem, SHELF } from './page-data.ts';
import { say } from './say.ts';

const loading = new Map<string, Promise<unknown>>();

/** @throws Error in words for the reader if the file is missing */
export function fromShelf<T>(file: string, of = file): Promise<T> {
  const known = loading.get(file);
  if (known) return known as Promise<T>;
  const promise = new Promise<T>((resolve, reject) => {
    const script = document.createElement('script');
    script.src = address(file);
    script.onload = () => {
      const shelf = (globalThis as unknown as Record<string, Record<string, unknown>>)[SHELF];
      script.remove();
      if (shelf?.[of] === undefined) reject(new Error(say('otherContent', { file })));
      else resolve(shelf[of] as T);
    };
    script.onerror = () => {
      loading.delete(file);
      script.remove();
      reject(new Error(say('missing', { file })));
    };
    document.head.append(script);
  });
  loading.set(file, promise);
  return promise;
}

/** @throws Error in words for the reader */
export async function detailOf(item: PageItem): Promise<ItemDetail> {
  const details = await fromShelf<Record<string, ItemDetail>>(item.part);
  const detail = details[item.sku];
  if (!detail) throw new Error(say('older'));
  return detail;
}
