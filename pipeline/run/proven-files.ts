/** The files of a plan that is to be made: pictures among them are decoded when it is read, not after hours of tracing. */

import { loadLogo } from '../picture/logo.ts';
import { loadWatermark } from '../picture/watermark.ts';
import { type CatalogueFiles, DISK } from '../plan/reading.ts';
import { decodeSky } from '../scene/sky-map.ts';

export const PROVEN: CatalogueFiles = {
  ...DISK,
  prove: {
    sky: (bytes) => {
      decodeSky(bytes);
    },
    logo: async (file, bytes) => {
      await loadLogo(file, async () => bytes);
    },
    watermark: async (mark, bytes) => {
      await loadWatermark(mark, bytes && (async () => bytes));
    },
  },
};
