import type { Manifold } from 'manifold-3d';
import type { WeldedMesh } from '../band/welded-mesh.ts';
import { type Claw, clawMesh, clawReach } from './claw-form.ts';
import { areClear } from './disjoint.ts';
import type { NativeSolids } from './solid-kernel.ts';
import { type Frame, toStone } from './stone.ts';
import { distance, type Vec } from './vec.ts';

/** What a stone cuts out of the claws or grains about it. */
export interface Notch {
  frame: Frame;
  /** tells apart stones whose notches are unlike but for their places */
  kind: string;
  meshes: WeldedMesh[];
}

/** Poses and measures that agree to this are taken for one, mm: a hundredth of what the finest chords stray. */
const ALIKE_MM = 1e-5;
/** Where fewer claws than this share are alike, they are trimmed all at once, which is quicker than one by one. */
const WORTH_SHARE = 0.5;

/**
 * Claws or grains notched by the stones about them. Along a straight lane all of them are alike, along a wave those of
 * one place in every period: each kind is trimmed once and stands wherever it is wanted.
 */
export function trimmedPins(
  solids: NativeSolids,
  pins: readonly Claw[],
  notches: readonly Notch[],
  chordMm: number,
): Manifold {
  const kinds = kindsOf(pins, notches);
  if (kinds.length > WORTH_SHARE * pins.length) {
    const whole = solids.unite(solids.fromMeshes(pins.map((pin) => clawMesh(pin, chordMm))));
    return solids.subtract(whole, solids.fromMeshes(notches.flatMap(({ meshes }) => meshes)));
  }
  const trimmed = kinds.flatMap(({ alike, near }) => {
    const [first] = alike;
    const pin = clawMesh(first, chordMm);
    const cutters = near.flatMap(({ meshes }) => meshes.filter((mesh) => !areClear(pin, mesh)));
    const notched = solids.subtract(solids.fromMesh(pin), solids.fromMeshes(cutters));
    return alike.map(({ frame }) =>
      frame === first.frame ? notched : solids.moved(notched, first.frame, frame),
    );
  });
  return solids.unite(trimmed);
}

interface Kind {
  alike: Claw[];
  /** notches about the first of them */
  near: Notch[];
}

function kindsOf(pins: readonly Claw[], notches: readonly Notch[]): Kind[] {
  const reaches = notches.map(({ frame, meshes }) =>
    Math.max(...meshes.map((m) => farthest(m, frame.origin))),
  );
  const kinds = new Map<string, Kind>();
  for (const pin of pins) {
    const own = Math.hypot(clawReach(pin), Math.max(Math.abs(pin.tip), Math.abs(pin.foot)));
    const near = notches.filter(
      ({ frame }, i) => distance(frame.origin, pin.frame.origin) < own + reaches[i],
    );
    const key = kindKey(pin, near);
    const kind = kinds.get(key);
    if (kind) kind.alike.push(pin);
    else kinds.set(key, { alike: [pin], near });
  }
  return [...kinds.values()];
}

function farthest({ positions: p }: WeldedMesh, from: Vec): number {
  let most = 0;
  for (let i = 0; i < p.length; i += 3) most = Math.max(most, distance([p[i], p[i + 1], p[i + 2]], from));
  return most;
}

/** The claw's measures and the notches about it as they lie from it. */
function kindKey({ frame, style, rod, radius, root, tip, foot, bend }: Claw, near: readonly Notch[]): string {
  const level: Frame = { ...frame, origin: [0, 0, 0] };
  const lie = near.map(({ frame: { origin, x, axis }, kind }) => {
    const pose = [toStone(frame, origin), toStone(level, x), toStone(level, axis)];
    return `${pose.flatMap((v) => v.map(rounded))} ${kind}`;
  });
  return [style, rod, ...[radius, root, tip, foot, bend].map(rounded), ...lie.sort()].join();
}

/** As a whole number; no minus before a zero. */
const rounded = (value: number) => Math.round(value / ALIKE_MM) + 0;
