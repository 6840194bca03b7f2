import { beforeAll, describe, expect, it } from 'vitest';
import { gapOutline, gapRadius, gapRing } from '../../pipeline/band/gap-outline.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { loadSolidKernel, type SolidKernel } from '../../pipeline/setting/solid-kernel.ts';
import { inspectMesh } from '../band/closed-mesh.ts';
import { bandProblems } from '../band/designs.ts';
import { config, planOf } from './workspace.ts';

let kernel: SolidKernel;
beforeAll(async () => {
  kernel = await loadSolidKernel();
});

async function parted(bridges: string, span = '120 deg') {
  const text = config({
    template: 'template: plain-court',
    overrides: `overrides: { width: 5.5 mm, chord-tolerance: 0.05 mm, gaps: { top: { kind: split, span: ${span}, width: 1.6 mm${bridges} } } }`,
    origins: '',
    treatments: '',
    grid: 'grid: { size: [ISO 54] }',
    shots: 'shots: [front]',
  });
  return Object.values((await planOf(text)).plan.shapes)[0];
}

describe('a gap with bridges', () => {
  it('is openings over the same span, with bars of the width asked for between them', async () => {
    const [whole, bridged] = [await parted(''), await parted(', bridges: { count: 3, width: 1.1 mm }')];
    const radius = gapRadius(bridged);
    const rings = bridged.gaps!.map((gap) =>
      gapRing(gapOutline(bridged, gap)).map(([x]) => x + radius * gap.atRad),
    );
    expect(rings).toHaveLength(4);
    const [plain] = whole.gaps!.map((gap) => gapRing(gapOutline(whole, gap)).map(([x]) => x));
    expect(Math.min(...rings[0])).toBeCloseTo(Math.min(...plain), 0);
    expect(Math.max(...rings[3])).toBeCloseTo(Math.max(...plain), 0);
    for (const [i, ring] of rings.slice(1).entries())
      expect(Math.min(...ring) - Math.max(...rings[i])).toBeCloseTo(1.1, 1);
    // mirrored about the top
    expect(bridged.gaps!.map(({ atRad }) => atRad)[0]).toBeCloseTo(-bridged.gaps![3].atRad, 12);
  });

  it('is cut as a closed solid with a hole for each opening, heavier by its bars than without', async () => {
    const [whole, bridged] = await Promise.all(
      ['', ', bridges: { count: 2, width: 1.2 mm }'].map(async (text) =>
        buildShape(await parted(text), kernel),
      ),
    );
    // a torus with a hole through its wall for each
    expect(inspectMesh(whole.lanes[0].mesh)).toMatchObject({ looseEdges: 0, genus: 2 });
    expect(inspectMesh(bridged.lanes[0].mesh)).toMatchObject({ looseEdges: 0, genus: 4 });
    const bars = bridged.lanes[0].volumeMm3 - whole.lanes[0].volumeMm3;
    // the bars, 1.2 by 1.6 mm through 1.7 mm of metal; their feet are wider, their rims rounded off
    expect(bars).toBeGreaterThan(2 * 1.2 * 1.6 * 1.2);
    expect(bars).toBeLessThan(2 * 2 * 1.2 * 1.6 * 2);
    const rule = bridged.checks.find((check) => check.rule === 'gap-bridge')!;
    expect(rule.passed).toBe(true);
    expect(rule.measured).toContain('1.20 mm');
    expect(whole.checks.some((check) => check.rule === 'gap-bridge')).toBe(false);
  });

  it('is refused where bars leave no room or are thinner than their rims', async () => {
    const codes = async (bridges: string, span?: string) =>
      bandProblems(await parted(bridges, span)).map(({ code, path }) => [code, path]);
    expect(await codes(', bridges: { count: 2 }')).toEqual([]);
    expect((await codes(', bridges: { count: 8 }', '60 deg'))[0]).toEqual(['gap-short', 'gaps.top.span']);
    expect((await codes(', soften: 0.3 mm, bridges: { count: 1, width: 0.5 mm }'))[0]).toEqual([
      'gaps-meet',
      'gaps.top',
    ]);
  });
});
