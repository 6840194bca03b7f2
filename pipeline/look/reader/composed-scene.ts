import type { Stage } from '../place-in-picture.ts';
import type { Aim } from './aim.ts';
import type { Size } from './coarse-size.ts';
import type { LookCrew } from './crew.ts';

/** The scene that the crew has, composed anew only where another is wanted. */
export class ComposedScene {
  private readonly crew: LookCrew;
  /** what it shows, empty where there is none */
  private key = '';
  /** of its films */
  planes = 1;
  /** where its bands stand, unturned */
  stage: Stage | undefined;

  constructor(crew: LookCrew) {
    this.crew = crew;
  }

  get there(): boolean {
    return this.key !== '';
  }

  /** Turned scenes are laid over the composed one. */
  overlay(): void {
    this.key = 'turned';
  }

  /** As far as a first picture goes. */
  async compose({ view, solids, sky, turn, draft }: Aim, size: Size): Promise<void> {
    const { looks } = view;
    const shot = { ...view.shot, widthPx: size.width, heightPx: size.height };
    const key = JSON.stringify([shot, looks, solids.map((s) => s.key), turn]);
    if (key === this.key) return;
    this.key = '';
    const { planes, stage } = await this.crew.compose({ shot, looks, solids, sky, turn, draft });
    this.planes = planes;
    this.stage = stage;
    this.key = key;
  }
}
