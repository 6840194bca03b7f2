import { existsSync, readFileSync, statSync } from 'node:fs';
import { dirname, join, normalize } from 'node:path';
import { describe, expect, it } from 'vitest';
import { COMMAND_NAMES } from '../../pipeline/cli/main.ts';
import { HELP } from '../../pipeline/cli/usage.ts';
import { buildShape, checkShape } from '../../pipeline/setting/build-shape.ts';
import { ROOT } from '../../pipeline/store/installation.mjs';
import { BENCH_RULE_NAMES } from '../../pipeline/trade/bench-limits.ts';
import { LOOK_ENGLISH } from '../../pipeline/words/look-en.ts';
import { PAGE_ENGLISH } from '../../pipeline/words/page-en.ts';
import { planOf } from '../plan/workspace.ts';
import { DOCUMENTS, documentText, generated } from './documents.ts';
import { yamlBlocks } from './examples.ts';
import { galleryBands, galleryConfig } from './gallery.ts';

const FILES = [
  'README.md',
  ...Object.values(DOCUMENTS),
  'configs/farm/README.md',
  'configs/GLOSSARY.md',
  'CHANGES.md',
];

/** Wordings that setters and shopkeepers had to ask about. */
const RIDDLES =
  /so many as the other|made lean|taken as meant|with a comfort inside|take (?:this )?one away|from higher|^nearer$|as planned/im;

const head = (template: string) =>
  `catalogue: x\ntitle: X\nworkshop: X\ntemplate: ${template}\ngrid: { size: [ISO 54] }\nshots: [front]\nsku: "X-{size}"\n`;

describe('documents', () => {
  it('are as schemas, tables and rules make them today (else: npm run documents)', async () => {
    for (const [file, text] of Object.entries(await generated()))
      expect(
        readFileSync(join(ROOT, file), 'utf8') === text,
        `${file} is out of date: npm run documents`,
      ).toBe(true);
  });

  it.each([DOCUMENTS.configs, DOCUMENTS.templates, DOCUMENTS.studios])(
    '%s: no key is without a word',
    (file) => {
      const keys = [...documentText(file).matchAll(/^\| (`[^`]+`) \|(?:[^|]*\|){2} *([^|]*?) *\|/gm)];
      expect(keys.length).toBeGreaterThan(15);
      expect(keys.filter(([, , about]) => about === '').map(([, key]) => key)).toEqual([]);
    },
  );

  it.each(FILES)('%s: links and pictures lead somewhere, and pictures are small', (file) => {
    const text = documentText(file);
    for (const [, target] of text.matchAll(/\]\(([^)\s]+)\)/g)) {
      if (/^https?:/.test(target)) continue;
      const [path, anchor] = target.split('#');
      const found = path === '' ? file : normalize(join(dirname(file), path));
      expect(existsSync(join(ROOT, found)), `${file} → ${target}`).toBe(true);
      if (/\.(webp|svg|png)$/.test(path)) expect(statSync(join(ROOT, found)).size).toBeLessThan(300_000);
      if (anchor) expect(headings(documentText(found)), `${file} → ${target}`).toContain(anchor);
    }
  });

  it.each(FILES)('%s: every command and option is one that there is', (file) => {
    const code = [...documentText(file).matchAll(/```[\s\S]*?```|`[^`\n]+`/g)]
      .map(([block]) => block)
      .join('\n');
    for (const [, command] of code.matchAll(/\bbandwright (?:-- )?([a-z]+(?:-[a-z]+)*)\b/g))
      expect(COMMAND_NAMES, `${file}: bandwright ${command}`).toContain(command);
    for (const [line] of code.matchAll(/\bbandwright [^\n`]*/g))
      for (const [, flag] of line.matchAll(/ (--[a-z][a-z-]+)/g))
        expect(`${HELP} --help --version`, `${file}: ${flag}`).toContain(flag);
  });

  it.each(FILES)('%s: says it in words of the trade', (file) => {
    expect(documentText(file)).not.toMatch(RIDDLES);
  });

  it('what readers of pages are told is in words of the trade', () => {
    for (const text of [...Object.values(PAGE_ENGLISH), ...Object.values(LOOK_ENGLISH)])
      expect(text).not.toMatch(RIDDLES);
  });

  it('the README names every command', () => {
    const readme = documentText('README.md');
    for (const command of COMMAND_NAMES.filter((c) => c !== 'help'))
      expect(readme).toContain(`bandwright ${command}`);
  });

  it('the README’s and the gallery’s templates can be built', async () => {
    for (const [file, at] of [
      ['README.md', 0],
      [DOCUMENTS.templates, 0],
    ] as const) {
      const template = yamlBlocks(documentText(file))[at];
      const { plan } = await planOf(head('./band.yaml'), { 'band.yaml': template });
      const [design] = Object.values(plan.shapes);
      const shape = await buildShape({ ...design, chordToleranceMm: 0.05 });
      expect(shape.lanes.map((l) => l.name)).toEqual(['near-rail', 'inlay', 'far-rail']);
    }
  });

  it('the config with everything in it comes to what it says', async () => {
    const config = yamlBlocks(documentText(DOCUMENTS.configs)).find((text) => text.startsWith('catalogue:'))!;
    const { plan, warnings } = await planOf(config);
    expect(warnings).toEqual([]);
    // 3 sizes × 2 widths × 2 metals × 2 stones × 2 shores, less UK N½ with ruby (2 × 2 × 2)
    expect(plan.variants).toHaveLength(48 - 8);
    expect(plan.pairs).toHaveLength(2);
    expect(plan.variants[0].sku).toBe('HL-ISO52-5-Y18-LGD-S');
  });

  it('the studios’ page shows a change and a studio that light a shot', async () => {
    const [change, own] = yamlBlocks(documentText(DOCUMENTS.studios));
    const first = await planOf(`${head('plain-court')}lights: warm-window\n${change}`);
    expect(first.plan.shots).toHaveLength(1);
    const { plan } = await planOf(`${head('plain-court')}lights: ./studio.yaml\n`, { 'studio.yaml': own });
    expect(plan.shots[0].studio.panels).toHaveLength(10);
  });

  it('the rules’ page shows a limit and a waiver that can be used', async () => {
    const [bench] = yamlBlocks(documentText(DOCUMENTS.rules));
    const { plan } = await planOf(
      `${head('tideline')}origins: { diamond: natural }\n${bench.replace(', when: { width: 5 mm }', '')}`,
    );
    expect(plan.variants).toHaveLength(1);
    for (const rule of BENCH_RULE_NAMES) expect(documentText(DOCUMENTS.rules)).toContain(`| \`${rule}\` |`);
  });

  it.each(galleryBands())('the gallery’s $name can be made and breaks no rule', async (band) => {
    const { plan } = await planOf(galleryConfig(band));
    const checks = await checkShape(Object.values(plan.shapes)[0]);
    expect(checks.filter((c) => !c.passed && c.severity !== 'info')).toEqual([]);
  });
});

/** Headings as anchors, as web hosts of Markdown make them: small letters, spaces as hyphens, no other signs. */
function headings(text: string): string[] {
  return [...text.matchAll(/^#{1,6} (.+)$/gm)].map(([, words]) =>
    words
      .toLowerCase()
      .replace(/[^\p{L}\p{N}\s-]/gu, '')
      .trim()
      .replace(/\s/g, '-'),
  );
}
