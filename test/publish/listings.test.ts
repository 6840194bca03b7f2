import { describe, expect, it } from 'vitest';
import { CATALOGUE_VERSION, type Catalogue } from '../../pipeline/facts/catalogue-schema.ts';
import { indexPage } from '../../pipeline/page/index-page.ts';
import { unpack } from '../../pipeline/page/reader/packed.ts';
import type { PageItem } from '../../pipeline/page/reader/page-data.ts';
import { catalogueCsv } from '../../pipeline/publish/catalogue-csv.ts';
import { choicesScript } from '../../pipeline/publish/page-files.ts';
import { csvCell } from '../../pipeline/words/csv.ts';
import { escapeHtml } from '../../pipeline/words/html.ts';
import { parseCsv } from './parse-csv.ts';
import { sampleBand } from './sample-items.ts';

const CODE = { script: 'show()', style: 'p{}' };
const NASTY = `=cmd|'/c calc'!A0, "quoted"\r\n</script><img src=x onerror=alert(1)>`;

function catalogue(title = 'Band'): Catalogue {
  const hash = 'a'.repeat(64);
  const picture = (file: string, width: number, format: 'webp' | 'png' = 'webp') => ({
    file,
    role: 'picture' as const,
    format,
    width,
    height: width,
    bytes: 9,
    sha256: hash,
  });
  const shots = [
    {
      name: 'front',
      label: 'Front view',
      noise: { target: 0.02, reached: 0.018, passes: 90 },
      pictures: [
        picture('A-1/a 400.webp', 400),
        picture('A-1/a 800.webp', 800),
        picture('A-1/a.png', 900, 'png'),
        { ...picture('A-1/thumb.webp', 480), role: 'thumbnail' as const },
      ],
    },
  ];
  const common = { title, shots, cautions: [], keys: {}, versions: {} };
  return {
    version: CATALOGUE_VERSION,
    catalogue: 'sample',
    title: 'Bands & more',
    workshop: 'Workshop',
    axes: [
      {
        name: 'size',
        values: [
          { label: 'ISO 56', slug: '56' },
          { label: 'ISO 60', slug: '60' },
        ],
      },
      { name: 'metal', values: [{ label: 'Yellow & white', slug: 'yw' }] },
    ],
    items: [
      { sku: 'A-1', kind: 'variant', bands: [sampleBand('A-1')], ...common },
      {
        sku: 'P-1',
        kind: 'pair',
        bands: [
          sampleBand('A-1'),
          sampleBand('B-1', {
            axes: { size: 'ISO 60', metal: 'Yellow & white' },
            circumferenceMm: 60,
            rows: [],
            stoneCount: 0,
            totalCarats: 0,
          }),
        ],
        ...common,
      },
    ],
    models: [],
    cautions: ['Careful <now>'],
  };
}

describe('catalogue.csv', () => {
  it('is RFC 4180: one header, one line per band, every line equally long', () => {
    const rows = parseCsv(catalogueCsv(catalogue(NASTY)));
    expect(rows).toHaveLength(4);
    expect(new Set(rows.map((r) => r.length)).size).toBe(1);
    const column = (name: string) => rows.slice(1).map((r) => r[rows[0].indexOf(name)]);
    expect(column('sku')).toEqual(['A-1', 'P-1', 'P-1']);
    expect(column('band_sku')).toEqual(['A-1', 'A-1', 'B-1']);
    expect(column('title')[0]).toBe(`'${NASTY}`);
    expect(column('circumference_mm')).toEqual(['56', '56', '60']);
    expect(column('inner_diameter_mm')[0]).toBe('17.825');
    expect(column('total_carats_approx')).toEqual(['0.57', '0.57', '0']);
    expect(column('axis_size')).toEqual(['ISO 56', 'ISO 56', 'ISO 60']);
    // the widest of the first format
    expect(column('main_image')[0]).toBe('A-1/a 800.webp');
  });

  it('takes the teeth out of formulas and leaves numbers alone (OWASP, CSV Injection)', () => {
    expect(csvCell('=1+1')).toBe("'=1+1");
    expect(csvCell('+1')).toBe("'+1");
    expect(csvCell('-1')).toBe("'-1");
    expect(csvCell('@SUM(A1)')).toBe("'@SUM(A1)");
    expect(csvCell('\tx')).toBe("'\tx");
    expect(csvCell('＝1+1')).toBe("'＝1+1");
    expect(csvCell('\n=1')).toBe('"\'\n=1"');
    expect(csvCell(-1.5)).toBe('-1.5');
    expect(csvCell('a "b", c')).toBe('"a ""b"", c"');
    expect(csvCell(undefined)).toBe('');
  });
});

describe('index.html', () => {
  it('escapes whatever stands in names', () => {
    expect(escapeHtml(`<a href="x" title='y'>&`)).toBe('&lt;a href=&quot;x&quot; title=&#39;y&#39;&gt;&amp;');
    const page = indexPage(catalogue(NASTY), CODE);
    expect(page).not.toContain('<img src=x');
    // two scripts begin and two end: the data cannot close its element
    expect(page.match(/<script/g)).toHaveLength(2);
    expect(page.match(/<\/script/g)).toHaveLength(2);
    const data = page.match(/<script type="application\/json" id="index">(.*?)<\/script>/s)![1];
    expect(JSON.parse(data).catalogue).toBe('sample');
    expect(page).toContain(escapeHtml(NASTY));
    const choices = choicesScript(catalogue(NASTY));
    expect(choices).not.toContain('<');
    const packed = JSON.parse(choices.slice(choices.indexOf(']=') + 2, -2));
    expect(unpack<PageItem>(packed).map((i) => i.title)).toEqual([NASTY, NASTY]);
    expect(page).toContain('Careful &lt;now&gt;');
  });

  it('links only inside the catalogue folder, so it works from disk', () => {
    const page = indexPage(catalogue(), CODE);
    expect(page).not.toMatch(/(https?:)?\/\/[a-z]/i);
    expect(page).toContain("default-src 'none'");
    const links = [...page.matchAll(/\b(?:src|href)="([^"#]*)"/g)].map((m) => m[1]);
    expect(links.filter((l) => l !== 'data:,')).toEqual([
      'products/A-1.html',
      'A-1/a%20400.webp?v=aaaaaaaa',
      'products/P-1.html',
      'A-1/a%20400.webp?v=aaaaaaaa',
    ]);
  });

  it('offers axes on which items differ, with the values that occur', () => {
    const page = indexPage(catalogue(), CODE);
    expect(
      [...page.matchAll(/<input type="checkbox" name="([^"]+)" value="([^"]*)"/g)].map((m) => m.slice(1)),
    ).toEqual([
      ['kind', 'Bands'],
      ['kind', 'Pairs'],
      ['axis size', 'ISO 56'],
      ['axis size', 'ISO 60'],
    ]);
  });

  it('states true sizes and that stone weights are approximate totals', () => {
    const page = indexPage(catalogue(), CODE);
    expect(page).toMatch(
      /4\.7\u00a0mm wide, 17\.83\u00a0mm inside, 31\u00a0stones, total approx\. 0\.57\u00a0ct/,
    );
    expect(page).toContain('1 band and 1 pair');
  });
});
