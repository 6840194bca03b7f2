/**
 * Where a path has got to: kernel/path-state.ts, with two things more. A vertex doesn't send its shadow ray itself but leaves
 * it here, to be followed together with the path's next ray, whatever was met; and a metal's colour waits until that shadow
 * ray's light has been added. Between programs all of it lies in the path's slot (slots.ts).
 */
export const pathState = /* wgsl */ `
const SECOND_BRANCH: u32 = 24u;

/* the ray to follow next, the colour-free part of the throughput, and so on */
var<private> rayO: vec3f;
var<private> rayD: vec3f;
var<private> carried: vec3f;
/* share of the sample that this branch began with */
var<private> pathShare: f32;
var<private> pathPdf: f32;
var<private> fromCamera: bool;
var<private> fromGround: bool;
var<private> firstGround: bool;
var<private> scattered: bool;
var<private> wavelength: f32;
var<private> vertices: u32;

/* what white ground keeps of its shading in this pixel */
var<private> pathRim: f32;

var<private> branchWaits: bool;

/* wavelengths that are still to enter the stone the camera sees, and the pair of random numbers they begin at */
var<private> wavesLeft: u32;
var<private> wavePair: u32;

/* a shadow ray: its light counts where it meets nothing (metal), or where it meets something (ground) */
const NO_SHADOW: u32 = 0u;
const LIT: u32 = 1u;
const BLOCKED: u32 = 2u;
var<private> shadow: u32;
var<private> shadowO: vec3f;
var<private> shadowD: vec3f;
var<private> shadowT: f32;
var<private> shadowLight: vec3f;
/* c5, c6 and back of the half vector, and of the lobe's direction */
var<private> shadowFresnel: vec3f;
var<private> metMetal: u32;
var<private> tintWaits: bool;
var<private> tintFresnel: vec3f;

fn begin(share: f32, o: vec3f, d: vec3f) {
  tinted = false;
  // of a metal that lost the path itself
  tintWaits = false;
  fromGround = false;
  firstGround = false;
  scattered = false;
  lightLimit = CLAMP;
  wavelength = 0.0;
  pathPdf = 0.0;
  carried = vec3f(share);
  rayO = o;
  rayD = d;
}

fn leaveBranch(share: f32, o: vec3f, d: vec3f) {
  branchWaits = true;
  putAside(BRANCH_O, o, share);
  putAside(BRANCH_D, d, 0.0);
}

fn leaveWaves(count: u32) {
  wavesLeft = count;
  wavePair = pair;
  jumpTo(pair);
}

/* readies the path for the next wavelength in the stone that the camera sees */
fn takeWaveLeft() {
  wavesLeft--;
  vertices = 1u;
  begin(0.0, vec3f(0.0), vec3f(0.0));
  jumpTo(wavePair);
}

fn takeBranch() {
  branchWaits = false;
  fromCamera = false;
  let o = setAside(BRANCH_O);
  pathShare = o.w;
  vertices = 1u;
  begin(o.w, o.xyz, setAside(BRANCH_D).xyz);
  jumpTo(SECOND_BRANCH);
}

/* of a path that has met metal or ground: it ends, goes on as it is set already, leaves, or seeks a light before it leaves */
const ENDS: u32 = 0u;
const TURNS: u32 = 1u;
const LEAVES: u32 = 2u;
const SEEKS: u32 = 3u;
/* where rays begin that leave what has been met */
var<private> leavesAt: vec3f;

fn clearance(p: vec3f) -> f32 {
  return max(max(abs(p.x), abs(p.y)), max(abs(p.z), 2.0)) * 7.62939453125e-6;
}

fn schlick(cosine: f32, back: f32) -> vec3f {
  let c = max(1.0 - cosine, 0.0);
  let c2 = c * c;
  let c5 = c2 * c2 * c;
  return vec3f(c5, (1.0 - c) * c5 * c, back);
}

/* matte: camera samples that met no object, and the share of the ground's light that those still see */
var<private> open: f32;
var<private> through: f32;

fn seeThrough() {
  open += 1.0;
  through += 1.0;
}

fn shade(light: vec3f) {
  if (firstGround) { through += ofLevel(light); }
}
`;
