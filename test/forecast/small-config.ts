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
overrides: { chord-tolerance: 0.04 mm }
${stones ? 'origins: { diamond: natural }' : ''}
grid: { ${grid.join(', ')} }
${view === 'pair' ? `pairs: [{ name: duo, when: { size: ${size ?? 'ISO 54'} }, partner: { size: ISO 60 } }]` : ''}
shots: [{ name: ${view}, view: ${view}, ground: ${ground}, frame: [${frame[0]} px, ${frame[1]} px] }]
quality: { noise: ${noise}, passes: ${passes} }
outputs: { images: [{ format: png, widths: [${frame[0]}] }] }
sku: S-{size}${metals ? '-{metal}' : ''}
`;
}

export const TRIAL: Small = {
  template: 'tideline',
  view: 'three-quarter',
  ground: 'white',
  frame: [192, 192],
  noise: '3 %',
  passes: 1000,
};

/** No two alike. Their noise asks for more than the least number of samples, else there were nothing to foretell. */
export const CASES: readonly Small[] = [
  {
    template: 'plain-court',
    view: 'flat-lay',
    ground: 'sweep',
    frame: [224, 224],
    noise: '1.8 %',
    passes: 1000,
  },
  {
    ...{
      template: 'tideline',
      view: 'macro',
      ground: 'white',
      frame: [160, 128],
      noise: '3.5 %',
      passes: 1000,
    },
    ...{ size: 'ISO 60', metals: ['yellow-18', 'platinum-950'] },
  },
  {
    template: 'hammered-court',
    view: 'inside',
    ground: 'gloss',
    frame: [192, 160],
    noise: '1.5 %',
    passes: 1000,
  },
  {
    ...{
      template: 'half-channel',
      view: 'three-quarter',
      ground: 'clear',
      frame: [256, 256],
      noise: '2.5 %',
    },
    ...{ passes: 1000, metals: ['yellow-18', 'white-18', 'platinum-950'] },
  },
  { template: 'square-half', view: 'pair', ground: 'white', frame: [256, 160], noise: '2 %', passes: 160 },
];
