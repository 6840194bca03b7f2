/** The interactive model with its colourways and buttons for those who do not drag. */

import { make, signButton } from './element.ts';
import { modelScript, VIEWER_SCRIPT } from './page-data.ts';
import { say } from './say.ts';
import { load } from './shelf.ts';
import type { OpenViewer, Viewer } from './viewer.ts';

export interface ModelOfBand {
  file: string;
  /** colourway shown first */
  variant: string;
  /** what colourways are called, for people; others go by their name in the file */
  names: ReadonlyMap<string, string>;
}

const STEP = 15;

/** The pane opens its model by itself; `close` gives the graphics memory back. */
export function modelPane({ file, variant, names }: ModelOfBand): { element: HTMLElement; close(): void } {
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

  const keys: Record<string, () => void> = {
    ArrowLeft: () => viewer?.turn(-STEP, 0),
    ArrowRight: () => viewer?.turn(STEP, 0),
    ArrowUp: () => viewer?.turn(0, STEP),
    ArrowDown: () => viewer?.turn(0, -STEP),
    '+': () => viewer?.near(0.8),
    '=': () => viewer?.near(0.8),
    '-': () => viewer?.near(1.25),
    '0': () => viewer?.reset(),
  };
  host.addEventListener('keydown', (event) => {
    const act = event.altKey || event.ctrlKey || event.metaKey ? undefined : keys[event.key];
    if (!act) return;
    event.preventDefault();
    event.stopPropagation();
    act();
  });

  const open = async () => {
    const [openViewer, base64] = await Promise.all([
      load<OpenViewer>(VIEWER_SCRIPT),
      load<string>(modelScript(file), file),
    ]);
    const opened = await openViewer(host, bytesOf(base64));
    if (closed) return opened.close();
    viewer = opened;
    if (viewer.variants.length > 1) tools.append(colourways(viewer, names, variant));
    tools.append(
      make(
        'div',
        { class: 'signs' },
        signButton('←', say('turnLeft'), keys.ArrowLeft),
        signButton('→', say('turnRight'), keys.ArrowRight),
        signButton('↑', say('fromHigher'), keys.ArrowUp),
        signButton('↓', say('fromLower'), keys.ArrowDown),
        signButton('+', say('nearer'), keys['+']),
        signButton('−', say('away'), keys['-']),
        signButton('⟲', say('firstView'), keys['0']),
      ),
    );
    if (viewer.variants.includes(variant)) await viewer.show(variant);
    said.textContent = say('modelLight');
    element.dataset.shown = variant;
  };
  open().catch((error: unknown) => {
    host.classList.add('empty');
    const why = error instanceof Error ? error.message : String(error);
    said.textContent = `${say('noModel')} ${why}`;
  });

  function colourways(viewer: Viewer, names: ReadonlyMap<string, string>, first: string): HTMLElement {
    const select = make(
      'select',
      {},
      ...viewer.variants.map((v) => make('option', { value: v }, names.get(v) ?? v)),
    );
    select.value = first;
    select.addEventListener('change', async () => {
      await viewer.show(select.value);
      element.dataset.shown = select.value;
    });
    return make('label', { class: 'colourway' }, `${say('colourway')} `, select);
  }

  return {
    element,
    close() {
      closed = true;
      viewer?.close();
    },
  };
}

function bytesOf(base64: string): ArrayBuffer {
  return Uint8Array.from(atob(base64), (c) => c.charCodeAt(0)).buffer;
}
