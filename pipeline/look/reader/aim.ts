import type { ViewTurn } from '../../tracer/turned-scene.ts';
import type { LookView } from '../contract.ts';
import type { SceneOrder } from './orders.ts';

/** What a picture is to show. */
export interface Aim {
  view: LookView;
  solids: SceneOrder['solids'];
  sky?: SceneOrder['sky'];
  turn: ViewTurn;
  /** true solids are being built, which must not be kept waiting, and follow */
  draft: boolean;
  /** the band is being turned: coarse pictures only, as many as can be had */
  coarse: boolean;
}

/** How the picture of an aim stands. */
export interface PictureProgress {
  /** `coarse`: of a band that turns; `sketch`: half of the pixels; `first`: all; `passes`; `done` at the shot's target */
  stage: 'coarse' | 'sketch' | 'first' | 'passes' | 'done';
  version: number;
  /** relative standard error, root mean square over tiles */
  error: number;
  passes: number;
  target: number;
}
