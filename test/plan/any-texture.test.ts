import fc from 'fast-check';
import sharp from 'sharp';
import { expect, it } from 'vitest';
import { buildLanes } from '../../pipeline/band/build-lanes.ts';
import { laneVolume } from '../../pipeline/band/pappus.ts';
import { meshVolume } from '../../pipeline/band/welded-mesh.ts';
import { ProblemError } from '../../pipeline/problem.ts';
import { inspectMesh } from '../band/closed-mesh.ts';
import { bandProblems } from '../band/designs.ts';
import { laneTemplate } from './any-template.ts';
import { config, planOf } from './workspace.ts';

const RUNS = Number(process.env.BANDWRIGHT_FUZZ_RUNS ?? 30);
const CONFIG = config({
  template: 'template: ./own.yaml',
  origins: 'origins: { diamond: natural }',
  grid: 'grid: { size: [ISO 46] }',
  shots: 'shots: [front]',
});

const texture = fc.record({
  pattern: fc.constantFrom('bark', 'sand-cast', 'linen', 'florentine'),
  depth: fc.constantFrom('deep', '0.5 * deep', '0.1 mm + 0.5 * deep', '1 % of size'),
  // coarse, so that each is built within a tenth of a second
  size: fc.integer({ min: 13, max: 30 }).map((x) => `${x / 10} mm`),
});
const motif = fc.record({
  pattern: fc.constant('motif'),
  depth: fc.constantFrom('deep', '0.5 * deep'),
  size: fc.constantFrom('width', '2 * width', 'size / 9'),
  height: fc.constantFrom('0.3 * width', '1.5 mm', 'most(0.5 mm, width - 2 mm)'),
  raised: fc.boolean(),
  drawing: fc.constantFrom(
    'M0 0H4V3H0Z',
    'M0 5A5 5 0 1 1 10 5A5 5 0 1 1 0 5Z',
    'M0 0L5 9L9 0',
    'M0 0L9 9L9 0L0 9Z',
  ),
});

const picture = fc.record(
  {
    pattern: fc.constant('picture'),
    picture: fc.constant('./art.png'),
    depth: fc.constantFrom('deep', '0.5 * deep'),
    size: fc.constantFrom('width', '3 * width'),
    height: fc.constantFrom('0.3 * width', '1.5 mm', 'width'),
    raised: fc.boolean(),
  },
  { requiredKeys: ['pattern', 'picture', 'height'] },
);
const ART = await sharp(
  Uint8Array.from({ length: 800 }, (_, i) => (i * i) % 256),
  {
    raw: { width: 40, height: 20, channels: 1 },
  },
)
  .png()
  .toBuffer();

it('any template with relief on a lane, measured by formulas, is refused with reasons or makes closed lanes that it lightens', async () => {
  const tally = { refused: 0, built: 0 };
  await fc.assert(
    fc.asyncProperty(
      laneTemplate,
      fc.oneof(
        { weight: 3, arbitrary: texture },
        { weight: 1, arbitrary: motif },
        { weight: 1, arbitrary: picture },
      ),
      fc.integer({ min: 5, max: 25 }),
      async (template, relief, deep) => {
        const lanes = template.lanes as Record<string, object>;
        const [[name, lane]] = Object.entries(lanes);
        const changed = {
          ...template,
          rows: undefined,
          let: { deep: `${deep / 100} mm in 0.05 mm .. 0.2 mm` },
          lanes: { ...lanes, [name]: { ...lane, texture: relief } },
        };
        try {
          const { plan } = await planOf(CONFIG, { 'own.yaml': JSON.stringify(changed), 'art.png': ART });
          const [design] = Object.values(plan.shapes);
          const problems = bandProblems(design);
          if (problems.length > 0) throw new ProblemError(problems);
          const [built] = buildLanes(design);
          expect(inspectMesh(built.mesh).looseEdges).toBe(0);
          expect(meshVolume(built.mesh)).toBeLessThan(1.002 * laneVolume(built.lane, 36));
          expect(meshVolume(built.mesh)).toBeGreaterThan(0.5 * laneVolume(built.lane, 36));
          tally.built++;
        } catch (error) {
          if (!(error instanceof ProblemError)) throw error;
          for (const { expected, received, path } of error.problems) {
            expect(path).toBeTruthy();
            expect(`${expected} ${received}`).not.toMatch(/NaN|undefined|Infinity/);
          }
          tally.refused++;
        }
      },
    ),
    { numRuns: RUNS },
  );
  if (process.env.BANDWRIGHT_FUZZ_RUNS) console.info(tally);
  expect(tally.built).toBeGreaterThan(RUNS / 60);
  expect(tally.refused).toBeGreaterThan(RUNS / 10);
}, 600_000);
