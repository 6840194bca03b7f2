/** Files that are none, that are cut off, or that are not what their place needs. */

import sharp from 'sharp';
import { DataTexture, FloatType, RGBAFormat } from 'three';
import { EXRExporter, NO_COMPRESSION, ZIP_COMPRESSION } from 'three/examples/jsm/exporters/EXRExporter.js';
import { config } from '../plan/workspace.ts';
import { radiancePicture, runPicture } from '../scene/radiance-picture.ts';
import { type BadInput, badConfig } from './bad-input.ts';

const sky = (file: string) =>
  config({ lights: 'lights: open', studios: `studios: { open: { like: dusk, sky: { image: "${file}" } } }` });

/** Where a config names a file. */
const ROLES: Record<string, (file: string) => string> = {
  template: (file) => config({ template: `template: "${file}"` }),
  'lights.yaml': (file) => config({ lights: `lights: "${file}"` }),
  sky,
  orders: (file) => config({ orders: `orders: "${file}"`, proofs: 'proofs: true' }),
  logo: (file) => config({ workshop: `workshop: { name: Bench, logo: "${file}" }` }),
  watermark: (file) => config({ watermark: `watermark: { image: "${file}" }` }),
};

/** Made by `specialFiles` in the folder of each input, or of the system. */
const SPECIAL = [
  ...[
    '/dev/zero',
    '/dev/null',
    '/dev/full',
    '/dev/random',
    '/dev/tty',
    '/proc/self/mem',
    '/proc/self/environ',
  ],
  ...[
    './pipe',
    './folder/',
    './nowhere/',
    './circle',
    './sparse',
    './file/under',
    './none',
    `./${'n'.repeat(300)}`,
  ],
];
const CONTENTS: Record<string, string | Uint8Array> = {
  empty: '',
  'spaces only': '  \n\n',
  'zero bytes': new Uint8Array(64),
  'UTF-16 little': Buffer.from('\uFEFFa: 1\n', 'utf16le'),
  'UTF-16 big': Buffer.from('\uFEFFa: 1\n', 'utf16le').swap16(),
  'no UTF-8': Buffer.from([0x61, 0x3a, 0x20, 0xe9, 0x0a]),
};

function inEveryRole(): BadInput[] {
  const out: BadInput[] = [];
  for (const file of SPECIAL) {
    const args = ['plan', file.replace('./', '{f}/'), '--out', '{f}/out'];
    out.push({ group: 'special files', name: `config ${file.slice(0, 40)}`, args, files: {} });
  }
  for (const [what, bytes] of Object.entries(CONTENTS))
    out.push({
      group: 'contents',
      name: `config: ${what}`,
      args: ['plan', '{f}/config.yaml'],
      files: { 'config.yaml': bytes },
    });
  for (const [role, text] of Object.entries(ROLES)) {
    for (const file of SPECIAL)
      out.push(badConfig('special files', `${role} ${file.slice(0, 40)}`, text(file)));
    for (const [what, bytes] of Object.entries(CONTENTS))
      out.push(badConfig('contents', `${role}: ${what}`, text('./given.yaml'), { 'given.yaml': bytes }));
  }
  return out;
}

const PARTS = [0, 0.01, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.99];

function cut(group: string, kind: string, whole: Uint8Array, text: string): BadInput[] {
  return PARTS.map((part) => {
    const bytes = whole.subarray(0, Math.floor(part * whole.length));
    return badConfig(group, `${kind}, ${100 * part} % of it`, text, { 'given.yaml': bytes });
  });
}

async function skies(): Promise<BadInput[]> {
  const of = sky('./given.yaml');
  const grey = () => [0.5, 0.5, 0.5] as [number, number, number];
  const texture = new DataTexture(new Float32Array(64 * 32 * 4).fill(0.5), 64, 32, RGBAFormat, FloatType);
  const exr = (compression: typeof NO_COMPRESSION | typeof ZIP_COMPRESSION) =>
    new EXRExporter().parse(texture, { compression });
  const wrong: Record<string, Uint8Array> = {
    black: radiancePicture(64, 32, () => [0, 0, 0]),
    'light from below only': radiancePicture(64, 32, (_, y) => (y < 16 ? [0, 0, 0] : [1, 1, 1])),
    square: radiancePicture(32, 32, grey),
    'one line': radiancePicture(2, 1, grey),
    'no header': Buffer.from('#?RADIANCE\n'),
    'claims of 4 thousand million pixels': Buffer.from(
      '#?RADIANCE\nFORMAT=32-bit_rle_rgbe\n\n-Y 40000 +X 80000\n',
    ),
    'claims of 33 million pixels': Buffer.from('#?RADIANCE\nFORMAT=32-bit_rle_rgbe\n\n-Y 4096 +X 8192\n'),
    'an empty run': Buffer.concat([
      Buffer.from('#?RADIANCE\nFORMAT=32-bit_rle_rgbe\n\n-Y 32 +X 64\n'),
      Buffer.from([2, 2, 0, 64]),
      Buffer.alloc(5000),
    ]),
    'a PNG': await sharp({ create: { width: 64, height: 32, channels: 3, background: '#888' } })
      .png()
      .toBuffer(),
  };
  return [
    ...cut('skies', 'Radiance', radiancePicture(64, 32, grey), of),
    ...cut('skies', 'Radiance in runs', runPicture(64, 32), of),
    ...cut('skies', 'OpenEXR', await exr(NO_COMPRESSION), of),
    ...cut('skies', 'OpenEXR, ZIP', await exr(ZIP_COMPRESSION), of),
    ...Object.entries(wrong).map(([what, bytes]) => badConfig('skies', what, of, { 'given.yaml': bytes })),
  ];
}

async function logos(): Promise<BadInput[]> {
  const noise = { type: 'gaussian' as const, mean: 90, sigma: 40 };
  const picture = sharp({ create: { width: 240, height: 120, channels: 3, background: '#123', noise } });
  const svg = Buffer.from(
    `<svg xmlns="http://www.w3.org/2000/svg" width="40" height="20"><path d="M0 0H40V20H0Z"/>${'<path d="M1 1L2 2"/>'.repeat(50)}</svg>`,
  );
  const drawings = {
    script: '<script>1</script>',
    handler: '<rect width="9" height="9" onload="x()"/>',
    'outside picture': '<image href="https://example.com/a.png"/>',
    'outside style': '<style>@import url(x.css)</style>',
    text: '<text>a</text>',
    foreign: '<foreignObject/>',
    'escaped script': '<&#115;cript/><a href="java&#115;cript:1"/>',
    'file of the system': '<image href="file:///etc/passwd"/>',
  };
  const out: BadInput[] = [];
  for (const role of ['logo', 'watermark']) {
    const text = ROLES[role]('./given.yaml');
    out.push(...cut('logos', `PNG as ${role}`, await picture.png().toBuffer(), text));
    out.push(...cut('logos', `SVG as ${role}`, svg, text));
    for (const [what, inner] of Object.entries(drawings)) {
      const bytes = `<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9">${inner}</svg>`;
      out.push(badConfig('logos', `${role} with ${what}`, text, { 'given.yaml': bytes }));
    }
  }
  return [...out, ...cut('logos', 'JPEG', await picture.jpeg().toBuffer(), ROLES.logo('./given.yaml'))];
}

export async function badFiles(): Promise<BadInput[]> {
  return [...inEveryRole(), ...(await skies()), ...(await logos())];
}
