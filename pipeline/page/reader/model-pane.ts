/** The interactive model with its colourways and buttons for those who do not drag. */

import { make, signButton } from './element.ts';
import { modelScript, VIEWER_SCRIPT } from './page-data.ts';
import { say } from './say.ts';
import { fromShelf } from './shelf.ts';
import type { OpenViewer, Viewer } from './viewer.ts';

export interface ModelOfBand {
  file: string;
  /** colourway shown first */
  variant: string;
  /** what colourways are called, for people; others go by their name in the file */
  names: ReadonlyMap<string, string>;
}

const STEP = 15;

/** What keys do to a model, if it is there; buttons do the same. */
type Moves = Readonly<Record<string, () => void>>;

/** The pane opens its model by itself; `close` gives the graphics memory back. */
export function modelPane(model: ModelOfBand): { element: HTMLElement; close(): void } {
  const host = make('div', {
    class: 'tile model',
    tabindex: 0,
    role: 'img',
    'aria-label': say('modelKeys'),
  });
  const said = make('p', { class: 'hint', role: 'status' }, say('loading'));
  const tools = make('div', { class: 'model-tools' });
  const element = make('div', { class: 'model-pane' }, host, tools, said);
  let viewer: Viewer | undefined;
  let closed = false;
  const moves = movesOf(() => viewer);
  hearKeys(host, moves);

  const open = async () => {
    const opened = await openModel(model, host);
    if (closed) return opened.close();
    viewer = opened;
    const shown = (variant: string) => {
      element.dataset.shown = variant;
    };
    if (viewer.variants.length > 1) tools.append(colourways(viewer, model, shown));
    tools.append(signs(moves));
    if (viewer.variants.includes(model.variant)) await viewer.show(model.variant);
    said.textContent = say('modelLight');
    shown(model.variant);
  };
  open().catch((error: unknown) => {
    host.classList.add('empty');
    const why = error instanceof Error ? error.message : String(error);
    said.textContent = `${say('noModel')} ${why}`;
  });

  return {
    element,
    close() {
      closed = true;
      viewer?.close();
    },
  };
}

async function openModel({ file }: ModelOfBand, host: HTMLElement): Promise<Viewer> {
  const [openViewer, base64] = await Promise.all([
    fromShelf<OpenViewer>(VIEWER_SCRIPT),
    fromShelf<string>(modelScript(file), file),
  ]);
  return openViewer(host, bytesOf(base64));
}

function movesOf(viewer: () => Viewer | undefined): Moves {
  return {
    ArrowLeft: () => viewer()?.turn(-STEP, 0),
    ArrowRight: () => viewer()?.turn(STEP, 0),
    ArrowUp: () => viewer()?.turn(0, STEP),
    ArrowDown: () => viewer()?.turn(0, -STEP),
    '+': () => viewer()?.near(0.8),
    '=': () => viewer()?.near(0.8),
    '-': () => viewer()?.near(1.25),
    '0': () => viewer()?.reset(),
  };
}

function hearKeys(host: HTMLElement, moves: Moves): void {
  host.addEventListener('keydown', (event) => {
    const act = event.altKey || event.ctrlKey || event.metaKey ? undefined : moves[event.key];
    if (!act) return;
    event.preventDefault();
    event.stopPropagation();
    act();
  });
}

function signs(moves: Moves): HTMLElement {
  return make(
    'div',
    { class: 'signs' },
    signButton('←', say('turnLeft'), moves.ArrowLeft),
    signButton('→', say('turnRight'), moves.ArrowRight),
    signButton('↑', say('fromHigher'), moves.ArrowUp),
    signButton('↓', say('fromLower'), moves.ArrowDown),
    signButton('+', say('nearer'), moves['+']),
    signButton('−', say('away'), moves['-']),
    signButton('⟲', say('firstView'), moves['0']),
  );
}

function colourways(
  viewer: Viewer,
  { names, variant }: ModelOfBand,
  shown: (variant: string) => void,
): HTMLElement {
  const select = make(
    'select',
    {},
    ...viewer.variants.map((v) => make('option', { value: v }, names.get(v) ?? v)),
  );
  select.value = variant;
  select.addEventListener('change', async () => {
    await viewer.show(select.value);
    shown(select.value);
  });
  return make('label', { class: 'colourway' }, `${say('colourway')} `, select);
}

function bytesOf(base64: string): ArrayBuffer {
  return Uint8Array.from(atob(base64), (c) => c.charCodeAt(0)).buffer;
}
