/** What the empty studio gives the ground: the grid that the kernel has measured (kernel/irradiance.ts), looked up. */
export const irradiances = /* wgsl */ `
fn irradiance(x: f32, z: f32) -> vec3f {
  let stretch = valueF(GRID_STRETCH);
  let cx = x - valueF(GRID_CENTRE);
  let cz = z - valueF(GRID_CENTRE + 4u);
  let half = f32(GRID - 1u) * 0.5;
  let gx = (cx / (abs(cx) + stretch) + 1.0) * half;
  let gz = (cz / (abs(cz) + stretch) + 1.0) * half;
  let i = min(u32(gx), GRID - 2u);
  let j = min(u32(gz), GRID - 2u);
  let fx = gx - f32(i);
  let at = IRRADIANCE + (j * GRID + i) * 16u;
  let near = mix3(quadAt(at).xyz, quadAt(at + 16u).xyz, fx);
  let further = mix3(quadAt(at + GRID * 16u).xyz, quadAt(at + GRID * 16u + 16u).xyz, fx);
  return mix3(near, further, gz - f32(j));
}
`;
