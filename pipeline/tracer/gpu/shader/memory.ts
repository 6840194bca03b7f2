/**
 * The kernel's linear memory as shaders see it: the very bytes that `layScene` packs, with every offset and size of
 * `kernel/layout.ts` as a constant of its own name. What is written once there is read here.
 */
import * as layout from '../../kernel/layout.ts';

const constants = Object.entries(layout)
  .map(([name, value]) => `const ${name}: u32 = ${value}u;`)
  .join('\n');

/** Bytes of single values from PARAMS on that go through a uniform buffer. */
export const SINGLE_BYTES = 512;

export const memory = /* wgsl */ `
${constants}

const PI: f32 = 3.14159265358979;
/* shaders may not count on infinities: this is further than anything */
const FAR: f32 = 3.0e38;

@group(0) @binding(0) var<storage, read> words: array<u32>;
/* the same bytes, sixteen at a time */
@group(0) @binding(1) var<storage, read> quads: array<vec4f>;
@group(0) @binding(2) var<uniform> single: array<vec4u, ${SINGLE_BYTES / 16}>;

fn wordAt(at: u32) -> u32 { return words[at >> 2u]; }
fn floatAt(at: u32) -> f32 { return bitcast<f32>(words[at >> 2u]); }
fn quadAt(at: u32) -> vec4f { return quads[at >> 4u]; }
fn tripleAt(at: u32) -> vec3f { return vec3f(floatAt(at), floatAt(at + 4u), floatAt(at + 8u)); }
fn valueU(at: u32) -> u32 { return single[(at - PARAMS) >> 4u][(at >> 2u) & 3u]; }
fn valueF(at: u32) -> f32 { return bitcast<f32>(valueU(at)); }
fn valueV(at: u32) -> vec4f { return bitcast<vec4f>(single[(at - PARAMS) >> 4u]); }
`;
