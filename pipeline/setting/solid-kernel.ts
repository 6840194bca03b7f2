import loadModule, { type Manifold, type ManifoldToplevel } from 'manifold-3d';
import type { TriMesh } from '../band/built-shape.ts';
import type { WeldedMesh } from '../band/welded-mesh.ts';
import { joinDisjoint } from './disjoint.ts';
import type { LetterOutline, LetterPoint } from './lettering.ts';
import type { Frame } from './stone.ts';
import type { Vec } from './vec.ts';

/** The boolean engine: manifold-3d's WebAssembly module. It is code, not state; one serves any number of builds. */
export type SolidKernel = ManifoldToplevel;

let loading: Promise<SolidKernel> | undefined;

export function loadSolidKernel(): Promise<SolidKernel> {
  loading ??= loadModule().then((kernel) => {
    kernel.setup();
    return kernel;
  });
  return loading;
}

/** run flag of manifold's mesh format: the first three extra properties are normals in world space */
const HAS_NORMALS = 2;

/** Edges of a prism that turn by more than this are creases, degrees. */
const SHARP_DEG = 35;

/** Letters whose contours no longer overlap and have the stroke on their left. */
export function mergedLetters(kernel: SolidKernel, letters: readonly LetterOutline[]): LetterOutline[] {
  return letters
    .filter(({ contours }) => contours.length > 0)
    .map(({ letter, contours }) => {
      const flat = new kernel.CrossSection(contours as [number, number][][], 'NonZero');
      const merged = flat.toPolygons();
      flat.delete();
      return { letter, contours: merged };
    });
}

/** Half the width of the widest place of all strokes, within `within` mm: the largest offset inwards that leaves some. */
export function widestHalf(kernel: SolidKernel, letters: readonly LetterOutline[], within = 1e-3): number {
  const flat = new kernel.CrossSection(
    letters.flatMap(({ contours }) => contours) as [number, number][][],
    'NonZero',
  );
  let [low, high] = [0, 2];
  while (high - low > within) {
    const middle = (low + high) / 2;
    const inner = flat.offset(-middle, 'Miter', 2);
    if (inner.isEmpty()) high = middle;
    else low = middle;
    inner.delete();
  }
  flat.delete();
  return high;
}

/**
 * Native solids of one build. They live in WebAssembly memory, out of the garbage collector's reach, so every
 * one is kept here and freed at the end, also when the build fails. Vertex normals ride along as properties:
 * untouched surface keeps the interpolated ones, cut surface takes those of the cutter, turned inside out.
 */
export class NativeSolids {
  readonly #kernel: SolidKernel;
  readonly #kept: Manifold[] = [];

  constructor(kernel: SolidKernel) {
    this.#kernel = kernel;
  }

  /** @throws Error when the mesh is not a closed manifold, which would be a fault of the program */
  fromMesh(mesh: WeldedMesh): Manifold {
    const count = mesh.positions.length / 3;
    const { positions, normals } = mesh;
    const vertProperties = new Float32Array(6 * count);
    for (let i = 0; i < count; i++) {
      for (let k = 0; k < 3; k++) {
        vertProperties[6 * i + k] = positions[3 * i + k];
        vertProperties[6 * i + 3 + k] = normals[3 * i + k];
      }
    }
    const options = {
      numProp: 6,
      vertProperties,
      triVerts: mesh.indices,
      mergeFromVert: mesh.mergeFrom,
      mergeToVert: mesh.mergeTo,
      runIndex: Uint32Array.of(0, mesh.indices.length),
      runOriginalID: Uint32Array.of(this.#kernel.Manifold.reserveIDs(1)),
      runFlags: Uint8Array.of(HAS_NORMALS),
    };
    const solid = this.keep(new this.#kernel.Manifold(new this.#kernel.Mesh(options)));
    const status = solid.status();
    if (status !== 'NoError') throw new Error(`mesh is no closed solid: ${status}`);
    return solid;
  }

  /** Solids of many meshes, those that lie clear of each other made one. */
  fromMeshes(meshes: readonly WeldedMesh[]): Manifold[] {
    return joinDisjoint(meshes).map((mesh) => this.fromMesh(mesh));
  }

  keep(solid: Manifold): Manifold {
    this.#kept.push(solid);
    return solid;
  }

  /** A polyhedron of corners and triangles, counter-clockwise seen from outside; without normals. */
  fromPoints(points: readonly Vec[], triangles: readonly Vec[]): Manifold {
    const vertProperties = Float32Array.from(points.flat());
    const triVerts = Uint32Array.from(triangles.flat());
    return this.keep(
      new this.#kernel.Manifold(new this.#kernel.Mesh({ numProp: 3, vertProperties, triVerts })),
    );
  }

  /** A prism over contours (strokes on their left) from h = 0 to `height`. */
  prism(contours: readonly (readonly LetterPoint[])[], height: number): Manifold {
    const flat = new this.#kernel.CrossSection(contours as [number, number][][], 'NonZero');
    const straight = this.keep(flat.extrude(height));
    flat.delete();
    return straight;
  }

  /** Contours moved out of their strokes, sharp corners staying sharp. */
  grown(contours: readonly (readonly LetterPoint[])[], byMm: number): LetterPoint[][] {
    const flat = new this.#kernel.CrossSection(contours as [number, number][][], 'NonZero');
    const grown = flat.offset(byMm, 'Miter', 4);
    const polygons = grown.toPolygons();
    flat.delete();
    grown.delete();
    return polygons;
  }

  /**
   * A solid laid on a surface: every point (s, t, h) goes to `place`, which must keep the sense of s × t = h. Edges are
   * first divided so that none is longer than `longest`.
   */
  laidOn(straight: Manifold, longest: number, place: (s: number, t: number, h: number) => Vec): Manifold {
    const fine = this.keep(straight.refineToLength(longest));
    const bent = this.keep(
      fine.warp((v) => {
        [v[0], v[1], v[2]] = place(v[0], v[1], v[2]);
      }),
    );
    return this.keep(bent.calculateNormals(0, SHARP_DEG));
  }

  subtract(from: Manifold, cutters: Manifold[]): Manifold {
    return cutters.length === 0 ? from : this.keep(this.#kernel.Manifold.difference([from, ...cutters]));
  }

  intersect(a: Manifold, b: Manifold): Manifold {
    return this.keep(this.#kernel.Manifold.intersection([a, b]));
  }

  unite(solids: Manifold[]): Manifold {
    return solids.length === 1 ? solids[0] : this.keep(this.#kernel.Manifold.union(solids));
  }

  /**
   * A solid without the needles and folded faces that a boolean leaves where edges or planes all but agree. Nothing
   * moves by more than the engine's own tolerance, about a ten-millionth of the solid's reach; more would tilt small
   * faces against their normals.
   */
  withoutFolds(solid: Manifold): Manifold {
    return this.keep(solid.simplify());
  }

  /** A solid without features below a length and without parts, or voids, below a volume. */
  withoutSpecks(solid: Manifold, lengthMm: number, volumeMm3: number): Manifold {
    const parts = this.parts(this.keep(solid.simplify(lengthMm)));
    return this.unite(parts.filter((part) => part.volume() > volumeMm3));
  }

  /** A solid that lies from one frame as it did from the other, its normals with it. */
  moved(solid: Manifold, from: Frame, to: Frame): Manifold {
    const turned = [0, 1, 2].map((k): Vec => {
      // column k: where the band's axis k comes to lie
      const own = [from.x[k], from.y[k], from.axis[k]];
      return [0, 1, 2].map(
        (i) => own[0] * to.x[i] + own[1] * to.y[i] + own[2] * to.axis[i],
      ) as unknown as Vec;
    });
    const shift = [0, 1, 2].map(
      (i) => to.origin[i] - turned.reduce((sum, column, k) => sum + column[i] * from.origin[k], 0),
    );
    const [a, b, c] = turned;
    return this.keep(solid.transform([...a, 0, ...b, 0, ...c, 0, shift[0], shift[1], shift[2], 1]));
  }

  /** The separate parts of a solid. */
  parts(solid: Manifold): Manifold[] {
    return solid.decompose().map((part) => this.keep(part));
  }

  free(): void {
    for (const solid of this.#kept) solid.delete();
    this.#kept.length = 0;
  }
}

/** Mesh of a solid with unit normals per vertex; creases hold one vertex per side. */
export function toTriMesh(solid: Manifold): TriMesh {
  const mesh = solid.getMesh();
  const { numProp, vertProperties: p } = mesh;
  const count = p.length / numProp;
  const positions = new Float32Array(3 * count);
  const normals = new Float32Array(3 * count);
  for (let i = 0; i < count; i++) {
    const at = numProp * i;
    const [x, y, z] = [p[at + 3], p[at + 4], p[at + 5]];
    const size = Math.sqrt(x * x + y * y + z * z);
    for (let k = 0; k < 3; k++) {
      positions[3 * i + k] = p[at + k];
      normals[3 * i + k] = p[at + 3 + k] / size;
    }
  }
  return { positions, normals, indices: new Uint32Array(mesh.triVerts) };
}
