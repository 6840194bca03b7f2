/** What passes between the page of the live view and the workers of one of its pictures. */
import type { TakeLooks } from '../../artefacts/film-scene.ts';
import type { ShotPlan } from '../../plan/plan.ts';
import type { SkyMap } from '../../scene/sky-map.ts';
import type { TraceScene } from '../../scene/trace-scene.ts';
import type { Branch, TreePlace, TreeStart } from '../../tracer/acceleration.ts';
import type { FilterTask } from '../../tracer/film-filter.ts';
import type { FilmSize } from '../../tracer/film-state.ts';
import type { KernelImage } from '../../tracer/kernel-host.ts';
import type { Pass } from '../../tracer/pass-share.ts';
import type { ViewTurn } from '../../tracer/turned-scene.ts';
import type { Stage } from '../place-in-picture.ts';

/** A scene to be composed and packed. */
export interface SceneOrder {
  shot: ShotPlan;
  looks: TakeLooks;
  /** of each band; drafts have keys of their own */
  solids: { key: string; blob: SharedArrayBuffer }[];
  sky?: SkyMap;
  turn: ViewTurn;
  /** true solids follow: the light on the ground may be that of the scene before */
  draft: boolean;
}

/** A scene without what fills the memory. */
export type StillScene = Omit<TraceScene, 'mesh' | 'cuts' | 'stones'>;

export interface Composed {
  /** none where only colours and finishes are other ones: they are laid over the scene that all have */
  image?: KernelImage;
  still: StillScene;
  planes: number;
  stage: Stage;
  /** the light on the ground has still to be measured */
  unlit: boolean;
}

/** What branches of a scene's tree are grown of, in shared memory. */
export interface TreeGrowth {
  start: TreeStart;
  place: TreePlace;
  /** for each branch, used again from tree to tree */
  rooms: ArrayBufferLike[];
}

/** Goes to one worker, and the others take over what it made. */
export interface ComposeOrder {
  kind: 'compose';
  scene: SceneOrder;
  /** somebody has the scene before this one no longer as it was composed */
  afresh: boolean;
}

/** `begin` comes first. */
export type HandOrder =
  /** while `held` holds 1 nobody begins anything more of a pass or of the filter */
  | { kind: 'begin'; kernel: WebAssembly.Module; filter: WebAssembly.Module; held: Int32Array }
  | ComposeOrder
  /** branches of a scene's tree until none is left of those that `taken` counts */
  | { kind: 'grow'; growth: TreeGrowth; taken: Int32Array }
  /** packs the scene with this tree; goes to the one that composed it */
  | { kind: 'join'; branches: readonly Branch[] }
  | { kind: 'adopt'; composed: Composed }
  /** measures a share of the light on the ground, sparsely where that is not to be `exact`, which all then take */
  | { kind: 'measure'; share: number; of: number; grid: SharedArrayBuffer; exact: boolean }
  | { kind: 'light'; grid: SharedArrayBuffer; exact: boolean }
  /** lays a turn, and the size of the frame, over the scene that is loaded */
  | { kind: 'turn'; turn: ViewTurn; width: number; height: number }
  /** `features`: where to note what pixels show, for the film filter */
  | {
      kind: 'film';
      size: FilmSize;
      film: SharedArrayBuffer;
      share: SharedArrayBuffer;
      features?: SharedArrayBuffer;
    }
  | { kind: 'pass'; pass: Pass }
  /** features of every `of`th row of tiles from `share` on, FEATURES floats a pixel, which the film is told of too */
  | { kind: 'features'; share: number; of: number; seed: number; features: SharedArrayBuffer }
  /** bands of the film filter until none is left of those that `taken` counts */
  | { kind: 'filter'; task: FilterTask; taken: Int32Array };

/** What comes of an order: `compose` is answered with a scene or what is missing of it, `join` with the scene. */
export interface Done {
  composed?: Composed;
  growth?: TreeGrowth;
  branches?: Branch[];
}

export type HandAnswer = ({ kind: 'done' } & Done) | { kind: 'failed'; why: string };
