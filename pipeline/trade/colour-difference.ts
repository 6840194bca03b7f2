import type { AlloyColour } from './colour-table.ts';

type Lab = AlloyColour['lab'];

const rad = Math.PI / 180;

/**
 * Colour difference CIEDE2000 (CIE 142; ISO/CIE 11664-6) with weights of 1, in the steps of Sharma, Wu and Dalal, Color
 * Research and Application 30(1), 2005. One unit is about what the eye just tells apart, side by side.
 */
export function deltaE2000([l1, a1, b1]: Lab, [l2, a2, b2]: Lab): number {
  const chroma7 = ((Math.hypot(a1, b1) + Math.hypot(a2, b2)) / 2) ** 7;
  const g = 0.5 * (1 - Math.sqrt(chroma7 / (chroma7 + 25 ** 7)));
  const [p1, p2] = [a1 * (1 + g), a2 * (1 + g)];
  const [c1, c2] = [Math.hypot(p1, b1), Math.hypot(p2, b2)];
  const [h1, h2] = [hue(p1, b1), hue(p2, b2)];
  const grey = c1 * c2 === 0;
  const turn = grey ? 0 : h2 - h1 - 360 * Math.round((h2 - h1) / 360);
  const dH = 2 * Math.sqrt(c1 * c2) * Math.sin((turn / 2) * rad);
  const [dL, dC] = [l2 - l1, c2 - c1];
  const [l, c] = [(l1 + l2) / 2, (c1 + c2) / 2];
  const h = grey ? h1 + h2 : meanHue(h1, h2);
  const t =
    1 -
    0.17 * Math.cos((h - 30) * rad) +
    0.24 * Math.cos(2 * h * rad) +
    0.32 * Math.cos((3 * h + 6) * rad) -
    0.2 * Math.cos((4 * h - 63) * rad);
  const sL = 1 + (0.015 * (l - 50) ** 2) / Math.sqrt(20 + (l - 50) ** 2);
  const sC = 1 + 0.045 * c;
  const sH = 1 + 0.015 * c * t;
  const c7 = c ** 7;
  const bend = 30 * Math.exp(-(((h - 275) / 25) ** 2));
  const rT = -2 * Math.sqrt(c7 / (c7 + 25 ** 7)) * Math.sin(2 * bend * rad);
  const [L, C, H] = [dL / sL, dC / sC, dH / sH];
  return Math.sqrt(L * L + C * C + H * H + rT * C * H);
}

/** Degrees, 0 for grey. */
function hue(a: number, b: number): number {
  const degrees = Math.atan2(b, a) / rad;
  return degrees < 0 ? degrees + 360 : degrees;
}

function meanHue(h1: number, h2: number): number {
  const sum = h1 + h2;
  if (Math.abs(h1 - h2) <= 180) return sum / 2;
  return sum < 360 ? (sum + 360) / 2 : (sum - 360) / 2;
}
