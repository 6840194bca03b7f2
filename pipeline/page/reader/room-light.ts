/** The light that models are drawn in: what comes from all round, filtered once for every roughness of a metal. */
import {
  CubeCamera,
  type CubeTexture,
  HalfFloatType,
  LinearMipmapLinearFilter,
  LinearSRGBColorSpace,
  PMREMGenerator,
  Scene,
  type Texture,
  WebGLCubeRenderTarget,
  type WebGLRenderer,
} from 'three';

/** texels along a face of the light’s cube: 0.7°, where a polished metal blurs by about 2° */
const SIDE = 128;
/** texels along a face of its roughest level */
const LEAST = 8;

/** @param around a scene seen from its origin, or latitude by longitude */
export function roomLight(renderer: WebGLRenderer, around: Scene | Texture): WebGLCubeRenderTarget {
  const filter = new PMREMGenerator(renderer);
  const light = levels();
  if (around instanceof Scene) {
    const seen = cube(2 * SIDE, true);
    new CubeCamera(0.1, 100, seen).update(renderer, around);
    filter.fromCubemap(seen.texture as CubeTexture, light);
    seen.dispose();
  } else filter.fromEquirectangular(around, light);
  filter.dispose();
  return light;
}

/** Room for the filtered light; what the filter makes for itself has 256 texels a side, four times as many to blur. */
function levels(): WebGLCubeRenderTarget {
  const light = cube(SIDE, false);
  light.texture.minFilter = LinearMipmapLinearFilter;
  light.texture.isPMREMTexture = true;
  const sides = Array.from({ length: Math.log2(SIDE / LEAST) + 1 }, (_, level) => SIDE >> level);
  light.texture.mipmaps = sides.map((side) => ({
    width: side,
    height: side,
  })) as typeof light.texture.mipmaps;
  return light;
}

const cube = (side: number, depthBuffer: boolean) =>
  new WebGLCubeRenderTarget(side, {
    depthBuffer,
    type: HalfFloatType,
    colorSpace: LinearSRGBColorSpace,
    generateMipmaps: false,
  });
