import { button, make } from '../../page/reader/element.ts';
import type { ViewTurn } from '../../tracer/turned-scene.ts';
import { word } from './page-words.ts';

const DEG = Math.PI / 180;
/** Degrees of turn for a pixel of dragging. */
const PER_PIXEL = 0.6;
/** ms after the last movement until the picture is traced finely again */
const SETTLED = 250;

/** Turns the band: by dragging its picture, or with two sliders. */
export class Turner {
  readonly element: HTMLElement;
  private readonly angle = make('input', { type: 'range', min: -180, max: 180, step: 5, value: 0 });
  private readonly rise = make('input', { type: 'range', min: -40, max: 60, step: 5, value: 0 });
  private readonly asShot: HTMLButtonElement;
  private readonly onTurn: (coarse: boolean) => void;
  private settling: ReturnType<typeof setTimeout> | undefined;
  private degrees = { angle: 0, rise: 0 };

  /** @param onTurn told of every movement, and at last with `coarse` false */
  constructor(canvas: HTMLCanvasElement, onTurn: (coarse: boolean) => void) {
    this.onTurn = onTurn;
    this.asShot = button(word('asShot'), () => this.move(0, 0, false), { class: 'quiet' });
    this.asShot.disabled = true;
    this.element = make(
      'div',
      { class: 'turner' },
      make('label', {}, make('span', {}, word('turn')), this.angle),
      make('label', {}, make('span', {}, word('rise')), this.rise),
      this.asShot,
      make('p', { class: 'hint' }, word('dragHint')),
    );
    for (const slider of [this.angle, this.rise])
      slider.addEventListener('input', () =>
        this.move(Number(this.angle.value), Number(this.rise.value), true),
      );
    this.drag(canvas);
  }

  get turn(): ViewTurn {
    return { angle: this.degrees.angle * DEG, rise: this.degrees.rise * DEG };
  }

  /** Another shot begins as it stands; nobody is told. */
  reset(): void {
    clearTimeout(this.settling);
    this.set(0, 0);
  }

  private drag(canvas: HTMLCanvasElement): void {
    let from: { x: number; y: number; angle: number; rise: number } | undefined;
    canvas.addEventListener('pointerdown', (event) => {
      from = { x: event.clientX, y: event.clientY, ...this.degrees };
      canvas.setPointerCapture(event.pointerId);
    });
    canvas.addEventListener('pointermove', (event) => {
      if (!from) return;
      const angle = from.angle + PER_PIXEL * (event.clientX - from.x);
      const rise = from.rise + PER_PIXEL * (event.clientY - from.y);
      this.move(((((angle + 180) % 360) + 360) % 360) - 180, Math.min(60, Math.max(-40, rise)), true);
    });
    for (const end of ['pointerup', 'pointercancel'] as const)
      canvas.addEventListener(end, () => {
        from = undefined;
      });
  }

  private move(angle: number, rise: number, coarse: boolean): void {
    this.set(angle, rise);
    clearTimeout(this.settling);
    this.onTurn(coarse);
    if (coarse) this.settling = setTimeout(() => this.onTurn(false), SETTLED);
  }

  private set(angle: number, rise: number): void {
    this.degrees = { angle, rise };
    this.angle.value = String(angle);
    this.rise.value = String(rise);
    const say = (value: number) => word('degrees', { n: Math.round(value) });
    this.angle.setAttribute('aria-valuetext', say(angle));
    this.rise.setAttribute('aria-valuetext', say(rise));
    this.asShot.disabled = angle === 0 && rise === 0;
  }
}
