/** Time of a run that finds everything made: what a workshop pays that starts its catalogue every night. */

import { execFileSync } from 'node:child_process';
import { rmSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { ALLOYS } from '../../pipeline/trade/alloys.ts';
import { makeNight, openNight } from '../run/tiny-night.ts';
import { type Measurement, median } from './measurement.ts';

const FINISHES = ['polished', 'satin', 'brushed', 'ice-matt', 'sandblasted'];

/** As many items as sizes × alloys × 5 finishes, of one plain band in grey pictures of 16 px. */
function config(sizes: number, alloys: number): string {
  const list = (items: readonly string[]) => `[${items.join(', ')}]`;
  const finishes = FINISHES.map(
    (finish, i) => `    - { label: ${finish}, slug: F${i}, set: { lanes: { band: { finish: ${finish} } } } }`,
  );
  return `
catalogue: standing
title: Standing
workshop: Test bench
template: ${resolve('templates/plain-court.yaml')}
overrides: { chord-tolerance: 0.05 mm }
grid:
  size: ${list(Array.from({ length: sizes }, (_, i) => `ISO ${48 + i}`))}
  metal: ${list([...ALLOYS.keys()].slice(0, alloys))}
  dress:
${finishes.join('\n')}
shots: [three-quarter]
frame: [16 px, 16 px]
quality: { noise: 4 %, passes: 8 }
outputs:
  images: [{ format: png, widths: [16] }]
sku: S-{size}-{metal}-{dress}
`;
}

export const standing: Measurement = {
  name: 'standing',
  about: 'a run that has nothing to do, for 2,000 items',
  async run({ quick, record, say }) {
    const night = await openNight(quick ? config(4, 5) : config(20, 20));
    const items = night.plan.variants.length;
    try {
      const made = performance.now();
      await makeNight(night, 'out');
      say(`made ${items} items in ${((performance.now() - made) / 1000).toFixed(0)} s`);
      const args = ['make', join(night.folder, 'tiny.yaml'), '--out', join(night.folder, 'out')];
      const seconds: number[] = [];
      for (let round = 0; round < (quick ? 1 : 5); round++) {
        const start = performance.now();
        const said = execFileSync(process.execPath, ['pipeline/cli/bandwright.mjs', ...args], {
          encoding: 'utf8',
        });
        seconds.push((performance.now() - start) / 1000);
        if (!said.includes('Nothing to do')) throw new Error(`a second run had something to do:\n${said}`);
      }
      record(`nothing_to_do_${items}_s`, median(seconds), 's');
    } finally {
      rmSync(night.folder, { recursive: true, force: true });
    }
  },
};
