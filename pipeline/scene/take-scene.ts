import { Matrix4 } from 'three';
import type { BoreLetters, StoneAbove } from '../band/bore.ts';
import type { BuiltShape, StoneRow } from '../band/built-shape.ts';
import type { ShotPlan } from '../plan/plan.ts';
import type { PaperPlan, StudioPlan } from '../plan/studio.ts';
import type { LaneMatter } from '../trade/matter.ts';
import { aimCamera } from './camera.ts';
import { shotGround } from './ground.ts';
import { BORE, type Faces, mergeFaces, mergeVertices, type PlacedMesh } from './merged-mesh.ts';
import { type PlacedBand, placement } from './pose.ts';
import type { SkyMap } from './sky-map.ts';
import { type LensPlace, lightStudio } from './studio.ts';
import type {
  BodyColour,
  Camera,
  Colourway,
  GemOptics,
  MetalColour,
  Relief,
  Surface,
  TraceScene,
  Vec3,
} from './trace-scene.ts';
import { type Composition, composeShot } from './view.ts';

/** Microfacet roughness of a finish, and its marks. */
export interface FinishSurface {
  alphaX: number;
  alphaY: number;
  relief?: Relief;
}

/** One band of a take: its solids and what decides its paths. */
export interface SceneSubject {
  shape: BuiltShape;
  /** finish of each lane's outside */
  finishes: FinishSurface[];
  /** of lanes that are not metal all through; absent where all are */
  matters?: readonly (LaneMatter | null)[];
  /** finish of the bore, under every lane */
  bore: FinishSurface;
  /** refraction per stone of the dress */
  gems: GemOptics[];
}

/** Colours of one subject in one colourway: a metal or body per lane (of layers two, one after the other), a stone per sort of each row. */
export interface SubjectColours {
  metals: (MetalColour | BodyColour)[];
  gems: { absorption: Vec3 }[];
}

/** What of a scene hangs on solids, view and frame alone: the same whatever bands wear and whatever lights them. */
export interface PosedTake {
  composition: Composition;
  camera: Camera;
  /** of a scene that was built from this pose before */
  mesh?: TraceScene['mesh'];
  /** of a scene that was built before of the same bands in another pose */
  faces?: Faces;
  /** likewise, in the same studio */
  lit?: Pick<TraceScene, 'lights' | 'dome' | 'sky'>;
}

/** Poses the bands of a shot and frames them. */
export function poseTake(shot: ShotPlan, shapes: readonly BuiltShape[]): PosedTake {
  const composition = composeShot(shot.view, shapes, shot.turn?.angle, shot.laid);
  return { composition, camera: aimCamera(shot, composition) };
}

/**
 * Builds the scene of a take: poses the subjects, frames them, lights the studio. `colourways` holds one entry
 * per colourway with the colours of every subject, in order. `map` is the decoded picture of a studio whose sky is one.
 * @param pose what `poseTake` gives for this shot and these shapes
 */
export function buildTakeScene(
  shot: ShotPlan,
  subjects: readonly SceneSubject[],
  colourways: readonly (readonly SubjectColours[])[],
  map?: SkyMap,
  pose?: PosedTake,
): TraceScene {
  const shapes = subjects.map((s) => s.shape);
  const { composition, camera, mesh, faces, lit } = pose ?? poseTake(shot, shapes);
  const aim = Math.max(...shapes.map((s) => s.innerDiameterMm)) / 2;
  const { lights, dome, sky } =
    lit ?? lightStudio(exposed(shot, composition), lensPlace(camera, aim), aim, map);
  return {
    ...assemble(subjects, composition.bands, mesh, faces),
    lights,
    dome,
    ...(sky ? { sky } : {}),
    ground: shotGround(shot.ground, paperOf(shot, composition)),
    camera,
    width: shot.widthPx,
    height: shot.heightPx,
    colourways: colourways.map((c): Colourway => {
      const metals = c.flatMap((s) => s.metals);
      return {
        metals: [1, LETTERS_DARKER, HOLES_DARKER].flatMap((by) => metals.map((m) => darker(m, by))),
        gems: c.flatMap((s) => s.gems),
      };
    }),
  };
}

function exposed({ studio }: ShotPlan, { exposure }: Composition): StudioPlan {
  return { ...studio, groundRadiance: exposure * studio.groundRadiance };
}

function paperOf({ studio: { paper } }: ShotPlan, { paper: shares }: Composition): PaperPlan | undefined {
  return paper && { ...paper, radius: shares.radius * paper.radius, fade: shares.fade * paper.fade };
}

function lensPlace({ eye: [x, y, z] }: Camera, aimHeight: number): LensPlace {
  const up = y - aimHeight;
  const distance = Math.hypot(x, up, z);
  return { azimuth: Math.atan2(x, z), elevation: Math.asin(up / distance), distance };
}

function boreLetters({ marks, outline }: BuiltShape): BoreLetters | undefined {
  const letters = marks?.engravings.find((e) => e.side === 'inside');
  return letters && { ...letters, ...(outline && { middleMm: outline.middleMm }) };
}

/**
 * What is left as it was cut: letters in the bore by the laser, rough and dark, or blacked to be read; the walls of holes under
 * stones by the drill, since no polishing thread reaches them (`common practice`). Shares of the metal's own reflectances.
 */
const LETTERS_DARKER = 0.16;
const HOLES_DARKER = 0.4;
const CUT_ALPHA = 0.4;

function darker(colour: Colourway['metals'][number], by: number): Colourway['metals'][number] {
  const all = (f: Vec3) => f.map((v) => v * by) as Vec3;
  if ('tones' in colour) return { tones: [all(colour.tones[0]), all(colour.tones[1])] };
  return { f0: all(colour.f0), f82: all(colour.f82) };
}

type Assembly = Pick<TraceScene, 'mesh' | 'surfaces' | 'cuts' | 'stones' | 'gems'>;

function assemble(
  subjects: readonly SceneSubject[],
  bands: readonly PlacedBand[],
  mesh: TraceScene['mesh'] | undefined,
  faces: Faces | undefined,
): Assembly {
  const meshes: PlacedMesh[] = [];
  let metal = 0;
  const metals = subjects.reduce((n, subject) => n + metalsOf(subject), 0);
  const surfaces: Surface[] = [];
  const out: Omit<Assembly, 'mesh'> = { surfaces, cuts: [], stones: [], gems: [] };
  subjects.forEach((subject, b) => {
    const { toWorld, shape } = bands[b];
    const e = toWorld.elements;
    const radius = outerRadius(shape);
    const stones = shape.rows.flatMap(stonesAbove);
    shape.lanes.forEach((lane, i) => {
      const letters = boreLetters(shape);
      meshes.push({ mesh: lane.mesh, toWorld, surface: surfaces.length, letters, stones });
      // the finger axis is band z: the third column
      const axis: Vec3 = [e[8], e[9], e[10]];
      const frame = { centre: [e[12], e[13], e[14]] as Vec3, x: [e[0], e[1], e[2]] as Vec3, radius };
      const cut = { alphaX: CUT_ALPHA, alphaY: CUT_ALPHA };
      const worked = [subject.finishes[i], subject.bore, cut, cut].map(
        ({ relief, ...rough }: FinishSurface, kind): Surface => ({
          ...rough,
          metal: Math.max(0, kind - BORE) * metals + metal,
          axis,
          ...(relief && { relief: { ...relief, ...frame } }),
        }),
      );
      const matter = subject.matters?.[i];
      surfaces.push(...(matter ? ofMatter(matter, worked, frame, surfaces.length) : worked));
      metal += metalsIn(matter);
    });
    // one for each stone of the dress, however many sizes wear it
    const gems = out.gems.length;
    out.gems.push(...subject.gems);
    for (const row of shape.rows) {
      const cut = out.cuts.push(Float32Array.from(row.stone.planes)) - 1;
      const gem = gems + row.slot;
      for (let k = 0; k < row.count; k++) {
        const m = new Matrix4().multiplyMatrices(toWorld, placement(row.placements, k)).transpose();
        out.stones.push({ cut, gem, toWorld: Float32Array.from(m.elements.slice(0, 12)) });
      }
    }
  });
  if (mesh) return { ...out, mesh };
  const { indices, surface } = faces ?? mergeFaces(meshes);
  return { ...out, mesh: { ...mergeVertices(meshes), indices, surface } };
}

const metalsIn = (matter: LaneMatter | null | undefined) => (matter && 'layers' in matter ? 2 : 1);
const metalsOf = ({ shape, matters }: SceneSubject) =>
  shape.lanes.reduce((n, _, i) => n + metalsIn(matters?.[i]), 0);

/** A lane's surfaces as its matter has them; of layers, those of the second metal follow. @param first number of the first */
function ofMatter(
  matter: LaneMatter,
  worked: readonly Surface[],
  frame: Pick<NonNullable<Surface['pattern']>, 'centre' | 'x' | 'radius'>,
  first: number,
): Surface[] {
  if ('coat' in matter) {
    const { coat, grain } = matter;
    return worked.map((surface) => ({ ...surface, coat, ...(grain && { pattern: { ...grain, ...frame } }) }));
  }
  const { layers, etched } = matter;
  const eaten = etched === undefined ? {} : { alphaX: etched, alphaY: etched };
  return [
    ...worked.map((surface, kind) => ({
      ...surface,
      pattern: { ...layers, ...frame, other: first + worked.length + kind },
    })),
    ...worked.map((surface) => ({ ...surface, ...eaten, metal: surface.metal + 1 })),
  ];
}

/** Stones of a row in their seats. */
function stonesAbove({ stone, placements, count }: StoneRow): StoneAbove[] {
  let [reach, depth] = [0, 0];
  for (let i = 0; i < stone.mesh.positions.length; i += 3) {
    const [x, y, z] = stone.mesh.positions.subarray(i, i + 3);
    reach = Math.max(reach, Math.hypot(x, y));
    depth = Math.max(depth, -z);
  }
  return Array.from({ length: count }, (_, k) => {
    const p = placements.subarray(12 * k, 12 * k + 12);
    return { origin: [p[3], p[7], p[11]], axis: [p[2], p[6], p[10]], reach, depth };
  });
}

function outerRadius(shape: BuiltShape): number {
  let most = 0;
  for (const { mesh } of shape.lanes)
    for (let i = 0; i < mesh.positions.length; i += 3)
      most = Math.max(most, Math.hypot(mesh.positions[i], mesh.positions[i + 1]));
  return most;
}
