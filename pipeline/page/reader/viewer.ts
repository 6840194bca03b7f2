/**
 * The interactive model, bundled as `page/viewer.js` and loaded with the first look at one. Nothing is fetched: the GLB
 * comes as bytes, the light is made here. Lit by a neutral tent, so that a metal's colour is its reflectance and nothing
 * else; shown through the display transform of the pictures (Khronos PBR Neutral). Draws only when something changes.
 */
import {
  BackSide,
  Box3,
  BoxGeometry,
  CanvasTexture,
  Color,
  Mesh,
  MeshBasicMaterial,
  NeutralToneMapping,
  PerspectiveCamera,
  PlaneGeometry,
  Scene,
  SphereGeometry,
  Spherical,
  Vector3,
  WebGLRenderer,
} from 'three';
import { OrbitControls } from 'three/examples/jsm/controls/OrbitControls.js';
import { MeshoptDecoder } from 'three/examples/jsm/libs/meshopt_decoder.module.js';
import { GLTFLoader } from 'three/examples/jsm/loaders/GLTFLoader.js';
import { SHELF, VIEWER_SCRIPT } from './page-data.ts';
import { roomLight } from './room-light.ts';
import { variantNames, wear } from './wear.ts';

export interface Viewer {
  /** names of the colourways, as in the file */
  variants: string[];
  show(variant: string): Promise<void>;
  /** turns the camera by degrees: to the right, upwards */
  turn(right: number, up: number): void;
  /** goes nearer (factor below 1) or away */
  near(factor: number): void;
  /** the first view again */
  reset(): void;
  close(): void;
}

/** Opens a model in `host`, which gives it its size. Throws if the browser has no WebGL. */
export type OpenViewer = (host: HTMLElement, glb: ArrayBuffer) => Promise<Viewer>;

const FOV = 20;
const START = { azimuth: -1, elevation: 0.3 };
/** The camera keeps above the table the band stands on. */
const LOWEST = (95 * Math.PI) / 180;

const openViewer: OpenViewer = async (host, glb) => {
  const gltf = await new GLTFLoader().setMeshoptDecoder(MeshoptDecoder).parseAsync(glb, '');
  const stage = litStage();
  const bounds = new Box3().setFromObject(gltf.scene);
  stage.scene.add(gltf.scene, shadow(bounds));
  const { camera, controls, place, reset } = lookRound(bounds, stage.renderer.domElement);
  const frame = frameIn(host, stage, camera);
  controls.addEventListener('change', frame.draw);
  return {
    variants: variantNames(gltf),
    async show(variant) {
      await wear(gltf, variant);
      stage.renderer.render(stage.scene, camera);
    },
    turn: (right, up) =>
      place((s) => {
        s.theta += (right * Math.PI) / 180;
        s.phi -= (up * Math.PI) / 180;
      }),
    near: (factor) => place((s) => (s.radius *= factor)),
    reset,
    close() {
      frame.close();
      controls.dispose();
      stage.close();
    },
  };
};

interface Stage {
  renderer: WebGLRenderer;
  scene: Scene;
  /** gives the graphics memory back */
  close(): void;
}

/** White, in the light of the tent. Throws if the browser has no WebGL. */
function litStage(): Stage {
  const renderer = new WebGLRenderer({ antialias: true });
  renderer.setPixelRatio(Math.min(devicePixelRatio, 2));
  renderer.toneMapping = NeutralToneMapping;
  const scene = new Scene();
  scene.background = new Color(1, 1, 1);
  const light = roomLight(renderer, lightTent());
  scene.environment = light.texture;
  const close = () => {
    light.dispose();
    renderer.dispose();
    renderer.forceContextLoss();
    renderer.domElement.remove();
  };
  return { renderer, scene, close };
}

/** A camera that goes round the model, by hand and by whole steps; each of its moves is told by its controls. */
function lookRound(bounds: Box3, canvas: HTMLCanvasElement) {
  const { centre, radius } = sphereOf(bounds);
  const camera = new PerspectiveCamera(FOV, 1, radius / 50, radius * 60);
  const controls = new OrbitControls(camera, canvas);
  controls.enablePan = false;
  controls.enableDamping = false;
  controls.maxPolarAngle = LOWEST;
  controls.minDistance = radius * 1.6;
  controls.maxDistance = radius * 14;
  controls.target.copy(centre);
  const place = (change: (s: Spherical) => void) => {
    const s = new Spherical().setFromVector3(camera.position.clone().sub(controls.target));
    change(s);
    s.phi = Math.min(Math.max(s.phi, 0.01), LOWEST);
    s.radius = Math.min(Math.max(s.radius, controls.minDistance), controls.maxDistance);
    camera.position.setFromSpherical(s).add(controls.target);
    controls.update();
  };
  const away = (radius * 1.18) / Math.sin((FOV / 2) * (Math.PI / 180));
  const reset = () => place((s) => s.set(away, Math.PI / 2 - START.elevation, START.azimuth));
  camera.position.copy(centre).add(new Vector3(0, 0, away));
  reset();
  return { camera, controls, place, reset };
}

/** Fills `host` with the picture, drawn once a frame at most and only when it is asked for. */
function frameIn(host: HTMLElement, { renderer, scene }: Stage, camera: PerspectiveCamera) {
  let waiting = 0;
  const draw = () => {
    waiting ||= requestAnimationFrame(() => {
      waiting = 0;
      renderer.render(scene, camera);
    });
  };
  const fill = () => {
    const { clientWidth: w, clientHeight: h } = host;
    if (w === 0 || h === 0) return;
    renderer.setSize(w, h);
    camera.aspect = w / h;
    camera.updateProjectionMatrix();
    draw();
  };
  const watch = new ResizeObserver(fill);
  watch.observe(host);
  host.append(renderer.domElement);
  fill();
  const close = () => {
    watch.disconnect();
    cancelAnimationFrame(waiting);
  };
  return { draw, close };
}

function sphereOf(bounds: Box3): { centre: Vector3; radius: number } {
  // of a band the box's corners are empty: its largest side is its diameter
  const radius = Math.max(...bounds.getSize(new Vector3()).toArray()) / 2;
  return { centre: bounds.getCenter(new Vector3()), radius };
}

/** A white tent with lamps and dark cards, grey in all channels alike; brightness relative to the ground's white. */
function lightTent(): Scene {
  const tent = new Scene();
  const walls = new Mesh(new SphereGeometry(10, 32, 16), grey(0.45));
  walls.material.side = BackSide;
  tent.add(walls);
  const panel = (level: number, size: [number, number], at: [number, number, number]) => {
    const mesh = new Mesh(new BoxGeometry(size[0], size[1], 0.1), grey(level));
    mesh.position.set(...at);
    mesh.lookAt(0, 0, 0);
    tent.add(mesh);
  };
  // lamps all round, since the camera goes all round: above, and strips at differing heights
  panel(5, [8, 6], [0, 7.5, 0]);
  for (const [level, degrees, height, width] of [
    [4.5, -50, 2.2, 2.2],
    [2.2, 35, 1.2, 1.4],
    [4, 100, 3, 2],
    [2.6, 165, 1.6, 1.6],
    [4, 230, 2.4, 2.4],
  ])
    panel(
      level,
      [width, 6],
      [7.5 * Math.sin((degrees * Math.PI) / 180), height, 7.5 * Math.cos((degrees * Math.PI) / 180)],
    );
  const floor = new Mesh(new PlaneGeometry(16, 16), grey(0.8));
  floor.rotation.x = -Math.PI / 2;
  floor.position.y = -4;
  tent.add(floor);
  return tent;
}

function grey(level: number): MeshBasicMaterial {
  return new MeshBasicMaterial({ color: new Color(level, level, level) });
}

/** A soft dark spot where the band touches the table. */
function shadow(bounds: Box3): Mesh {
  const side = 128;
  const canvas = document.createElement('canvas');
  canvas.width = canvas.height = side;
  const context = canvas.getContext('2d')!;
  const spot = context.createRadialGradient(side / 2, side / 2, 0, side / 2, side / 2, side / 2);
  for (const [at, dark] of [
    [0, 0.5],
    [0.25, 0.26],
    [0.6, 0.07],
    [1, 0],
  ])
    spot.addColorStop(at, `rgba(0, 0, 0, ${dark})`);
  context.fillStyle = spot;
  context.fillRect(0, 0, side, side);
  const size = bounds.getSize(new Vector3());
  const mesh = new Mesh(
    new PlaneGeometry(size.x * 1.1, size.z * 2.4),
    new MeshBasicMaterial({
      map: new CanvasTexture(canvas),
      transparent: true,
      depthWrite: false,
      toneMapped: false,
    }),
  );
  mesh.rotation.x = -Math.PI / 2;
  mesh.position.y = -size.y * 0.001;
  return mesh;
}

const shelf = ((globalThis as unknown as Record<string, Record<string, unknown>>)[SHELF] ??= {});
shelf[VIEWER_SCRIPT] = openViewer;
