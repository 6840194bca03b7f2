/**
 * Display tone: Khronos PBR Neutral, with the white ground as white point and a toe that keeps the colour of metal.
 *
 * The curve is the open specification at github.com/KhronosGroup/ToneMapping (PBR_Neutral/README.md): base
 * colours under unit light keep their hue and saturation, and only what is brighter than 0.8 is compressed.
 *
 * White point. The specification reaches 1 only at infinity: f(1) = 0.8691, so a ground at film level 1 would
 * show as grey 239. We therefore divide by f(white), where `white` is the film level that must show as paper
 * white (the ground's `level`):
 *
 *     display(c) = PBRNeutral(c) / f(white)
 *
 * At white = 1 the quotient is close to the identity for greys (0.2 → 0.184, 0.5 → 0.529, 0.7 → 0.759,
 * 0.9 → 0.956, 1 → 1), so colours under unit light still look as designed. Metal keeps detail up to `white`; a
 * scene that wants more room above its midtones raises ground level and `white` together:
 *
 *     white   display of film 0.5   display of film 1   brightest detail
 *     1.0     0.529                 1.000               1.0
 *     1.5     0.490                 0.926               1.5
 *     2.0     0.479                 0.905               2.0
 *
 * Above `white` the brightest channel stays at 1 and the specification's own desaturation goes on, so a gold
 * highlight pales gradually and never turns lemon as clipping channel by channel would make it: scaling a
 * colour keeps it in the plane of itself and the white axis, which is the hue the specification preserves.
 *
 * Toe. The specification takes up to 0.04 off every channel alike: what the clear coat of a dielectric would have added to
 * its base colour. Metal has no coat, and the same amount off unequal channels makes dark reflections of it more colourful
 * than the metal is: platinum of CIELAB chroma 3.0 came out at 3.7 in a quarter of the light and at twice its chroma in an
 * eighth, so that white metals looked beige and yellow gold brown. Here the brightest channel is what the specification
 * says and the others keep their ratio to it: greys and contrast are the specification's, colours are the metal's.
 *
 * Tried and dropped: clipping each channel (gold highlights shift to yellow-green); choosing a level at which
 * the bare specification rounds to 255 (13.6: the shadow on the ground and all antialiased edges vanish).
 */
import type { Rgb } from '../trade/rgb.ts';

export const F90 = 0.04;
export const START = 0.8 - F90;
export const DESATURATION = 0.15;

/**
 * The specification itself, linear Rec. 709 in and out.
 * @param r,g,b non-negative linear values, unbounded
 * @returns `out`, each channel within [0, 1)
 */
export function pbrNeutral(r: number, g: number, b: number, out: Rgb = [0, 0, 0]): Rgb {
  const offset = coatOffset(r, g, b);
  out[0] = r - offset;
  out[1] = g - offset;
  out[2] = b - offset;
  return compress(Math.max(r, g, b) - offset, out);
}

/** What the specification takes for the reflection of a coat. */
function coatOffset(r: number, g: number, b: number): number {
  const least = Math.min(r, g, b);
  return least <= 2 * F90 ? least - (least * least) / (4 * F90) : F90;
}

/** The specification's shoulder: compression towards 1 and desaturation with it, by the brightest channel. */
function compress(peak: number, out: Rgb): Rgb {
  if (peak <= START) return out;
  const newPeak = 1 - (1 - START) ** 2 / (peak + 1 - 2 * START);
  const keep = 1 / (DESATURATION * (peak - newPeak) + 1);
  const scale = (newPeak / peak) * keep;
  const wash = newPeak * (1 - keep);
  out[0] = out[0] * scale + wash;
  out[1] = out[1] * scale + wash;
  out[2] = out[2] * scale + wash;
  return out;
}

/** The same curve of the brightest channel, the others in their ratio to it up to the shoulder; see above. */
function metalNeutral(r: number, g: number, b: number, out: Rgb): Rgb {
  const largest = Math.max(r, g, b);
  const peak = largest - coatOffset(r, g, b);
  const scale = largest > 0 ? peak / largest : 0;
  out[0] = r * scale;
  out[1] = g * scale;
  out[2] = b * scale;
  return compress(peak, out);
}

/**
 * That curve with `white` shown as exactly 1.
 * @param white film level that shows as paper white, above 0
 * @returns a function from linear film values to linear display values within [0, 1]; negative and undefined
 *   film values count as 0
 */
export function toneCurve(white = 1): (r: number, g: number, b: number, out: Rgb) => Rgb {
  if (!(white > 0)) throw new RangeError(`expected a white level above 0 but received ${white}`);
  const top = pbrNeutral(white, white, white)[0];
  return (r, g, b, out) => {
    metalNeutral(positive(r), positive(g), positive(b), out);
    const full = Math.max(top, out[0], out[1], out[2]);
    out[0] /= full;
    out[1] /= full;
    out[2] /= full;
    return out;
  };
}

/** Infinity would turn into NaN inside the curve; 1e6 shows the same. */
function positive(v: number): number {
  return v > 0 ? Math.min(v, 1e6) : 0;
}
