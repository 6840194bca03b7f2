/** Every file of an item, as links. */

import { address, bytes, mm } from './amounts.ts';
import { make } from './element.ts';
import type { ItemDetail } from './page-data.ts';
import { shotName, shownShots } from './pictures.ts';
import { figure, say } from './say.ts';

interface Download {
  file: string;
  label: string;
  bytes: number;
}

const DOCUMENTS = { 'stone-list': 'stoneList', 'bench-sheet': 'benchSheet' } as const;

export function downloadGroups(item: ItemDetail): { title: string; files: Download[] }[] {
  const several = item.bands.length > 1;
  const of = (sku: string) => (several ? `, ${sku}` : '');
  const pictures = shownShots(item).flatMap((shot) =>
    shot.pictures
      .filter((p) => p.role !== 'thumbnail')
      .map((p) => ({
        file: p.file,
        label: `${shotName(shot, item)}${p.name ? `, ${p.name}` : ''}${p.frame ? `, ${p.frame}` : ''}, ${p.format.toUpperCase()} ${p.width} × ${p.height}`,
        bytes: p.bytes,
      })),
  );
  const swatches = item.swatches.flatMap((s) => [
    { file: s.file, label: `${say('swatch')}, ${s.shot}`, bytes: s.bytes },
    { file: s.sheet, label: `${say('allColourways')}, ${s.shot}`, bytes: s.sheetBytes },
  ]);
  const models = item.bands.flatMap((b) =>
    b.model
      ? [
          {
            file: b.model.file,
            label: `${say('model')}, GLB${of(b.sku)}`,
            bytes: item.models[b.model.file] ?? 0,
          },
        ]
      : [],
  );
  const own = item.bands.flatMap((b) =>
    (b.ownModels ?? []).map((m) => ({
      file: m.file,
      label: `${say('ownModel')}, ${m.format.toUpperCase()}${of(b.sku)}`,
      bytes: m.bytes,
    })),
  );
  const documents = (item.documents ?? []).map((d) => ({
    file: d.file,
    label: `${DOCUMENTS[d.kind] ? say(DOCUMENTS[d.kind]) : d.kind}, ${extension(d.file)}${several ? `, ${d.file.split('/').pop()}` : ''}`,
    bytes: d.bytes,
  }));
  const parts = item.bands.flatMap(
    (b) =>
      b.caster?.parts.flatMap((part) =>
        part.files.map((f) => ({
          file: f.file,
          label: `${say('castPart', { alloy: part.alloy, lanes: part.lanes.join(', ') })}, ${f.format.toUpperCase()}${of(b.sku)}`,
          bytes: f.bytes,
        })),
      ) ?? [],
  );
  return [
    { title: say('pictures'), files: pictures },
    { title: say('swatches'), files: swatches },
    { title: say('forTheBench'), files: documents },
    { title: say('models'), files: [...models, ...own, ...parts] },
  ].filter((group) => group.files.length > 0);
}

export function downloads(item: ItemDetail): HTMLElement[] {
  const groups = downloadGroups(item);
  if (groups.length === 0) return [];
  const boxes = groups.map(({ title, files }) => {
    const links = files.map((f) =>
      make(
        'li',
        {},
        make('a', { href: address(f.file), download: '' }, f.label),
        ' ',
        make('small', {}, f.bytes > 0 ? bytes(f.bytes) : ''),
      ),
    );
    return make(
      'details',
      { class: 'files' },
      make('summary', {}, `${title} `, make('small', {}, String(files.length))),
      make('ul', {}, ...links),
    );
  });
  return [
    make('h3', { class: 'group files-head' }, say('files')),
    ...boxes,
    ...allowances(item).map((text) => make('p', { class: 'note' }, text)),
  ];
}

/** What the caster's files allow for must be read with them. */
function allowances(item: ItemDetail): string[] {
  const said = item.bands.flatMap(({ caster }) =>
    caster
      ? [
          say('allowances', {
            shrinkage: percent(caster.shrinkage),
            polish: mm(caster.polishMm),
            sprue: percent(caster.sprue),
          }),
        ]
      : [],
  );
  return [...new Set(said)];
}

const percent = (share: number) => `${figure(100 * share, 0, 2)}\u00a0%`;

function extension(file: string): string {
  return file.slice(file.lastIndexOf('.') + 1).toUpperCase();
}
