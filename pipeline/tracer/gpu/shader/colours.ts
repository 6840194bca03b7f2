/**
 * The colours that ride on one path: kernel/colours.ts, here a batch of `planes` of them, from `job.colour` on. They lie and
 * are worked on in groups, as many colourways at a time as a vector has numbers: so many of them cost fewer of the loads and
 * stores that hold a path up.
 */
import { reflectances } from './metal.ts';

/**
 * Colourways of a group, and how many groups hold so many colourways; in the last some may be there twice. Paths of none,
 * which the matte has by itself, are followed as those of one.
 */
export function groupsOf(colourways: number): { lanes: 1 | 2 | 4; groups: number } {
  const planes = Math.max(1, colourways);
  const lanes = planes > 2 ? 4 : planes > 1 ? 2 : 1;
  return { lanes, groups: Math.ceil(planes / lanes) };
}

/** The numbers of a group's value by their names: of a vector its parts. */
export const laneNames = (lanes: 1 | 2 | 4): string[] =>
  lanes === 1 ? [''] : ['.x', '.y', '.z', '.w'].slice(0, lanes);

/** A red, a green and a blue of each colourway of a group. */
export const group = (colourways: number) => {
  const { lanes } = groupsOf(colourways);
  return `alias Some = ${lanes === 1 ? 'f32' : `vec${lanes}f`};
struct Colours { r: Some, g: Some, b: Some }
`;
};

export const colours = (colourways: number) => {
  const planes = Math.max(1, colourways);
  const { lanes, groups } = groupsOf(colourways);
  const each = laneNames(lanes).map((_, k) => k);
  // what is read beyond the last colourway is that colourway again
  const place = (k: number) => (planes % lanes === 0 ? `first + ${k}u` : `min(first + ${k}u, BATCH - 1u)`);
  const gathered = (of: (k: number) => string) =>
    ['x', 'y', 'z'].map((part) => `Some(${each.map((k) => `${of(k)}.${part}`).join(', ')})`).join(', ');
  const parts = laneNames(lanes).map((name) => `v${name}`);
  const largest = parts.reduce((a, b) => `max(${a}, ${b})`);
  return /* wgsl */ `
${group(colourways)}
${reflectances}
const BATCH: u32 = ${planes}u;
const GROUPS: u32 = ${groups}u;
const LANES: u32 = ${lanes}u;
const SUMS: u32 = ${colourways === 0 ? 0 : groups}u;
const DARK: f32 = 1e-5;
const CLAMP: f32 = 8.0;

/* light of runs of samples: portion, group of planes, tile, run, pixel */
@group(0) @binding(5) var<storage, read_write> parts: array<Colours>;
/* what paths have been coloured by: group of planes, slot */
@group(0) @binding(8) var<storage, read_write> throughputs: array<Colours>;

var<private> tinted: bool;
/* the clamp of this path */
var<private> lightLimit: f32;
/* of light that nothing has coloured */
var<private> plain: vec3f;

fn sumAt(k: u32) -> u32 { return portion * job.room + k * job.portions[portion].runs + runAt; }

fn toneAt(k: u32) -> u32 { return k * job.slots + slot; }

fn clearSums() {
  plain = vec3f(0.0);
  for (var k = 0u; k < SUMS; k++) { parts[sumAt(k)] = Colours(); }
}

fn ofLevel(v: vec3f) -> f32 { return dot(v, vec3f(0.2126, 0.7152, 0.0722)) / valueF(LEVEL); }

fn add(light: vec3f) {
  if (!tinted) {
    plain += light;
    return;
  }
  for (var k = 0u; k < SUMS; k++) {
    let t = throughputs[toneAt(k)];
    let s = parts[sumAt(k)];
    parts[sumAt(k)] = Colours(s.r + t.r * light.r, s.g + t.g * light.g, s.b + t.b * light.b);
  }
}

fn clamped(light: vec3f) -> vec3f {
  let most = largest(abs(light));
  if (most > lightLimit) { return light * (lightLimit / most); }
  return light;
}

fn clampedIf(scattered: bool, light: vec3f) -> vec3f {
  if (scattered) { return clamped(light); }
  return light;
}

fn brightest(c: Colours) -> Some { return max(c.r, max(c.g, c.b)); }

fn largestOf(v: Some) -> f32 { return ${largest}; }

/* of so many colourways on end, at which so many bytes each lie what is read */
fn gathered(at: u32, first: u32, bytes: u32) -> Colours {
${each.map((k) => `  let q${k} = quadAt(at + (${place(k)}) * bytes);`).join('\n')}
  return Colours(${gathered((k) => `q${k}`)});
}

fn metalColour(metal: u32) -> u32 {
  return valueU(METAL_COLOURS_AT) + (metal * valueU(COLOURWAYS) + job.colour) * METAL_COLOUR_BYTES;
}

/* false when all colourways have gone dark */
fn tintByGem(gem: u32, length: f32) -> bool {
  let colour = valueU(GEM_COLOURS_AT) + ((gem * valueU(COLOURWAYS) + job.colour) << 4u);
  var most = Some(0.0);
  for (var k = 0u; k < GROUPS; k++) {
    let first = k * LANES;
${each.map((k) => `    let d${k} = decay(quadAt(colour + ((${place(k)}) << 4u)).xyz * -length);`).join('\n')}
    var t = Colours(${gathered((k) => `d${k}`)});
    if (tinted) {
      let before = throughputs[toneAt(k)];
      t = Colours(t.r * before.r, t.g * before.g, t.b * before.b);
    }
    throughputs[toneAt(k)] = t;
    most = max(most, brightest(t));
  }
  tinted = true;
  return largestOf(most) > DARK;
}

/* what a metal adds to a light and does to the path: c5, c6 and back as reflectance() has them */
struct Reflected { on: bool, fresnel: vec3f }

/*
 * Direct light reflected by metal, by the colours that the path has so far, and then the metal's own colour onto the path:
 * together, since what costs with many colourways is to read them. False when all have gone dark.
 */
fn meetColours(metal: u32, lights: Reflected, light: vec3f, tints: Reflected) -> bool {
  if (!lights.on && !tints.on) { return true; }
  let colour = metalColour(metal);
  var most = Some(0.0);
  for (var k = 0u; k < GROUPS; k++) {
    let f0 = gathered(colour, k * LANES, METAL_COLOUR_BYTES);
    let b = gathered(colour + 16u, k * LANES, METAL_COLOUR_BYTES);
    var t = Colours(Some(1.0), Some(1.0), Some(1.0));
    if (tinted) { t = throughputs[toneAt(k)]; }
    if (lights.on && k < SUMS) {
      let s = parts[sumAt(k)];
      let at = lights.fresnel;
      parts[sumAt(k)] = Colours(
        s.r + reflectance(f0.r, b.r, at) * light.r * t.r,
        s.g + reflectance(f0.g, b.g, at) * light.g * t.g,
        s.b + reflectance(f0.b, b.b, at) * light.b * t.b,
      );
    }
    if (tints.on) {
      let at = tints.fresnel;
      t = Colours(
        t.r * reflectance(f0.r, b.r, at),
        t.g * reflectance(f0.g, b.g, at),
        t.b * reflectance(f0.b, b.b, at),
      );
      throughputs[toneAt(k)] = t;
    }
    most = max(most, brightest(t));
  }
  tinted = tinted || tints.on;
  return !tints.on || largestOf(most) > DARK;
}
`;
};
