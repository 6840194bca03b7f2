import type { Turn } from './seam-kinds.ts';

/** How a partner's design follows the other band's. */
export interface Following {
  /** first edge and far edge change places */
  mirror: boolean;
  /** seams turned about the finger, each by half of its own wave or by an angle (radians) at the top */
  turn: Turn;
  /** the partner's circumference over the other band's, to fit whole waves of about the same length; 1 keeps counts */
  longer: number;
}
