/** Of a program's parts what it reaches. */
import { expect, test } from 'vitest';
import {
  featuresProgram,
  rayProgram,
  stoneProgram,
  vertexProgram,
} from '../../pipeline/tracer/gpu/programs.ts';
import { reachable } from '../../pipeline/tracer/gpu/reachable.ts';
import { type SceneTraits, traitsOf } from '../../pipeline/tracer/gpu/scene-traits.ts';
import { kernel } from '../tracer/kernel-fixture.ts';
import { GLOSS, SCENES } from './scenes.ts';

test('what is reached stays, and nothing else', () => {
  const code = `
const USED: u32 = 1u;
/* UNUSED is named here alone */
const UNUSED: u32 = 2u;
struct Pair { a: f32 }
@group(0) @binding(0) var<storage, read_write> held: array<Pair>;
@group(0) @binding(1) var<storage> other: array<Pair>;
var<private> place: u32;
fn idle() { place = UNUSED; other[0] = held[0]; }

fn deep() -> u32 {
  return USED;
}

@compute @workgroup_size(64)
fn main() { held[deep()].a = 1.0; }
@compute @workgroup_size(64)
fn second() { idle(); }
`;
  const all = ['USED', 'UNUSED', 'Pair', 'held', 'other', 'place', 'idle', 'deep', 'main', 'second'];
  const named = (text: string) => all.filter((name) => new RegExp(`\\b${name}\\b`).test(text));
  expect(named(reachable(code, 'main'))).toEqual(['USED', 'Pair', 'held', 'deep', 'main']);
  expect(named(reachable(code, 'second'))).toEqual([
    'UNUSED',
    'Pair',
    'held',
    'other',
    'place',
    'idle',
    'second',
  ]);
  expect(reachable(code, 'main')).toContain('@compute @workgroup_size(64) fn main()');
});

test('what is done only with a trait that a scene lacks goes, and what only that reaches', () => {
  const program = (grain: boolean) => `
const HAS_GRAIN: bool = ${grain};
const HAS_SKY: bool = true;
fn along() -> f32 { return 2.0; }
fn picture() -> f32 { return 3.0; }
@compute @workgroup_size(64)
fn main() {
  var x = 1.0;
  if (HAS_GRAIN && x > 0.0) { if (x < 2.0) { x = along(); } }
  if (HAS_SKY) { x += picture(); }
  if (HAS_GRAIN) { x += 1.0; } else { x += 4.0; }
  if (HAS_GRAIN || x > 5.0) { x += 6.0; }
}
`;
  const [with_, without] = [true, false].map((grain) => reachable(program(grain), 'main'));
  expect(with_).toContain('x = along()');
  expect(without).not.toContain('along');
  // what an else follows, and what doesn't depend on it alone, is left as it is
  for (const kept of ['x += picture()', 'if (HAS_GRAIN) { x += 1.0; } else { x += 4.0; }', 'x += 6.0'])
    expect(without).toContain(kept);
});

test('scenes that differ in what a program does not use share it', async () => {
  const host = await kernel();
  host.load(SCENES[GLOSS]());
  const scene = traitsOf(host.image());
  const onPaper: SceneTraits = { ...scene, has: { ...scene.has, GRAIN: false, PAPER: true } };
  const batch = { colourways: 2, matte: false };
  const same = (code: (scene: SceneTraits) => string, entryPoint: string) =>
    reachable(code(scene), entryPoint) === reachable(code(onPaper), entryPoint);
  expect(same(rayProgram, 'followRays')).toBe(true);
  expect(same(featuresProgram, 'features')).toBe(true);
  expect(same((s) => stoneProgram(batch, s), 'passStones')).toBe(true);
  expect(same((s) => vertexProgram(batch, s), 'nextVertex')).toBe(false);
});
