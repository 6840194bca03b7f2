/** The peer's page: our scene in three.js terms, traced by three-gpu-pathtracer. Bundled and opened by webgl-peer.ts. */
import {
  BufferAttribute,
  BufferGeometry,
  Color,
  DataTexture,
  EquirectangularReflectionMapping,
  FloatType,
  Matrix4,
  Mesh,
  MeshPhysicalMaterial,
  PerspectiveCamera,
  PlaneGeometry,
  RectAreaLight,
  RGBAFormat,
  Scene,
  Vector3,
  WebGLRenderer,
} from 'three';
import { WebGLPathTracer } from 'three-gpu-pathtracer';
import type { TriMesh } from '../../pipeline/band/built-shape.ts';
import type { RectLight, TraceScene, Vec3 } from '../../pipeline/scene/trace-scene.ts';
import { decodeScene } from '../../pipeline/tracer/scene-blob.ts';
import type { PeerAnswer } from './webgl-peer.ts';

const BOUNCES = 8;

async function tracePeer(name: string, samples: number): Promise<PeerAnswer> {
  const blob = await fetch(name).then((r) => r.arrayBuffer());
  const source = decodeScene(blob) as TraceScene & { stoneMesh: TriMesh };
  const renderer = new WebGLRenderer();
  renderer.setPixelRatio(1);
  renderer.setSize(source.width, source.height);
  const tracer = new WebGLPathTracer(renderer);
  tracer.bounces = BOUNCES;
  tracer.tiles.set(1, 1);
  tracer.renderDelay = 0;
  tracer.renderToCanvas = false;
  tracer.rasterizeScene = false;
  const { eye, target, up, fovY } = source.camera;
  const camera = new PerspectiveCamera((fovY * 180) / Math.PI, source.width / source.height, 0.1, 10_000);
  camera.position.set(...eye);
  camera.up.set(...up);
  camera.lookAt(new Vector3(...target));
  tracer.setScene(sceneOf(source), camera);

  const pixel = new Float32Array(4);
  /** ends when the picture is really there: reading a pixel waits for it */
  const sample = () => {
    tracer.renderSample();
    renderer.readRenderTargetPixels(tracer.target, 0, 0, 1, 1, pixel);
  };
  const start = performance.now();
  while (tracer.samples < 1) {
    sample();
    await new Promise((resolve) => setTimeout(resolve, 20));
  }
  const compileSeconds = (performance.now() - start) / 1000;
  const secondsPerSample: number[] = [];
  for (let i = 0; i < samples; i++) {
    const before = performance.now();
    sample();
    secondsPerSample.push((performance.now() - before) / 1000);
  }
  const picture = new Float32Array(source.width * source.height * 4);
  renderer.readRenderTargetPixels(tracer.target, 0, 0, source.width, source.height, picture);
  const gl = renderer.getContext();
  const info = gl.getExtension('WEBGL_debug_renderer_info');
  const device = info ? gl.getParameter(info.UNMASKED_RENDERER_WEBGL) : 'WebGL';
  return { renderer: String(device), compileSeconds, secondsPerSample, mean: meanColour(picture) };
}

function meanColour(rgba: Float32Array): number {
  let sum = 0;
  for (let i = 0; i < rgba.length; i++) if (i % 4 < 3) sum += rgba[i];
  return sum / (rgba.length * 0.75);
}

function sceneOf(source: TraceScene & { stoneMesh: TriMesh }): Scene {
  const scene = new Scene();
  source.surfaces.forEach((surface, s) => {
    const geometry = geometryOf(source.mesh, (t) => source.mesh.surface[t] === s);
    const metal = source.colourways[0].metals[surface.metal];
    const colour = new Color(...('tones' in metal ? metal.tones[0] : metal.f0));
    const roughness = Math.sqrt(surface.alphaX);
    scene.add(new Mesh(geometry, new MeshPhysicalMaterial({ color: colour, metalness: 1, roughness })));
  });
  const glass = source.gems.map(
    (g) =>
      new MeshPhysicalMaterial({ transmission: 1, roughness: 0, ior: g.cauchyA + g.cauchyB / 0.58756 ** 2 }),
  );
  const stone = geometryOf(source.stoneMesh, () => true);
  for (const { gem, toWorld } of source.stones) {
    const mesh = new Mesh(stone, glass[gem]);
    const m = [...toWorld, 0, 0, 0, 1] as Parameters<Matrix4['set']>;
    mesh.applyMatrix4(new Matrix4().set(...m));
    scene.add(mesh);
  }
  const ground = new Mesh(
    new PlaneGeometry(2000, 2000).rotateX(-Math.PI / 2),
    new MeshPhysicalMaterial({ color: new Color(...source.ground.albedo), roughness: 1 }),
  );
  if (source.ground.kind !== 'none') scene.add(ground);
  scene.add(...source.lights.filter((l) => Math.max(...l.radiance) > 0).map(lightOf));
  scene.environment = domeTexture(source.dome);
  scene.background = scene.environment;
  return scene;
}

function geometryOf(
  { positions, normals, indices }: TriMesh,
  keep: (triangle: number) => boolean,
): BufferGeometry {
  const geometry = new BufferGeometry();
  geometry.setAttribute('position', new BufferAttribute(positions.slice(), 3));
  geometry.setAttribute('normal', new BufferAttribute(normals.slice(), 3));
  geometry.setIndex(
    new BufferAttribute(
      indices.filter((_, i) => keep(Math.floor(i / 3))),
      1,
    ),
  );
  return geometry;
}

function lightOf({ centre, u, v, radiance }: RectLight): RectAreaLight {
  const most = Math.max(...radiance);
  const colour = new Color(...(radiance.map((r) => r / most) as Vec3));
  const light = new RectAreaLight(colour, most, 2 * Math.hypot(...u), 2 * Math.hypot(...v));
  const [x, y] = [new Vector3(...u).normalize(), new Vector3(...v).normalize()];
  // such a light shines along its −z; ours along cross(u, v)
  const z = new Vector3().crossVectors(x, y).negate();
  light.applyMatrix4(new Matrix4().makeBasis(x.negate(), y, z).setPosition(...centre));
  return light;
}

/** Our dome, radiance over elevation, as an equirectangular picture. */
function domeTexture(dome: Float32Array): DataTexture {
  const [width, height] = [8, 64];
  const data = new Float32Array(width * height * 4);
  const steps = dome.length / 3;
  for (let y = 0; y < height; y++) {
    const at = ((y + 0.5) / height) * (steps - 1);
    const i = Math.min(Math.floor(at), steps - 2);
    for (let x = 0; x < width; x++) {
      for (let k = 0; k < 3; k++) {
        const low = dome[3 * Math.max(i, 0) + k];
        const high = dome[3 * Math.min(i + 1, steps - 1) + k];
        data[4 * (y * width + x) + k] = low + (at - i) * (high - low);
      }
      data[4 * (y * width + x) + 3] = 1;
    }
  }
  const texture = new DataTexture(data, width, height, RGBAFormat, FloatType);
  texture.mapping = EquirectangularReflectionMapping;
  texture.needsUpdate = true;
  return texture;
}

Object.assign(window, { tracePeer });
