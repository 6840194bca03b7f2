/** Configs of one small take each, of the shipped templates. */
import { resolve } from 'node:path';

export interface Small {
  template: string;
  view: string;
  ground: string;
  frame: readonly [number, number];
  noise: string;
  passes: number;
  metals?: readonly string[];
  size?: string;
}

export function smallConfig({ template, view, ground, frame, noise, passes, metals, size }: Small): string {
  const stones = [
    'tideline',
    'half-channel',
    'square-half',
    'vow-line',
    'ebb-and-flow',
    'beaded-vow',
  ].includes(template);
  const grid = [
    `size: [${size ?? 'ISO 54'}]`,
    ...(metals ? [`metal: [${metals.join(', ')}]`] : []),
    ...(stones ? ['stone: [diamond]'] : []),
  ];
  return `
catalogue: small
title: Small
workshop: Test bench
template: ${resolve(`templates/${template}.yaml`)}
overrides: { chord-tolerance: 0.02 mm }
${stones ? 'origins: { diamond: natural }' : ''}
grid: { ${grid.join(', ')} }
${view === 'pair' ? `pairs: [{ name: duo, when: { size: ${size ?? 'ISO 54'} }, partner: { size: ISO 60 } }]` : ''}
shots: [{ name: ${view}, view: ${view}, ground: ${ground}, frame: [${frame[0]} px, ${frame[1]} px] }]
quality: { noise: ${noise}, passes: ${passes} }
outputs: { images: [{ format: png, widths: [${frame[0]}] }] }
sku: S-{size}${metals ? '-{metal}' : ''}
`;
}
