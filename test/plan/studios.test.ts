import { createHash } from 'node:crypto';
import { describe, expect, it } from 'vitest';
import { FILM } from '../../pipeline/artefacts/film.ts';
import { planWork } from '../../pipeline/run/work.ts';
import { radiancePicture } from '../scene/radiance-picture.ts';
import { config, planOf, problemsOf } from './workspace.ts';

const LAMPS = `title: Two lamps
exposure: 0.8
sky: [0, 0.2]
panels:
  lamp: { azimuth: 10, elevation: 40 deg, distance: 200 mm, size: [20 mm, 30 mm], light: 50, repeat: { count: 4 } }
  wing: { azimuth: 0 deg, elevation: 20 deg, distance: 150 mm, size: [20 mm, 90 mm], light: 3, tint: "#ff8000", repeat: { count: 3, spread: 90 deg } }
`;

describe('studios', () => {
  it('are read from a file: radians, copies at even steps, tints of luminance 1', async () => {
    const { plan } = await planOf(config({ lights: 'lights: light/lamps.yaml' }), {
      'light/lamps.yaml': LAMPS,
    });
    const { studio } = plan.shots[0];
    const degrees = studio.panels.map((p) => Math.round((p.azimuth * 180) / Math.PI));
    expect(degrees).toEqual([10, 100, 190, 280, -45, 0, 45]);
    expect(studio).toMatchObject({ dome: [0, 0.2], groundRadiance: 0.8 });
    const { tint } = studio.panels[4];
    // Rec. ITU-R BT.709 weights; sRGB 128 is linear 0.2159 (IEC 61966-2-1)
    expect(0.2126 * tint[0] + 0.7152 * tint[1] + 0.0722 * tint[2]).toBeCloseTo(1, 9);
    expect(tint[1] / tint[0]).toBeCloseTo(0.2159, 4);
    expect(plan.files.some((f) => f.endsWith('lamps.yaml'))).toBe(true);
  });

  it('may be written in the config, whole, by path, or as changes to another; content shows in the shot', async () => {
    const studios = `studios:
  whole: { title: W, exposure: 1, sky: [1, 1] }
  filed: light/lamps.yaml
  brighter: { like: soft-tent, exposure: 1.2, panels: { key: { light: 9 } } }
  brighter-lamps: { like: light/lamps.yaml, exposure: 2 }`;
    const shots = `shots:
  - { name: a, view: front, lights: whole }
  - { name: b, view: front, lights: filed }
  - { name: c, view: front, lights: brighter }
  - { name: d, view: front, lights: brighter-lamps }
  - { name: e, view: front }`;
    const { plan } = await planOf(config({ studios, shots }), { 'light/lamps.yaml': LAMPS });
    const [a, b, c, d, e] = plan.shots.map((s) => s.studio);
    expect(a).toEqual({ panels: [], dome: [1, 1], groundRadiance: 1 });
    expect(b.panels).toHaveLength(7);
    expect(d).toEqual({ ...b, groundRadiance: 2 });
    expect(c.groundRadiance).toBe(1.2);
    expect(c.panels[0]).toEqual({ ...e.panels[0], radiance: 9 });
    expect(c.panels.slice(1)).toEqual(e.panels.slice(1));
  });

  it.each([
    ['a name that is a slip', 'lights: sidewindow', 'lights', 'unknown-name', 'Did you mean "side-window"?'],
    [
      'an own name that is a slip',
      'lights: my-tnt\nstudios: { my-tent: { like: soft-tent } }',
      'lights',
      'unknown-name',
      'Did you mean "my-tent"?',
    ],
    [
      'a slip in "like"',
      'studios: { mine: { like: softtent } }',
      'studios.mine.like',
      'unknown-name',
      'Did you mean "soft-tent"?',
    ],
    [
      'an unknown key of a panel',
      'studios: { mine: { like: soft-tent, panels: { key: { ligth: 3 } } } }',
      'panels.key.ligth',
      'unknown-key',
      'Did you mean "light"?',
    ],
    [
      'a unit',
      'studios: { mine: { like: soft-tent, panels: { key: { distance: 6 in } } } }',
      'panels.key.distance',
      'wrong-unit',
      'Lengths are given in mm: write "152.4 mm".',
    ],
    [
      'no light at all',
      'studios: { mine: { title: X, exposure: 1, sky: [0, 0] } }',
      '(top)',
      'wrong-value',
      '',
    ],
    ['a missing key', 'studios: { mine: { title: X, sky: [0, 1] } }', 'exposure', 'missing-key', ''],
  ])('report %s at its place', async (_, lines, path, code, advice) => {
    const problems = await problemsOf(config({ lights: lines }));
    expect(problems.map((p) => [p.path, p.code])).toEqual([[path, code]]);
    expect(problems[0].advice).toContain(advice);
    expect(problems[0].place?.file).toMatch(/config\.yaml$/);
    expect(problems[0].place?.line).toBeGreaterThanOrEqual(8);
  });

  it('report problems of a file at that file’s lines, and files that cannot be read', async () => {
    const broken = LAMPS.replace('light: 50', 'light: -1');
    const [p] = await problemsOf(config({ lights: 'lights: ./lamps.yaml' }), { 'lamps.yaml': broken });
    expect(p).toMatchObject({ code: 'out-of-range', path: 'panels.lamp.light' });
    expect(p.place).toMatchObject({ line: 5 });
    expect(p.place?.file).toMatch(/lamps\.yaml$/);
    const [q] = await problemsOf(config({ lights: 'lights: ./absent.yaml' }));
    expect(q).toMatchObject({ code: 'unreadable-file', path: 'lights' });
  });

  it('may have a picture for a sky, found from the file that names it; keys see its bytes and not its path', async () => {
    const bytes = radiancePicture(16, 8, () => [1, 1, 1]);
    const file = 'title: P\nexposure: 1\nsky: { image: ../skies/room.hdr, turn: 90 deg, light: 2 }\n';
    const { plan } = await planOf(config({ lights: 'lights: light/p.yaml' }), {
      'light/p.yaml': file,
      'skies/room.hdr': bytes,
    });
    const { studio } = plan.shots[0];
    expect(studio.dome).toEqual([0, 0]);
    expect(studio.sky).toMatchObject({
      turn: 0.25,
      light: 2,
      hash: createHash('sha256').update(bytes).digest('hex'),
    });
    expect(plan.files.some((f) => f.endsWith('room.hdr'))).toBe(true);
    const key = (p: typeof plan) =>
      planWork(p, { versions: {}, logos: new Map() }).pieces(FILM)[0].inputs.shot;
    const moved = await planOf(config({ lights: 'lights: p.yaml' }), {
      'p.yaml': file.replace('../skies/', ''),
      'room.hdr': bytes,
    });
    expect(key(moved.plan)).toBe(key(plan));
    const other = await planOf(config({ lights: 'lights: light/p.yaml' }), {
      'light/p.yaml': file,
      'skies/room.hdr': radiancePicture(16, 8, () => [1, 1, 0.5]),
    });
    expect(key(other.plan)).not.toBe(key(plan));
  });

  it.each([
    ['absent', {}],
    ['no such picture', { 'room.hdr': 'a text' }],
  ])('report a sky that is %s', async (_, files) => {
    const studios = 'studios: { mine: { title: P, exposure: 1, sky: { image: room.hdr } } }';
    const problems = await problemsOf(config({ studios }), files);
    expect(problems.map((p) => [p.code, p.path, p.place?.line])).toEqual([
      ['unreadable-sky', 'sky.image', 8],
    ]);
  });
});
