import type { OutlineStep } from './flattened.ts';

/** What is wrong with path data, and at which of its characters, from 1. */
export interface PathSlip {
  wanted: string;
  at: number;
}

/** A contour that does not end where it began: both places in the drawing's own units. */
export interface OpenContour {
  from: readonly [number, number];
  to: readonly [number, number];
}

export interface ReadPath {
  steps: OutlineStep[];
  open: OpenContour[];
}

/** Numbers that follow each command. */
const COUNTS: Readonly<Record<string, number>> = {
  M: 2,
  L: 2,
  H: 1,
  V: 1,
  C: 6,
  S: 4,
  Q: 4,
  T: 2,
  A: 7,
  Z: 0,
};
const NUMBER = /[\s,]*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)/y;
/** Of an arc: flags may stand without room between them. */
const FLAG = /[\s,]*([01])/y;

/** Path data as SVG 1.1 writes it (section 8.3), with all commands absolute and arcs and short forms as Bézier curves. */
export function readSvgPath(data: string): ReadPath | PathSlip {
  const pen = new Pen();
  let at = 0;
  let command = '';
  const skip = () => {
    at += /^[\s,]*/.exec(data.slice(at, at + 1000))?.[0].length ?? 0;
  };
  for (skip(); at < data.length; skip()) {
    if (/[a-z]/i.test(data[at])) command = data[at++];
    else if (command.toUpperCase() === 'Z' || command === '')
      return { wanted: 'a command such as "M"', at: at + 1 };
    const count = COUNTS[command.toUpperCase()];
    if (count === undefined) return { wanted: 'one of the commands M L H V C S Q T A Z', at };
    if (!pen.began && command.toUpperCase() !== 'M') return { wanted: '"M" first', at };
    const numbers: number[] = [];
    for (let k = 0; k < count; k++) {
      const pattern = count === 7 && (k === 3 || k === 4) ? FLAG : NUMBER;
      pattern.lastIndex = at;
      const found = pattern.exec(data);
      if (!found) return { wanted: `${count} numbers after "${command}"`, at: at + 1 };
      numbers.push(Number(found[1]));
      at = pattern.lastIndex;
    }
    pen.draw(command, numbers);
    // further pairs after a move are lines
    if (command === 'M') command = 'L';
    if (command === 'm') command = 'l';
  }
  return pen.done();
}

type Place = readonly [number, number];

/** Follows commands one after the other. */
class Pen {
  began = false;
  private readonly steps: OutlineStep[] = [];
  private readonly open: OpenContour[] = [];
  private start: Place = [0, 0];
  private here: Place = [0, 0];
  /** the control point that a short form mirrors, and of which degree its curve was */
  private control?: { place: Place; degree: 'C' | 'Q' };
  private drawing = false;

  draw(command: string, numbers: readonly number[]): void {
    const kind = command.toUpperCase();
    const [x, y] = command === kind ? [0, 0] : this.here;
    const place = (i: number): Place => [numbers[i] + x, numbers[i + 1] + y];
    const before = this.control;
    this.control = undefined;
    const mirrored = (degree: 'C' | 'Q'): Place => {
      if (before?.degree !== degree) return this.here;
      return [2 * this.here[0] - before.place[0], 2 * this.here[1] - before.place[1]];
    };
    if (kind === 'M') {
      this.end(false);
      this.began = true;
      this.start = place(0);
      this.here = this.start;
    } else if (kind === 'Z') this.end(true);
    else if (kind === 'L') this.line(place(0));
    else if (kind === 'H') this.line([numbers[0] + x, this.here[1]]);
    else if (kind === 'V') this.line([this.here[0], numbers[0] + y]);
    else if (kind === 'C') this.cubic(place(0), place(2), place(4));
    else if (kind === 'S') this.cubic(mirrored('C'), place(0), place(2));
    else if (kind === 'Q') this.quadratic(place(0), place(2));
    else if (kind === 'T') this.quadratic(mirrored('Q'), place(0));
    else this.arc(numbers, place(5));
  }

  done(): ReadPath {
    this.end(false);
    return { steps: this.steps, open: this.open };
  }

  private step(command: OutlineStep['command'], ...places: Place[]): void {
    if (!this.drawing) this.steps.push({ command: 'moveTo', args: [...this.here] });
    this.drawing = true;
    this.steps.push({ command, args: places.flat() });
    this.here = places[places.length - 1];
  }

  private line(to: Place): void {
    this.step('lineTo', to);
  }

  private cubic(a: Place, b: Place, to: Place): void {
    this.step('bezierCurveTo', a, b, to);
    this.control = { place: b, degree: 'C' };
  }

  private quadratic(a: Place, to: Place): void {
    this.step('quadraticCurveTo', a, to);
    this.control = { place: a, degree: 'Q' };
  }

  /** Ends a contour: one that is not closed must have come back by itself. */
  private end(closed: boolean): void {
    if (this.drawing) {
      if (!closed && Math.hypot(this.here[0] - this.start[0], this.here[1] - this.start[1]) > 1e-6)
        this.open.push({ from: this.start, to: this.here });
      this.steps.push({ command: 'closePath', args: [] });
    }
    this.drawing = false;
    this.here = this.start;
  }

  /** An arc from its ends to its middle (SVG 1.1, appendix F.6), in parts of at most an eighth of a turn as cubic curves. */
  private arc([rx0, ry0, degrees, large, sweep]: readonly number[], to: Place): void {
    const turn = (degrees * Math.PI) / 180;
    const [cos, sin] = [Math.cos(turn), Math.sin(turn)];
    const [dx, dy] = [(this.here[0] - to[0]) / 2, (this.here[1] - to[1]) / 2];
    const [x, y] = [cos * dx + sin * dy, cos * dy - sin * dx];
    if (rx0 === 0 || ry0 === 0 || (dx === 0 && dy === 0)) {
      this.line(to);
      return;
    }
    const short = Math.max(1, Math.hypot(x / rx0, y / ry0));
    const [rx, ry] = [Math.abs(rx0) * short, Math.abs(ry0) * short];
    const left = Math.max(0, (rx * ry) ** 2 / ((rx * y) ** 2 + (ry * x) ** 2) - 1);
    const k = (large === sweep ? -1 : 1) * Math.sqrt(left);
    const [cx, cy] = [(k * rx * y) / ry, (-k * ry * x) / rx];
    const first = Math.atan2((y - cy) / ry, (x - cx) / rx);
    let whole = Math.atan2((-y - cy) / ry, (-x - cx) / rx) - first;
    if (sweep && whole < 0) whole += 2 * Math.PI;
    if (!sweep && whole > 0) whole -= 2 * Math.PI;
    const middle: Place = [(this.here[0] + to[0]) / 2, (this.here[1] + to[1]) / 2];
    const at = (u: number, v: number): Place => {
      const [p, q] = [cx + rx * u, cy + ry * v];
      return [middle[0] + cos * p - sin * q, middle[1] + sin * p + cos * q];
    };
    const parts = Math.ceil(Math.abs(whole) / (Math.PI / 4) - 1e-9);
    const step = whole / parts;
    const reach = (4 / 3) * Math.tan(step / 4);
    for (let i = 0; i < parts; i++) {
      const [a, b] = [first + i * step, first + (i + 1) * step];
      this.step(
        'bezierCurveTo',
        at(Math.cos(a) - reach * Math.sin(a), Math.sin(a) + reach * Math.cos(a)),
        at(Math.cos(b) + reach * Math.sin(b), Math.sin(b) - reach * Math.cos(b)),
        i === parts - 1 ? to : at(Math.cos(b), Math.sin(b)),
      );
    }
  }
}
