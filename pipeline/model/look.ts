/**
 * How things look in a realtime viewer, as plain numbers: the rows of the trade tables reduced to what glTF can
 * say. Colours are linear Rec. 709.
 */
import type { Rgb } from '../trade/rgb.ts';

export interface AlloyLook {
  name: string;
  /** reflectance at normal incidence; values above 1 are clipped, glTF factors end there */
  f0: Readonly<Rgb>;
  /** refractive index of the coat over a body of colour, whose colour `f0` then is; absent on metal */
  coat?: number;
}

export interface FinishLook {
  name: string;
  /** perceptual roughness, the square root of the microfacet width α; 0 = mirror */
  roughness: number;
}

export interface StoneLook {
  name: string;
  /** refractive index at the d line (587.6 nm) */
  ior: number;
  /** Abbe number V; left out or infinite for stones that do not disperse */
  abbe?: number;
  /** Napierian absorption per mm */
  absorption: Readonly<Rgb>;
}

/** What lanes and rows wear in one colourway, in the shape's order. */
export interface ColourwayLook {
  name: string;
  alloys: AlloyLook[];
  finishes: FinishLook[];
  /** of the bore, under every lane */
  bore: FinishLook;
  stones: StoneLook[];
}
