import Color from 'colorjs.io';
import { describe, expect, it } from 'vitest';
import { coloursCsv } from '../../pipeline/publish/colours-csv.ts';
import { ALLOYS } from '../../pipeline/trade/alloys.ts';
import { alloyColour } from '../../pipeline/trade/colour-table.ts';
import { parseCsv } from './parse-csv.ts';

describe('table of colours', () => {
  it('agrees with colorjs.io in sRGB and CIELAB D65 for every alloy', () => {
    for (const id of ALLOYS.keys()) {
      const { linear, srgb, lab } = alloyColour(id);
      const reference = new Color('srgb-linear', [...linear]);
      const codes = reference.to('srgb').coords.map((c) => Math.round(255 * (c ?? 0)));
      expect(srgb, id).toEqual(codes);
      reference.to('lab-d65').coords.forEach((c, i) => {
        expect(Math.abs(lab[i] - (c ?? 0)), `${id} ${i}`).toBeLessThan(0.05);
      });
    }
  });

  it('comes within 0.6 of the CIELAB that an alloy was made from, where its source is one', () => {
    for (const [id, { lab }] of ALLOYS)
      if (lab) expect(Math.hypot(...alloyColour(id).lab.map((v, i) => v - lab[i])), id).toBeLessThan(0.6);
  });

  it('marks as unmeasured every colour whose source is memory, and no other', () => {
    const [head, ...rows] = parseCsv(coloursCsv([...ALLOYS.keys()]));
    for (const row of rows) {
      const cell = (name: string) => row[head.indexOf(name)];
      // data of refractive index, or the asset guidelines' table
      const published = /Rakić|Weaver|Johnson & Christy 1974|Rioux|Khronos 3DC/.test(cell('source'));
      expect(cell('basis'), row[0]).toBe(published ? 'published' : 'unmeasured');
    }
    expect(rows.filter((row) => row.includes('published'))).toHaveLength(5);
  });

  it('is RFC 4180 with one line an alloy, each once', () => {
    const rows = parseCsv(coloursCsv(['yellow-18', 'platinum-950', 'yellow-18']));
    expect(rows).toHaveLength(3);
    expect(new Set(rows.map((r) => r.length)).size).toBe(1);
    expect(rows.slice(1).map((r) => r[0])).toEqual(['platinum-950', 'yellow-18']);
    expect(rows[2][rows[0].indexOf('srgb_hex')]).toMatch(/^#[0-9a-f]{6}$/);
    expect(() => coloursCsv(['unobtainium'])).toThrow(RangeError);
  });
});
