/**
 * A model drawn once as the catalogue's viewer draws it, for comparing it with a traced picture: given camera, pose and
 * surroundings, linear light without display transform, and where its metal is. Runs in a headless browser.
 */
import {
  Color,
  DataTexture,
  DoubleSide,
  EquirectangularReflectionMapping,
  FloatType,
  LinearFilter,
  LinearSRGBColorSpace,
  Matrix4,
  Mesh,
  MeshBasicMaterial,
  type MeshPhysicalMaterial,
  NoToneMapping,
  PerspectiveCamera,
  RGBAFormat,
  Scene,
  WebGLRenderer,
  WebGLRenderTarget,
} from 'three';
import { MeshoptDecoder } from 'three/examples/jsm/libs/meshopt_decoder.module.js';
import { GLTFLoader } from 'three/examples/jsm/loaders/GLTFLoader.js';
import { roomLight } from './room-light.ts';
import { wear } from './wear.ts';

export interface StillOrder {
  /** in base64; not of Draco */
  glb: string;
  variants: string[];
  /** from the model's metres to the scene's millimetres, column by column */
  toWorld: number[];
  camera: { eye: number[]; target: number[]; up: number[]; fovY: number };
  width: number;
  height: number;
  /** latitude by longitude as `StudioMap`, 32-bit floats in base64 */
  map: { width: number; height: number; texels: string };
  /** shown where there is no model */
  background: number;
}

export interface Still {
  /** linear RGBA of each variant, 32-bit floats in base64, bottom row first; alpha is 1 */
  pictures: string[];
  /** a byte per pixel in base64, bottom row first: 255 where metal is nearest */
  metal: string;
}

async function drawStill(order: StillOrder): Promise<Still> {
  const { width, height } = order;
  const gltf = await new GLTFLoader()
    .setMeshoptDecoder(MeshoptDecoder)
    .parseAsync(bytesOf(order.glb).buffer as ArrayBuffer, '');
  const renderer = new WebGLRenderer({ antialias: false });
  renderer.toneMapping = NoToneMapping;
  renderer.setSize(width, height);
  const scene = new Scene();
  scene.environment = roomLight(renderer, surroundings(order.map)).texture;
  const band = gltf.scene;
  band.matrixAutoUpdate = false;
  band.matrix.copy(new Matrix4().fromArray(order.toWorld));
  scene.add(band);
  const { eye, target, up, fovY } = order.camera;
  const camera = new PerspectiveCamera((fovY * 180) / Math.PI, width / height, 1, 10_000);
  camera.position.fromArray(eye);
  camera.up.fromArray(up);
  camera.lookAt(target[0], target[1], target[2]);
  const picture = new WebGLRenderTarget(width, height, {
    type: FloatType,
    samples: 4,
    colorSpace: LinearSRGBColorSpace,
  });
  const pictures: string[] = [];
  for (const variant of order.variants) {
    await wear(gltf, variant);
    renderer.setClearColor(new Color().setScalar(order.background), 1);
    renderer.setRenderTarget(picture);
    renderer.clear();
    renderer.render(scene, camera);
    const pixels = new Float32Array(width * height * 4);
    renderer.readRenderTargetPixels(picture, 0, 0, width, height, pixels);
    pictures.push(base64Of(new Uint8Array(pixels.buffer)));
  }
  const metal = maskOf(renderer, scene, camera, width, height);
  // where the process that draws is gone, nothing fails and everything is black; `draw-page.ts` knows these words
  if (renderer.getContext().isContextLost()) throw new Error('the drawing context was lost');
  renderer.dispose();
  renderer.forceContextLoss();
  return { pictures, metal };
}

function surroundings({ width, height, texels }: StillOrder['map']): DataTexture {
  const rgb = new Float32Array(bytesOf(texels).buffer);
  const rgba = new Float32Array(width * height * 4).fill(1);
  for (let i = 0; i < width * height; i++) rgba.set(rgb.subarray(3 * i, 3 * i + 3), 4 * i);
  const texture = new DataTexture(rgba, width, height, RGBAFormat, FloatType);
  texture.mapping = EquirectangularReflectionMapping;
  texture.colorSpace = LinearSRGBColorSpace;
  texture.minFilter = texture.magFilter = LinearFilter;
  texture.needsUpdate = true;
  return texture;
}

/** Metal and other bodies white, stones black, in front of each other as they are. */
function maskOf(
  renderer: WebGLRenderer,
  scene: Scene,
  camera: PerspectiveCamera,
  width: number,
  height: number,
): string {
  const [white, black] = [0xffffff, 0].map((color) => new MeshBasicMaterial({ color, side: DoubleSide }));
  scene.traverse((object) => {
    if (!(object instanceof Mesh)) return;
    object.material = (object.material as MeshPhysicalMaterial).transmission > 0 ? black : white;
  });
  const target = new WebGLRenderTarget(width, height);
  renderer.setClearColor(0, 1);
  renderer.setRenderTarget(target);
  renderer.clear();
  renderer.render(scene, camera);
  const pixels = new Uint8Array(width * height * 4);
  renderer.readRenderTargetPixels(target, 0, 0, width, height, pixels);
  return base64Of(Uint8Array.from({ length: width * height }, (_, i) => pixels[4 * i]));
}

function bytesOf(base64: string): Uint8Array {
  return Uint8Array.from(atob(base64), (c) => c.charCodeAt(0));
}

function base64Of(bytes: Uint8Array): string {
  let text = '';
  for (let i = 0; i < bytes.length; i += 0x8000)
    text += String.fromCharCode(...bytes.subarray(i, i + 0x8000));
  return btoa(text);
}

(globalThis as unknown as { drawStill: typeof drawStill }).drawStill = drawStill;
