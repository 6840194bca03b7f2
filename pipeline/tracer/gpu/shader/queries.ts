/** Windows for tests and the bench: one call of a law or query an invocation, on numbers that the host lays out. */

/** Rays of six numbers: distance (FAR for nothing) and primitive of what is nearest. */
export const CLOSEST = query(
  6,
  2,
  /* wgsl */ `
  follow(Walk(vec3f(given_(0u), given_(1u), given_(2u)), vec3f(given_(3u), given_(4u), given_(5u)), FAR), false);
  found_(0u, hitT);
  found_(1u, bitcast<f32>(hitPrimitive));`,
);

/** Rays of six numbers: 1 where anything is met. */
export const OCCLUDED = query(
  6,
  1,
  /* wgsl */ `
  follow(Walk(vec3f(given_(0u), given_(1u), given_(2u)), vec3f(given_(3u), given_(4u), given_(5u)), FAR), true);
  found_(0u, select(1.0, 0.0, hitPrimitive == NOTHING));`,
);

export interface Query {
  /** numbers an invocation reads and writes */
  inputs: number;
  outputs: number;
  code: string;
  /** WGSL beside the laws that it needs */
  extra?: string;
}

/** @param body WGSL that calls `given_(i)` and `found_(i, value)` */
export function query(inputs: number, outputs: number, body: string): Query {
  const code = /* wgsl */ `
@group(0) @binding(4) var<storage, read> given: array<f32>;
@group(0) @binding(5) var<storage, read_write> found: array<f32>;
var<private> self_: u32;
fn given_(i: u32) -> f32 { return given[self_ * ${inputs}u + i]; }
fn found_(i: u32, value: f32) { found[self_ * ${outputs}u + i] = value; }

@compute @workgroup_size(64)
fn query(@builtin(global_invocation_id) id: vec3u, @builtin(num_workgroups) groups: vec3u) {
  self_ = id.x + id.y * groups.x * 64u;
  if (self_ * ${outputs}u >= arrayLength(&found)) { return; }
${body}
}
`;
  return { inputs, outputs, code };
}
