import { turnedCamera, type ViewTurn } from '../../tracer/turned-scene.ts';
import type { Drawing } from '../contract.ts';
import { placeInPicture, type Stage } from '../place-in-picture.ts';
import { draw, SIGNS } from './drawing.ts';

type Check = Drawing['checks'][number];

/** Height of the frame in the units of the marks, and how far marks stand from each other and from the frame. */
const HEIGHT = 480;
const APART = 22;

/** Checks that did not pass, over the picture at their places: paler where the band faces away. */
export class PictureMarks {
  readonly element = draw('svg', { class: 'marks' });

  /** @param checks of each band; nothing is shown without a stage */
  show(checks: readonly Check[][], stage: Stage | undefined, turn: ViewTurn, aspect: number): void {
    this.element.setAttribute('viewBox', `0 0 ${HEIGHT * aspect} ${HEIGHT}`);
    const camera = stage && turnedCamera(stage.camera, turn, stage.middle);
    const taken: [number, number][] = [];
    const marks = checks.flatMap((own, band) => {
      const toWorld = stage?.bands[band];
      if (!camera || !toWorld) return [];
      return own.map(({ on, state, label }) => {
        const seen = placeInPicture(camera, toWorld, on, aspect);
        const [x, y] = [seen.x * HEIGHT * aspect, seen.y * HEIGHT];
        const at = free([x, y], taken);
        taken.push(at);
        return mark([x, y], at, `check ${state}${seen.behind ? ' behind' : ''}`, label, SIGNS[state]);
      });
    });
    this.element.replaceChildren(...marks);
  }
}

/** The nearest place above which no other mark has. */
function free([x, y]: [number, number], taken: readonly [number, number][]): [number, number] {
  const to = Math.max(APART, y - APART);
  for (let lift = 0; lift < HEIGHT; lift += APART)
    for (const aside of [0, APART, -APART]) {
      const [u, v] = [x + aside, Math.max(APART / 2, to - lift)];
      if (taken.every(([a, b]) => Math.hypot(a - u, b - v) >= APART)) return [u, v];
    }
  return [x, to];
}

function mark(
  [x, y]: [number, number],
  [u, v]: [number, number],
  kind: string,
  label: string,
  sign: string,
): SVGElement {
  return draw(
    'g',
    { class: kind, role: 'img', 'aria-label': label },
    draw('title', {}, label),
    draw('path', { class: 'lead', d: `M${u} ${v}L${x} ${y}` }),
    draw('circle', { class: 'spot', cx: x, cy: y, r: 2.5 }),
    draw('circle', { class: 'sign', cx: u, cy: v, r: 9 }),
    draw('text', { x: u, y: v + 5, 'text-anchor': 'middle' }, sign),
  );
}
