import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { parse, stringify } from 'yaml';
import { ROOT } from '../../pipeline/store/installation.mjs';

/** A band of the gallery: lines laid over a template, and where it is looked at from. */
export interface GalleryBand {
  name: string;
  template: string;
  view: string;
  /** the lines, as the document has them */
  yaml: string;
}

const BAND =
  /<!-- band: ([a-z-]+) on ([a-z-]+)(?:, ([a-z-]+))? -->\n(?:!\[[^\n]*\n\n?)*```yaml\n([\s\S]*?)```/g;

/** Bands of templates/README.md: each after a comment that names it. */
export function galleryBands(text = readFileSync(join(ROOT, 'templates/README.md'), 'utf8')): GalleryBand[] {
  return [...text.matchAll(BAND)].map(([, name, template, view = 'three-quarter', yaml]) => ({
    name,
    template,
    view,
    yaml,
  }));
}

/** Every stone that a gallery's band may wear must be declared; what these are is an example. */
const STONES_SAID = {
  origins: { diamond: 'laboratory-grown', 'sapphire-blue': 'natural', ruby: 'natural' },
  treatments: { 'sapphire-blue': 'heated', ruby: 'heated' },
};

/** The config that makes a band's picture. */
export function galleryConfig({ name, template, view, yaml }: GalleryBand): string {
  return stringify({
    catalogue: `g-${name}`.slice(0, 32),
    title: name,
    workshop: 'Saltmarsh Bench',
    template,
    overrides: parse(yaml) ?? {},
    ...(/^rows:/m.test(yaml) || hasRows(template) ? STONES_SAID : {}),
    grid: { size: ['ISO 54'] },
    shots: [{ name: 'gallery', view, frame: ['400 px', '300 px'] }],
    quality: { noise: '6 %', passes: 256 },
    outputs: { images: [{ format: 'webp', widths: [400], quality: 80 }], glb: false },
    sku: 'G-{size}',
  });
}

/** Whether the template that comes along has stones of its own. */
const hasRows = (template: string) =>
  /^rows:/m.test(readFileSync(join(ROOT, 'templates', `${template}.yaml`), 'utf8'));
