import type { Axis } from './axis.ts';
import type { Config } from './config-schema.ts';
import type { ShapeDesign } from './design.ts';
import type { Findings } from './findings.ts';
import { type GridCell, readMatch } from './match.ts';
import type { LargestBand, ShotPlan } from './plan.ts';
import { reachOf } from './seam-kinds.ts';
import type { GroundPlan } from './studio.ts';
import type { StudioShelf } from './studio-shelf.ts';
import type { FieldPath } from './yaml-source.ts';

type ShotConfig = Exclude<Config['shots'][number], string>;

/** Pictures of a turntable that gives no number: one every 10°. */
const TURNTABLE_FRAMES = 36;
/** Stones and claws may stand proud of the band by less than this, mm. */
const PROUD = 0.5;

/** Views of a part of a band. */
const CLOSE_UPS: ReadonlySet<string> = new Set(['macro', 'inside']);

/** Grounds named without a colour. Linear reflectances: warm pale paper, black acrylic. Common practice. */
const SWEEP: GroundPlan = { kind: 'sweep', colour: [0.62, 0.58, 0.53] };
const GLOSS: GroundPlan = { kind: 'gloss', colour: [0.012, 0.012, 0.013] };

/** The shots of a config, and for which cells of the grid each is taken. */
export interface PlannedShots {
  shots: ShotPlan[];
  wanted(shot: ShotPlan, cell: GridCell): boolean;
}

/** Places in the config that name a studio. */
export function studioNames(config: Config): { name: string; path: FieldPath }[] {
  const own = config.shots.flatMap((shot, i) =>
    typeof shot === 'object' && shot.lights ? [{ name: shot.lights, path: ['shots', i, 'lights'] }] : [],
  );
  return [{ name: config.lights, path: ['lights'] }, ...own];
}

/**
 * Shots with what the config says for all of them filled in; names must be unique since files are named by them. A
 * turntable becomes one shot a frame.
 */
export function planShots(
  config: Config,
  studios: StudioShelf,
  axes: readonly Axis[],
  shapes: readonly ShapeDesign[],
  findings: Findings,
): PlannedShots {
  const largest = largestBand(shapes);
  const matchers = new Map<string, (cell: GridCell) => boolean>();
  const shots = config.shots.flatMap((written, i) => {
    const shot: ShotConfig = typeof written === 'string' ? { view: written } : written;
    const frames = planShot(shot, config, studios, largest);
    if (shot.frames !== undefined && shot.view !== 'turntable') reportFrames(shot, i, findings);
    reportCropping(frames[0], largest, ['shots', i], findings);
    const matcher = shot.when && readMatch(shot.when, axes, ['shots', i, 'when'], findings);
    for (const f of frames) if (matcher) matchers.set(f.name, matcher);
    return frames.map((f) => ({ shot: f, index: i }));
  });
  checkNames(shots, findings);
  const planned = shots.map((s) => s.shot);
  checkPairs(config, planned, findings);
  checkWidths(config, planned, findings);
  checkAlpha(config, planned, findings);
  return { shots: planned, wanted: (shot, cell) => matchers.get(shot.name)?.(cell) ?? true };
}

function planShot(
  shot: ShotConfig,
  config: Config,
  studios: StudioShelf,
  largest: LargestBand | undefined,
): ShotPlan[] {
  const frame = shot.frame ?? config.frame;
  const [widthPx, heightPx] = typeof frame === 'number' ? [frame, frame] : frame;
  const lights = shot.lights ?? config.lights;
  const name = shot.name ?? shot.view;
  const scale = shot.scale ?? config.scale;
  const plan: ShotPlan = {
    name,
    view: shot.view,
    lights,
    // a studio with problems has reported them: no plan comes of this one
    studio: studios.find(lights) ?? { panels: [], dome: [1, 1], groundRadiance: 1 },
    ground: groundPlan(shot.ground ?? config.ground),
    widthPx,
    heightPx,
    ...(shot.aperture ? { aperture: shot.aperture } : {}),
    ...(typeof scale === 'number' ? { scale: { frameMm: scale } } : {}),
    // close-ups show a part from near by: they have no scale in common with whole bands
    ...(scale === true && largest && !CLOSE_UPS.has(shot.view) ? { scale: { largest } } : {}),
  };
  if (shot.view !== 'turntable') return [plan];
  const of = shot.frames ?? TURNTABLE_FRAMES;
  return Array.from({ length: of }, (_, i) => ({
    ...plan,
    name: `${name}-${String(i + 1).padStart(2, '0')}`,
    turn: { angle: (2 * Math.PI * i) / of, frame: i + 1, of },
  }));
}

function groundPlan(written: Config['ground']): GroundPlan {
  if (typeof written === 'object') return { kind: written.kind, colour: written.colour };
  if (written === 'sweep') return SWEEP;
  if (written === 'gloss') return GLOSS;
  return { kind: written };
}

function largestBand(shapes: readonly ShapeDesign[]): LargestBand | undefined {
  if (shapes.length === 0) return undefined;
  return {
    innerDiameterMm: Math.max(...shapes.map((s) => s.circumferenceMm / Math.PI)),
    thicknessMm: Math.max(
      ...shapes.map(
        (s) => largest(s.thicknessMm, s.taper?.thicknessMm) + flatReach(s) + (s.rows.length > 0 ? PROUD : 0),
      ),
    ),
    widthMm: Math.max(...shapes.map((s) => largest(s.widthMm, s.taper?.widthMm) + 2 * swingOf(s))),
  };
}

/** How far the ends of a flat on top stand over the band's outside, as if they were sharp; mm. */
function flatReach({ flat, circumferenceMm, thicknessMm }: ShapeDesign): number {
  if (!flat) return 0;
  const outside = circumferenceMm / (2 * Math.PI) + thicknessMm;
  return Math.max(0, Math.hypot(flat.lengthMm / 2, outside + flat.riseMm) - outside);
}

/** At most how far edges swing out from where they would lie on a plain band, mm. */
function swingOf({ outline, widthMm }: ShapeDesign): number {
  if (!outline) return 0;
  const { middle, around, width } = outline;
  const [low, high] = middle ? reachOf(middle) : [0, 0];
  const aside = around ? around.headMm / 2 + around.gapMm : Math.max(-low, high);
  return aside + (width ? Math.max(0, reachOf(width)[1] - widthMm) / 2 : 0);
}

const largest = (top: number, back = top) => Math.max(top, back);

function checkNames(shots: readonly { shot: ShotPlan; index: number }[], findings: Findings): void {
  const seen = new Map<string, number>();
  for (const { shot, index } of shots) {
    const before = seen.get(shot.name);
    if (before !== undefined)
      findings.add({
        code: 'duplicate-shot',
        path: ['shots', index],
        expected: 'a name of its own for every shot',
        received: `"${shot.name}", as shots[${before}]`,
        advice: 'Give one of them a "name".',
      });
    seen.set(shot.name, index);
  }
}

function reportFrames(shot: ShotConfig, index: number, findings: Findings): void {
  findings.add({
    code: 'frames-without-turntable',
    path: ['shots', index, 'frames'],
    expected: 'frames only with the view "turntable"',
    received: `the view "${shot.view}"`,
    advice: 'Remove "frames"; the size of a picture is "frame".',
  });
}

function reportCropping(
  shot: ShotPlan,
  largest: LargestBand | undefined,
  path: FieldPath,
  findings: Findings,
): void {
  if (!shot.scale || !('frameMm' in shot.scale) || !largest || CLOSE_UPS.has(shot.view)) return;
  const outer = largest.innerDiameterMm + 2 * largest.thicknessMm;
  const smaller = shot.scale.frameMm * Math.min(1, shot.heightPx / shot.widthPx);
  if (smaller >= outer) return;
  findings.add({
    code: 'scale-crops',
    severity: 'warning',
    path,
    expected: `a frame of at least ${outer.toFixed(1)} mm, the largest band's outer diameter`,
    received: `${smaller.toFixed(1)} mm`,
    advice: 'Raise "scale", or write "scale: true" to have it worked out.',
  });
}

function checkPairs(config: Config, shots: readonly ShotPlan[], findings: Findings): void {
  const shown = shots.some((s) => s.view === 'pair');
  if (shown === config.pairs.length > 0) return;
  findings.add({
    code: shown ? 'pair-shot-without-pairs' : 'pairs-without-shot',
    severity: 'warning',
    path: shown ? ['shots'] : ['pairs'],
    expected: 'a pair shot and pairs together',
    received: shown ? 'a pair shot but no pairs' : 'pairs but no pair shot',
    advice: shown ? 'Add "pairs" or remove the shot.' : 'Add "pair" to the shots.',
  });
}

function checkWidths(config: Config, shots: readonly ShotPlan[], findings: Findings): void {
  const widest = Math.max(...shots.map((s) => s.widthPx));
  config.outputs.images.forEach((image, i) => {
    image.widths.forEach((width, k) => {
      if (width <= widest) return;
      findings.add({
        code: 'image-wider-than-frame',
        severity: 'warning',
        path: ['outputs', 'images', i, 'widths', k],
        expected: `at most ${widest} px, the widest frame`,
        received: `${width} px`,
        advice: 'Pictures are never enlarged: enlarge the frame or ask for less.',
      });
    });
  });
}

/** JPEG has no alpha channel: a clear shot's JPEG stands on white. */
function checkAlpha(config: Config, shots: readonly ShotPlan[], findings: Findings): void {
  const { images } = config.outputs;
  if (!shots.some((s) => s.ground.kind === 'clear') || images.some((i) => i.format !== 'jpeg')) return;
  if (images.length === 0) return;
  findings.add({
    code: 'clear-without-alpha',
    severity: 'warning',
    path: ['outputs', 'images'],
    expected: 'webp or png for shots on clear ground',
    received: 'jpeg alone, which cannot be transparent',
    advice: 'Add a webp or png output; the JPEG shows the band on white.',
  });
}
