/**
 * What programs must know of a scene beforehand. Each trait is a constant of theirs, so that they leave out what the scene has
 * none of: they are smaller, faster and sooner compiled.
 */
import * as layout from '../kernel/layout.ts';
import type { KernelImage } from '../kernel-host.ts';
import type { SceneMemory } from '../scene-memory.ts';

export interface SceneTraits {
  /** entries of the stack that a walk down the tree needs */
  depth: number;
  /** GROUND_… */
  ground: number;
  has: Record<keyof typeof HELD, boolean>;
}

/** A packed scene: its memory as whole numbers and as fractions, and where the records lie that it uses. */
interface Packed {
  word(at: number): number;
  number(at: number): number;
  stones: number;
  surfaces: readonly number[];
  gems: readonly number[];
}

const LINES = -1;
const isMirror = (packed: Packed, surface: number) => packed.word(surface + 12) !== 0;
const someSurface = (fits: (packed: Packed, surface: number) => boolean) => (packed: Packed) =>
  packed.surfaces.some((surface) => fits(packed, surface));
const someMarks = (fits: (tilt: number) => boolean) =>
  someSurface(
    ({ number }, surface) =>
      number(surface + layout.RELIEF) > 0 && fits(number(surface + layout.RELIEF_TILT)),
  );

/** How each is told; programs know it by its name with HAS_ before it. */
const HELD = {
  LENS: ({ number }) => number(layout.LENS_RADIUS) > 0,
  SKY: ({ number }) => number(layout.SKY_CHANCE) > 0,
  PAPER: ({ number }) => number(layout.PAPER + 4) > 0,
  RIM: ({ number }) => number(layout.RIM) > 0,
  MIRRORS: someSurface(isMirror),
  ROUGH: someSurface((packed, surface) => !isMirror(packed, surface)),
  /** finishes that are rougher one way than the other */
  GRAIN: someSurface(({ number }, surface) => number(surface) !== number(surface + 4)),
  RELIEF: someMarks(() => true),
  LINES: someMarks((tilt) => tilt === LINES),
  DENTS: someMarks((tilt) => tilt >= 0 && tilt <= 1),
  CROSSED: someMarks((tilt) => tilt === layout.CROSSED),
  CIRCLES: someMarks((tilt) => tilt === layout.CIRCLES),
  /** bodies of colour */
  BODIES: someSurface(({ number }, surface) => number(surface + layout.COAT_RATIO) > 0),
  /** layers or wood */
  PATTERNS: someSurface(({ number }, surface) => number(surface + layout.PATTERN) > 0),
  STONES: ({ stones }) => stones > 0,
  DISPERSION: ({ gems, number }) => gems.some((gem) => number(gem + 4) > 0),
  ABSORPTION: ({ gems, number }) => gems.some((gem) => number(gem + 12) > 0),
} satisfies Record<string, (packed: Packed) => boolean>;

export function traitsOf({ bytes, scene }: KernelImage): SceneTraits {
  const words = new Uint32Array(bytes, 0, bytes.byteLength >> 2);
  return {
    depth: stackDepth(words),
    ground: words[layout.GROUND_KIND / 4],
    has: heldIn(new Uint8Array(bytes), scene),
  };
}

/** What the packed scene in this memory holds. */
export function heldIn(memory: Uint8Array, { stones }: Pick<SceneMemory, 'stones'>): SceneTraits['has'] {
  const view = new DataView(memory.buffer, memory.byteOffset);
  const word = (at: number) => view.getUint32(at, true);
  const number = (at: number) => view.getFloat32(at, true);
  const surfaces = new Set<number>();
  for (let i = 0; i < word(layout.TRIANGLES); i++) {
    const id = view.getUint16(word(layout.TRIANGLE_SURFACE_AT) + 2 * i, true);
    surfaces.add(word(layout.SURFACES_AT) + id * layout.SURFACE_BYTES);
  }
  for (const surface of [...surfaces])
    if (number(surface + layout.PATTERN) > 0) surfaces.add(word(surface + layout.OTHER_LAYER));
  const gems = new Set<number>();
  for (let i = 0; i < stones; i++) {
    const id = word(word(layout.STONES_AT) + i * layout.STONE_BYTES + layout.STONE_GEM);
    gems.add(word(layout.GEMS_AT) + id * layout.GEM_BYTES);
  }
  const packed = { word, number, stones, surfaces: [...surfaces], gems: [...gems] };
  return Object.fromEntries(
    Object.entries(HELD).map(([name, told]) => [name, told(packed)]),
  ) as SceneTraits['has'];
}

/** The traits as constants of a program. */
export const traitConstants = ({ ground, has }: SceneTraits): string =>
  [
    `const GROUND: u32 = ${ground}u;`,
    ...Object.entries(has).map(([name, held]) => `const HAS_${name}: bool = ${held};`),
  ].join('\n');

/** Most children that can wait at a time: of each node on the way down all but the one followed. */
function stackDepth(words: Uint32Array): number {
  const below = (node: number): number => {
    if ((node & 15) !== 0) return 0;
    let children = 0;
    let deepest = 0;
    for (let lane = 0; lane < layout.WIDE; lane++) {
      const child = words[(node + layout.NODE_CHILDREN) / 4 + lane];
      if (child === 0) continue;
      children++;
      deepest = Math.max(deepest, below(child));
    }
    return deepest + Math.max(0, children - 1);
  };
  // in steps, so that scenes share their programs
  return Math.ceil((below(words[layout.ROOT / 4]) + 1) / 16) * 16;
}
